package trace

import (
	"math"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/walls"
	"fathomlux/scene/longtest"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// Faces that touch: what both engines must see the same, to the last bit of a sum of lengths or not.

// rockery is a tank of 600 mm x 400 mm with 420 mm of water, black walls, and three dies over a rock up to a height.
func rockery(t tester, topM float64) *setup {
	s := &setup{Tank: model.Tank{LengthM: 0.6, WidthM: 0.4, RimM: 0.03, FloorReflectance: 0.25, Walls: [4]walls.Wall{diffuse(0), diffuse(0), diffuse(0), diffuse(0)}},
		Model: model.Model{DepthM: 420 * 1e-3, Water: clearWater(), Boxes: []space.Box{{Min: space.Point{X: 0.15, Y: 0.1}, Max: space.Point{X: 0.35, Y: 0.3, Z: topM}}}, Spectra: []photometry.Spectrum{whiteSpectrum(t)}, Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 60 * deg})}}}
	for i := range 3 {
		hang(s, i, space.Point{X: 0.12 + 0.18*float64(i), Y: 0.2, Z: s.DepthM + 0.15})
	}
	return s
}

// onRock returns the means over the rock by the direct sum, by photons, and by the direct sum and the rest together, and the
// number of cells there that the sum leaves dark. Cells are 10 mm wide, so that none stands on an edge.
func onRock(t tester, s *setup, depthM float64) (sum, photons, full float64, dark int) {
	p := Plane{DepthM: depthM, Grid: result.NewGrid(s.LengthM, s.WidthM, 0.01)}
	straight := directMeans(t, s, p, 1)
	all := traced(t, s, Options{Photons: 1 << 17, Planes: []Plane{p}}).Planes[0].Field.Illuminance
	rest := traced(t, s, Options{Photons: 1 << 15, Planes: []Plane{p}, Only: Rest}).Planes[0].Field.Illuminance
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
	for _, mm := range []int{110, 150, 420, 100, 120, 180}[:longtest.Pick(2, 6)] {
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
		if photons != 0 || math.Max(full, sum) > 1e-3*want { // the edge of a shadow is found to a hundredth of a cell
			t.Errorf("rock of %d mm: %g, %g and %g lx inside it", mm, sum, photons, full)
		}
	}
}

func TestBoxesWithinThePane(t *testing.T) {
	// A brace level with the cover's pane, or a hair off, takes the light that would pass it in both engines: as much as one of the
	// same width that lies on the pane takes, but for what drifts sideways inside the glass.
	braced := func(low, high float64) *setup {
		s := foyer(t)
		s.Sources[0].Position.X, s.FloorReflectance = 0.59, 0 // right over the brace
		s.Boxes[0].Min.Z, s.Boxes[0].Max.Z = s.DepthM+s.Cover.UndersideM+low, s.DepthM+s.Cover.UndersideM+high
		return s
	}
	lies := braced(0.004, 0.01)
	p := Plane{DepthM: lies.DepthM, Grid: coarse(lies)}
	want := mean(directMeans(t, lies, p, 8))
	for _, heights := range [][2]float64{{0, 0.004}, {1e-9, 0.004 + 1e-9}, {-1e-9, 0.004 - 1e-9}, {0.001, 0.003}}[:longtest.Pick(2, 4)] {
		s := braced(heights[0], heights[1])
		sum, a := mean(directMeans(t, s, p, 8)), traced(t, s, Options{Photons: longtest.Pick[int64](1<<18, 1<<19), Planes: []Plane{p}, Only: Straight})
		near(t, "direct sum", sum/want, 1, 0.005)
		near(t, "photons", mean(a.Planes[0].Field.Illuminance)/sum, 1, 0.005)
		if share := a.Balance.Obstacles / a.Balance.Emitted; share < 0.03 {
			t.Errorf("heights %v: the brace takes %.3g of the light", heights, share)
		}
	}
}

func TestRimsAboutThePane(t *testing.T) {
	// A pane of 10 mm whose underside is 40 mm above the water, and a rim from below it to above it: both engines hold the same
	// light, and for a pane that lies on the rim it is the same whatever the last bit of height minus depth.
	scene := func(rimM float64) *setup {
		s := &setup{Tank: model.Tank{LengthM: 0.4, WidthM: 0.3, RimM: rimM, Walls: [4]walls.Wall{mirror(0.95), mirror(0.95), glass, mirror(0.95)}},
			Model: model.Model{DepthM: 0.36, Water: clearWater(), Cover: &model.Cover{UndersideM: 0.04, ThicknessM: 0.01, Index: 1.52, AbsorbPerM: func(float64) float64 { return 4 }}, Spectra: []photometry.Spectrum{whiteSpectrum(t)}, Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 90 * deg})}}}
		for i := range 4 {
			hang(s, i, space.Point{X: 0.05 + 0.1*float64(i), Y: 0.15, Z: s.DepthM + 0.08})
		}
		return s
	}
	p := Plane{DepthM: 0.36, Grid: result.NewGrid(0.4, 0.3, 0.04)}
	spill := map[float64]float64{}
	for _, rimM := range []float64{0.04, 0.04 - 1e-9, 0.4 - 0.36, 0.045, 0.055, 0.05, 0.035}[:longtest.Pick(4, 7)] {
		s := scene(rimM)
		want, sum, a := directBooks(t, s).Balance(), mean(directMeans(t, s, p, longtest.Pick(raster/2, raster))), traced(t, s, Options{Photons: longtest.Pick[int64](1<<17, 1<<20), Planes: []Plane{p}, Only: Straight})
		spill[rimM] = want.Spill
		near(t, "photons over direct sum", mean(a.Planes[0].Field.Illuminance)/sum, 1, 0.002+3*a.Planes[0].MeanErrorLx/sum)
		near(t, "spill in the flux balance, of what is emitted", (a.Balance.Spill-want.Spill)/want.Emitted, 0, 0.001)
		near(t, "entered", (a.Balance.Entered-want.Entered)/want.Emitted, 0, 0.006) // the pane sends down again what the surface throws up
		if t.Failed() {
			t.Fatalf("rim at %v m: direct %+v, traced %+v", rimM, want, a.Balance)
		}
	}
	for _, rimM := range []float64{0.04 - 1e-9, 0.4 - 0.36, 0.045} {
		near(t, "spill of a pane on the rim", spill[rimM], spill[0.04], 1e-6) // the wall's end moves by a nanometre at most
	}
}

func TestWayThroughThePane(t *testing.T) {
	t.Parallel()
	// Snell's law: at 60 degrees the way through a pane of index 1.52 is 1/cos b of its thickness, with sin 60 deg = 1.52 sin b;
	// without reflections it takes exp(-0.3/cos b) of the light.
	w := &world{cover: cover{present: true, boundary: newBoundary(1.52)}}
	p := photon{colour: &colour{paneLumens: 0.3, panePhotons: 0.2}}
	lumens, micro, long := (&tracer{world: w}).pane(&p, math.Cos(60*deg))
	want := 1 / math.Cos(math.Asin(math.Sin(60*deg)/1.52))
	near(t, "way", long, want, 1e-12) // rounding
	var through [2]float64
	for i, thick := range []float64{0.3, 0.2} {
		s, _ := stack.Fresnel(1, 1.52, math.Cos(60*deg))
		kept := math.Exp(-thick * want)
		through[i] = (1 - s) * (1 - s) * kept / (1 - s*s*kept*kept) // all reflections between two faces, closed form
	}
	near(t, "lumens through", lumens.through, through[0], 1e-9) // of the table of fade
	near(t, "photons through", micro.through, through[1], 1e-9)
}
