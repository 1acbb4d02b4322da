package render

import (
	"math"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/stream"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// TestBalanceBecomesAStream: every entry of the flux balance is drawn once, on the side of the surface where it is lost, and what is drawn
// adds up to what was emitted.
func TestBalanceBecomesAStream(t *testing.T) {
	b := result.FluxBalance{Emitted: 1000, Optic: 101, Cover: 57, Spill: 23, Surface: 31, Water: 47, Walls: 83, Floor: 391, Obstacles: 61, Returned: 73, Unfollowed: 133, Entered: 700}
	if b.Sum() != b.Emitted {
		t.Fatalf("an invented balance of %g lm hold %g", b.Emitted, b.Sum())
	}
	for _, c := range []struct {
		name         string
		boxes        []scene.Obstacle
		above, below float64
	}{
		{"brace in the air", []scene.Obstacle{{Box: space.Box{Min: space.Point{Z: 0.45}, Max: space.Point{X: 1, Y: 1, Z: 0.47}}}}, 101 + 57 + 23 + 31 + 61, 47 + 83 + 73 + 133},
		{"stone in the water", []scene.Obstacle{{Box: space.Box{Max: space.Point{X: 1, Y: 1, Z: 0.1}}}}, 101 + 57 + 23 + 31, 47 + 83 + 73 + 133 + 61},
	} {
		sc := &scene.Scene{}
		sc.Tank.Water.DepthM, sc.Tank.Obstacles = 0.4, c.boxes
		p, _ := balanceDrawing(&result.Map{Balance: b}, sc, Look{}).picture.(stream.Page)
		if above, below := sum(p.Above), sum(p.Below); above != c.above || below != c.below || math.Abs(above+below+p.Floor.Drawn-p.Emitted.Drawn) > 1e-9 {
			t.Errorf("%s: %g lm above, %g below, %g on the floor", c.name, above, below, p.Floor.Drawn)
		}
		for _, l := range append(p.Above, p.Below...) {
			if l.Strange != (l.Flux.Drawn == b.Unfollowed) {
				t.Errorf("%s: %+v", c.name, l)
			}
		}
	}
}

func TestNextToNothingIsNotDrawn(t *testing.T) {
	m := &result.Map{Balance: result.FluxBalance{Emitted: 1000, Spill: 0.4, Water: 0.6, Floor: 999}}
	p, _ := balanceDrawing(m, &scene.Scene{}, Look{}).picture.(stream.Page)
	if len(p.Above) != 0 || len(p.Below) != 1 {
		t.Errorf("above %v, below %v", p.Above, p.Below)
	}
}

func sum(list []stream.Loss) float64 {
	total := 0.0
	for _, l := range list {
		total += l.Flux.Drawn
	}
	return total
}
