package direct

import (
	"context"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/water"
	"fathomlux/scene/form"
	"fathomlux/scene/longtest"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// blocked walks a ray in small steps through air and water and tells whether it meets the box: no share of a way, no slab.
func blocked(c stack.Column, from, to space.Point, height, depth float64, b space.Box) bool {
	rho := math.Hypot(to.X-from.X, to.Y-from.Y)
	tan := c.SolveTan(rho, 0)
	_, air := c.Land(tan)
	const steps = 4000
	for i := range steps {
		way := (float64(i) + 0.5) / steps
		z := depth + height - way*rho/tan
		if way*rho > air {
			z = depth * (1 - (way*rho-air)/(rho-air))
		}
		x, y := from.X+way*(to.X-from.X), from.Y+way*(to.Y-from.Y)
		if x > b.Min.X && x < b.Max.X && y > b.Min.Y && y < b.Max.Y && z > b.Min.Z && z < b.Max.Z {
			return true
		}
	}
	return false
}

func TestShadowsAgainstSteps(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		s := tank(t)
		s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
		draw := func(low, high float64, name string) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		x, y, z := draw(0.1, 1, "x"), draw(0.05, 0.3, "y"), draw(0, 0.45, "z") // some stand across the water line
		b := space.Box{Min: space.Point{X: x, Y: y, Z: z}, Max: space.Point{X: x + 0.12, Y: y + 0.09, Z: z + 0.06}}
		s.RimM = 0.2
		src := hang(s, draw(0.2, 1, "source x"), draw(0.1, 0.3, "source y"), 0.15)
		open := quick(t, s)
		s.Boxes = []space.Box{b}
		shaded := quick(t, s)
		c, _ := open.columns(0, 0.15, s.DepthM)
		for range 8 {
			to := space.Point{X: draw(0.01, 1.19, "to x"), Y: draw(0.01, 0.39, "to y")}
			lit, got := luxAt(t, open, to.X, to.Y, s.DepthM), luxAt(t, shaded, to.X, to.Y, s.DepthM)
			grown, shrunk := b, b // rays that graze an edge may fall either way
			const edge = 1e-4
			grown.Min.X, grown.Min.Y, grown.Min.Z = b.Min.X-edge, b.Min.Y-edge, b.Min.Z-edge
			grown.Max.X, grown.Max.Y, grown.Max.Z = b.Max.X+edge, b.Max.Y+edge, b.Max.Z+edge
			shrunk.Min.X, shrunk.Min.Y, shrunk.Min.Z = b.Min.X+edge, b.Min.Y+edge, b.Min.Z+edge
			shrunk.Max.X, shrunk.Max.Y, shrunk.Max.Z = b.Max.X-edge, b.Max.Y-edge, b.Max.Z-edge
			if blocked(c, src.Position, to, 0.15, s.DepthM, shrunk) && got != 0 {
				t.Fatalf("box %+v from %+v to %+v: %g lx in the shadow", b, src.Position, to, got)
			}
			if !blocked(c, src.Position, to, 0.15, s.DepthM, grown) && got != lit {
				t.Fatalf("box %+v from %+v to %+v: %g lx of %g without a shadow", b, src.Position, to, got, lit)
			}
		}
	})
}

func TestSectionMeetsThePlane(t *testing.T) {
	// A slice's layers are the planes' rows and columns: the section across at x equals the column of a plane, and the one along
	// at y its row, at the layer's depth.
	s := quads(t, 2)
	e := engine(t, s)
	for _, axis := range []result.SectionAxis{result.AlongX, result.AcrossY} {
		sec, err := e.Section(context.Background(), axis, 0.21, 0.02, 0.02)
		if err != nil {
			t.Fatal(err)
		}
		for _, iz := range []int{0, sec.NZ / 2, sec.NZ - 1} {
			depth := (float64(iz) + 0.5) * sec.StepZM
			for _, i := range []int{0, sec.N / 3, sec.N - 1} {
				along := (float64(i) + 0.5) * sec.StepM
				x, y := along, 0.21
				if axis == result.AcrossY {
					x, y = 0.21, along
				}
				want := luxAt(t, e, x, y, depth)
				near(t, "section", sec.Illuminance[iz*sec.N+i], want, 1e-4*slices.Max(sec.Illuminance[iz*sec.N:][:sec.N])+1e-3) // as its tracks promise
			}
		}
	}
}

// TestSectionsAreMeansAtEdges: in a tank that is no box, cells of a slice that the edge of a bar's shadow cuts are about the means
// of a slice that is ten times as fine; their middles alone are off by half the light.
func TestSectionsAreMeansAtEdges(t *testing.T) {
	s := tank(t)
	hang(s, 0.6, 0.2, 0.3)
	s.Boxes = []space.Box{{Min: space.Point{X: 0.3, Y: 0.22, Z: s.DepthM + 0.05}, Max: space.Point{X: 0.9, Y: 0.26, Z: s.DepthM + 0.06}}}
	s.Solids = []model.Solid{{Pile: form.NewPile([]form.Solid{form.NewSolid(form.Box, space.Point{X: 0.01, Y: 0.01, Z: 0.002},
		space.Vector{X: 0.002, Y: 0.002, Z: 0.002}, 0)})}}
	e, step := engine(t, s), s.DepthM/20
	for axis, places := range map[result.SectionAxis][]float64{result.AlongX: {0.27, 0.28, 0.29, 0.3, 0.31, 0.32}, result.AcrossY: {0.6}} {
		var off, middles, all float64
		for _, at := range places {
			coarse, err := e.Section(context.Background(), axis, at, step, step)
			fine, wrong := e.Section(context.Background(), axis, at, coarse.StepM/10, coarse.StepZM/10)
			if err != nil || wrong != nil || fine.N != 10*coarse.N || fine.NZ != 10*coarse.NZ {
				t.Fatal(err, wrong, fine.N, coarse.N)
			}
			for i, got := range coarse.Illuminance {
				mean, x, z := 0.0, i%coarse.N*10, i/coarse.N*10
				for k := range 100 {
					mean += fine.Illuminance[(z+k/10)*fine.N+x+k%10] / 100
				}
				off, all = off+math.Pow(got-mean, 2), all+mean*mean
				middles += math.Pow(fine.Illuminance[(z+5)*fine.N+x+5]-mean, 2)
			}
		}
		if off, middles = math.Sqrt(off/all), math.Sqrt(middles/all); !(off < 0.6*middles) || !(off < 0.05) {
			t.Errorf("axis %v: cells are off by %.3g of the light, their middles by %.3g", axis, off, middles)
		}
	}
}

func TestBoxBeyondAWallShadesNothingInside(t *testing.T) {
	// A box that stands half outside a glass wall is, for the light in the tank, the half inside: mirrored light does not meet
	// the other half in the unfolded plan.
	s := tank(t)
	s.Walls = glass
	hang(s, 1.1, 0.2, 0.2)
	s.Boxes = []space.Box{{Min: space.Point{X: 1.15, Y: 0.1, Z: 0.05}, Max: space.Point{X: 1.3, Y: 0.3, Z: 0.15}}}
	g := result.NewGrid(s.LengthM, s.WidthM, 0.02)
	through := plane(t, engine(t, s), s.DepthM, g)
	s.Boxes[0].Max.X = s.LengthM
	inside := plane(t, engine(t, s), s.DepthM, g)
	for i := range inside.Illuminance {
		near(t, "lux", through.Illuminance[i], inside.Illuminance[i], 1e-9*(1+inside.Illuminance[i]))
	}
}

func TestBalanceSeesBoxesAfterManyReflections(t *testing.T) {
	// A module that leans 55 degrees towards the back of a narrow, deep tank: its light is thrown to and fro three or four
	// times, and most of what would reach the floor beside the front glass meets a stone there. The share of the
	// field that the stone's shadow takes must stand in the flux balance.
	s := &setup{Tank: model.Tank{LengthM: 0.5, WidthM: 0.2},
		Model: model.Model{DepthM: 0.755, Spectra: []photometry.Spectrum{levelSpectrum(t)}, Water: water.New(water.Constituents{CDOMSlopePerNm: 0.017}, 25, 0)}}
	s.Walls = mirrors(0.9)
	s.Beams = []*beam.Beam{shape(t, beam.Shape{BeamRad: 22 * deg, StrayShare: 0.02})}
	hang(s, 0.05, 0.023, 0.06).Frame = space.Tilted(55 * deg)
	s.Boxes = []space.Box{{Max: space.Point{X: 0.1, Y: 0.07, Z: 0.05}}}
	e := engine(t, s)
	if e.Orders().Y < 3 {
		t.Fatalf("light is followed through %d reflections between front and back; the test needs more", e.Orders().Y)
	}
	lit := flux(plane(t, e, s.DepthM, result.NewGrid(s.LengthM, s.WidthM, 0.001)))
	near(t, "lumens on the floor", e.Balance().Floor, lit, 0.3)
	if e.Balance().Obstacles < 5 {
		t.Errorf("the stone takes %.3g lm; it stands where some 10 lm would land", e.Balance().Obstacles)
	}
}
