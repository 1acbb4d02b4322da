package view

import (
	"context"
	"runtime"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/space"
)

// BenchmarkFoyer is a picture of the foyer 480 pixels wide, as the page draws it, and one of 1280.
func BenchmarkFoyer(b *testing.B) {
	sc, err := scene.Read("../../examples/foyer/foyer.yaml")
	if err != nil {
		b.Fatal(err)
	}
	for _, size := range []struct {
		name          string
		width, height int
	}{{"480", 480, 300}, {"1280", 1280, 800}} {
		b.Run(size.name, func(b *testing.B) {
			for b.Loop() {
				o := Options{Eye: space.Point{X: 0.59, Y: -1.888, Z: 0.31}, Toward: space.Point{X: 0.59, Y: 0.2, Z: 0.2}, AcrossRad: 0.7,
					Width: size.width, Height: size.height, RoomCd: 2, StepM: 0.008, Workers: runtime.GOMAXPROCS(0)}
				if _, err := Compute(context.Background(), sc, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
