package trace

import (
	"math"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/photometry"
	"fathomlux/optics/result"
	"fathomlux/optics/stage"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// Faces that touch: what both engines must see the same, to the last bit of a sum of lengths or not.

// rockery is a tank of 600 mm x 400 mm with 420 mm of water, black walls, and three dies over a rock up to a height.
func rockery(t tester, topM float64) *stage.Stage {
	s := &stage.Stage{LengthM: 0.6, WidthM: 0.4, DepthM: 420 * 1e-3, RimM: 0.03, Water: clearWater(), FloorReflectance: 0.25,
		Walls:   [4]walls.Wall{diffuse(0), diffuse(0), diffuse(0), diffuse(0)},
		Boxes:   []space.Box{{Min: space.Point{X: 0.15, Y: 0.1}, Max: space.Point{X: 0.35, Y: 0.3, Z: topM}}},
		Spectra: []photometry.Spectrum{whiteSpectrum(t)}, Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 60 * deg})}}
	for i := range 3 {
		hang(s, i, space.Point{X: 0.12 + 0.18*float64(i), Y: 0.2, Z: s.DepthM + 0.15})
	}
	return s
}

// onRock returns the means over the rock by the direct sum, by photons, and by the direct sum and the rest together, and the
// number of cells there that the sum leaves dark. Cells are 10 mm wide, so that none stands on an edge.
func onRock(t tester, s *stage.Stage, depthM float64) (sum, photons, full float64, dark int) {
	p := Plane{DepthM: depthM, Grid: result.NewGrid(s.LengthM, s.WidthM, 0.01)}
	straight := directMeans(t, s, p, 1)
	all := traced(t, s, Options{Photons: 1 << 17, Planes: []Plane{p}}).Planes[0].Field.Illuminance
	rest := traced(t, s, Options{Photons: 1 << 15, Planes: []Plane{p}, Only: Rest, SpreadM: 0.025}).Planes[0].Field.Illuminance
	for iy := 10; iy < 30; iy++ {
		for ix := 15; ix < 35; ix++ {
			i := iy*p.Grid.NX + ix
			sum, photons, full = sum+straight[i]/400, photons+all[i]/400, full+(straight[i]+rest[i])/400
			if straight[i] == 0 {
				dark++
			}
		}
	}
	return sum, photons, full, dark
}

func TestTopsOfBoxesAreLit(t *testing.T) {
	// Rocks of some heights and a plane at their top: as bright as without the rock, whatever the last bit of the
	// difference of depth and height. A plane a millimetre lower is dark there.
	for _, mm := range []int{100, 110, 120, 150, 180, 420} {
		topM := float64(mm) * 1e-3
		s := rockery(t, topM)
		depthM := float64(420-mm) * 1e-3
		open := rockery(t, topM)
		open.Boxes = nil
		want, _, _, _ := onRock(t, open, depthM)
		sum, photons, full, dark := onRock(t, s, depthM)
		if dark > 0 {
			t.Errorf("rock of %d mm: %d of 400 cells on top of it are dark", mm, dark)
		}
		near(t, "direct sum on the rock", sum/want, 1, 1e-9)
		near(t, "photons on the rock", photons/full, 1, 0.03) // some 15 000 landings, and cells that are points to the direct sum
		if mm == 420 {
			continue
		}
		sum, photons, full, _ = onRock(t, s, depthM+0.001)
		if math.Max(full, math.Max(sum, photons)) != 0 {
			t.Errorf("rock of %d mm: %g, %g and %g lx inside it", mm, sum, photons, full)
		}
	}
}

func TestBoxesWithinThePane(t *testing.T) {
	// A brace level with the cover's pane, or a hair off, takes the light that would pass it in both engines: as much as one of the
	// same width that lies on the pane takes, but for what drifts sideways inside the glass.
	braced := func(low, high float64) *stage.Stage {
		s := foyer(t)
		s.Sources[0].Position.X, s.FloorReflectance = 0.59, 0 // right over the brace
		s.Boxes[0].Min.Z, s.Boxes[0].Max.Z = s.DepthM+s.Cover.UndersideM+low, s.DepthM+s.Cover.UndersideM+high
		return s
	}
	lies := braced(0.004, 0.01)
	p := Plane{DepthM: lies.DepthM, Grid: coarse(lies)}
	want := mean(directMeans(t, lies, p, 8))
	for _, heights := range [][2]float64{{0, 0.004}, {1e-9, 0.004 + 1e-9}, {-1e-9, 0.004 - 1e-9}, {0.001, 0.003}} {
		s := braced(heights[0], heights[1])
		sum, a := mean(directMeans(t, s, p, 8)), traced(t, s, Options{Photons: 1 << 19, Planes: []Plane{p}, Only: Straight})
		near(t, "direct sum", sum/want, 1, 0.005)
		near(t, "photons", mean(a.Planes[0].Field.Illuminance)/sum, 1, 0.005)
		if share := a.Books.Obstacles / a.Books.Emitted; share < 0.03 {
			t.Errorf("heights %v: the brace takes %.3g of the light", heights, share)
		}
	}
}
