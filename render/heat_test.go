package render

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"strings"
	"testing"

	"fathomlux/render/style"
	"fathomlux/scene"
)

const heated = `title: heat
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: main, length: 1100 mm, above_water: 160 mm, modules: {part: quad-neutral, optic: round-40, count: %d, spacing: %d mm, current: %d mA}}%s
ambient: {air: 24 C%s}
`

const second = "\n  - {length: 600 mm, above_water: 160 mm, y: 320 mm, modules: {part: single-neutral, optic: round-40, count: 5, spacing: 100 mm, current: 500 mA}}"

func heatScene(t *testing.T, args ...any) (*scene.Scene, *scene.Operating) {
	t.Helper()
	sc, err := scene.Parse("heat.yaml", fmt.Appendf(nil, heated, args...), nil)
	if err != nil {
		t.Fatal(err)
	}
	o, err := sc.Operate()
	if err != nil {
		t.Fatal(err)
	}
	return sc, o
}

// TestHeatPicturesOfManySizes draws rails of 1 to 100 modules; pages refuse texts that meet.
func TestHeatPicturesOfManySizes(t *testing.T) {
	for _, c := range [][]any{{1, 100, 1000, "", ""}, {6, 180, 350, "", ""}, {14, 75, 700, "", ""}, {40, 27, 200, "", ""}, {100, 10, 100, "", ""},
		{6, 180, 350, second, ", hood: {length: 1200 mm, width: 450 mm, height: 120 mm}"}} {
		sc, o := heatScene(t, c...)
		for _, look := range []Look{{PixelFactor: 1, Version: "test"}, {PixelFactor: 0.5, Units: style.US}} {
			list, err := Heat(context.Background(), o, sc, []string{"a note"}, look)
			if err != nil || len(list) != 1 || list[0].Name != "heat.png" {
				t.Fatalf("%v: %d pictures, error %v", c[:3], len(list), err)
			}
			img, err := png.Decode(bytes.NewReader(list[0].PNG))
			if err != nil || img.Bounds().Dx() != int(1400*look.PixelFactor) {
				t.Errorf("%v: %v, error %v", c[:3], img.Bounds(), err)
			}
		}
	}
}

func TestHeatPictureSaysItsSurroundings(t *testing.T) {
	sc, o := heatScene(t, 6, 180, 350, second, ", hood: {length: 1200 mm, width: 450 mm, height: 120 mm}")
	if d := heatDrawing(o, sc, nil, Look{}); !strings.Contains(d.title, "room of 24 \u00b0C, hood of 1200 x 450 x 120 mm with 3") {
		t.Errorf("title %q", d.title)
	}
	sc, o = heatScene(t, 6, 180, 350, "", "")
	if d := heatDrawing(o, sc, nil, Look{}); !strings.Contains(d.title, "along the rail, and of the junctions: room of 24 \u00b0C, no hood") {
		t.Errorf("title %q", d.title)
	}
	limits := heatLimits(o, sc)
	if len(limits) != 3 || limits[0].Y != 60 || limits[1].Y != 24 || limits[2].Y != 125 {
		t.Errorf("limits %+v", limits)
	}
}
