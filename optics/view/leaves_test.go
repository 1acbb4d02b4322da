package view

import (
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/trace"
	"fathomlux/scene/space"
)

// TestLinesOfSightBetweenLeaves: as many lines of sight pass a stand of leaves as the law of leaves says (O1 of the worked
// examples: exp(-0.5 LAI / cos t)), and the grid finds the same leaf as a look at all of them.
func TestLinesOfSightBetweenLeaves(t *testing.T) {
	box := space.Box{Min: space.Point{X: 0.1, Y: 0.1, Z: 0.05}, Max: space.Point{X: 2.1, Y: 1.1, Z: 0.25}}
	f := newFoliage(&model.Leaves{Box: box, DensityPerM: 8}, func(space.Point) bool { return true })
	random := rand.New(rand.NewPCG(5, 6))
	for _, tilt := range []float64{0, 0.6} {
		passed, n := 0, 8000
		for i := range n {
			sin, cos := math.Sincos(tilt)
			d := space.Vector{X: sin, Z: -cos}
			at := space.Point{X: 0.2 + 1.6*random.Float64(), Y: 0.15 + 0.9*random.Float64(), Z: 0.3}
			way, number := f.first(at, d, 1)
			if number < 0 {
				passed++
			}
			if i > 40 {
				continue
			}
			want, nearest := 1.0, -1
			for k := range f.leaves {
				if s := f.leaves[k].meet(at, d, f.radiusM); s > liftM && s < want {
					want, nearest = s, k
				}
			}
			if number != nearest || way != want {
				t.Fatalf("from %v: leaf %d at %g m, of all of them %d at %g", at, number, way, nearest, want)
			}
		}
		if got, want := float64(passed)/float64(n), math.Exp(-0.5*8*0.2/math.Cos(tilt)); math.Abs(got-want) > 0.02 { // 8000 ways
			t.Errorf("at %g rad a share of %g passes, not %g", tilt, got, want)
		}
	}
}

// TestBothSidesOfALeaf: a face in light from all sides alike has a quarter of its scalar illuminance on either side, in
// parallel light the cosine of it on one (definitions of both), and the difference is always that of the vector.
func TestBothSidesOfALeaf(t *testing.T) {
	up := space.Vector{Z: 1}
	if front, back := bothSides(&trace.Flow{Lux: 400}, up); front != 100 || back != 100 {
		t.Errorf("evenly lit: %g and %g lx", front, back)
	}
	for _, c := range []float64{1, 0.3, -0.8} {
		front, back := bothSides(&trace.Flow{Lux: 400, Net: space.Vector{X: 400 * math.Sqrt(1-c*c), Z: -400 * c}}, up)
		if math.Abs(front-400*max(c, 0))+math.Abs(back-400*max(-c, 0)) > 1e-9 {
			t.Errorf("in parallel light of cosine %g: %g and %g lx", c, front, back)
		}
		front, back = bothSides(&trace.Flow{Lux: 800, Net: space.Vector{Z: -400 * c}}, up)
		if math.Abs(front-back-400*c) > 1e-9 || front < 0 || back < 0 {
			t.Errorf("in spread light of cosine %g: %g and %g lx", c, front, back)
		}
	}
}
