package direct

import (
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

func TestBalanceLeavesOffWhereImagesDo(t *testing.T) {
	// Between mirrors 20 mm apart and 1.2 m deep light is thrown to and fro a hundred times, under water, and over it where the
	// walls are high. The floor's entry is what the field brings there, and what is still on its way after MaxOrder reflections
	// stands among what is not followed.
	for _, rimM := range []float64{0.05, 1} {
		s := tank(t)
		s.LengthM, s.WidthM, s.DepthM, s.RimM = 0.02, 0.3, 1.2, rimM
		s.Walls[0], s.Walls[1] = walls.Wall{Kind: walls.Mirror, Reflectance: 1}, walls.Wall{Kind: walls.Mirror, Reflectance: 0.999}
		s.Beams[0] = shape(t, beam.Shape{BeamRad: 80 * deg})
		hang(s, 0.0103, 0.147, rimM+0.001)
		s.Boxes = []space.Box{{Max: space.Point{X: 0.01, Y: 0.3, Z: 0.1}}}
		e := engine(t, s)
		b, lit := e.Balance(), flux(plane(t, e, s.DepthM, result.NewGrid(s.LengthM, s.WidthM, 0.001)))
		near(t, "lumens on the floor", b.Floor, lit, 0.05*lit) // some 300 rays of the bundle land there
		near(t, "sum of the entries", b.Sum(), b.Emitted, 1e-9)
		if b.Unfollowed < 0.5 || e.CutShare() < 0.1 {
			t.Errorf("%g lm are not followed, %g of the light is left out", b.Unfollowed, e.CutShare())
		}
		t.Logf("orders %v; rim %g m: field %g lm, flux balance %+v, cut %g", e.Orders(), rimM, lit, b, e.CutShare())
	}
}
