package optics

import (
	"math"
	"testing"

	"fathomlux/optics/scenetest"
	"fathomlux/optics/water"
	"fathomlux/scene/colour"
	"fathomlux/scene/photometry"
)

// TestColourUnderWater: at the surface light has the colour of its lamp, that of the published illuminant LED-B3 (CIE 015:2018, as a
// public repository carries it); under a beam straight down it is that behind the absorption of the water's depth.
func TestColourUnderWater(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf)
	m := compute(t, sc, Options{StepM: 0.05})
	if len(m.Colours) != 3 {
		t.Fatalf("%d planes have a colour, not 3", len(m.Colours))
	}
	surface, floor := m.Colours[0], m.Colours[2]
	if math.Abs(surface.X-0.37560) > 1e-4 || math.Abs(surface.Y-0.37230) > 1e-4 || math.Abs(surface.CCTK-4102.6) > 2 || math.Abs(surface.Ra-84.8) > 0.1 {
		t.Errorf("at the surface: %+v", surface)
	}
	lamp, err := photometry.NewSpectrum(sc.Catalogue.Spectra["white-4000"].Power)
	if err != nil {
		t.Fatal(err)
	}
	nearest := math.Inf(1)
	for times := 1.0; times < 2; times += 0.01 {
		x, y := colour.Of(lamp.Filtered(func(nm float64) float64 {
			return math.Exp(-body(sc.Tank.Water).AttenuationPerM(nm, water.Absorbed) * times * sc.Tank.Water.DepthM)
		})).Chromaticity()
		nearest = min(nearest, math.Hypot(x-floor.X, y-floor.Y))
	}
	if nearest > 5e-5 || floor.Red >= surface.Red || math.Abs(floor.Blue+floor.Green+floor.Red-1) > 1e-12 {
		t.Errorf("at the floor: %+v, %g from any way through the water", floor, nearest)
	}
}

// TestColoursMix: the mean colour of two spectra is that of Grassmann's laws, and the farthest place lies under one of them.
func TestColoursMix(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"modules: [{part: quad-neutral, optic: round-60, x: 150 mm, current: 350 mA}, {part: quad-blue, optic: round-60, x: 450 mm, current: 350 mA}]")
	m := compute(t, sc, Options{StepM: 0.02})
	if len(m.Colours) != 1 || m.Colours[0].Plane != m.KindsPlane {
		t.Fatalf("%+v", m.Colours)
	}
	var x, y, all float64 // chromaticities add up by lux over y
	for _, k := range m.Kinds {
		lamp, err := photometry.NewSpectrum(sc.Catalogue.Spectra[k.Name].Power)
		if err != nil {
			t.Fatal(err)
		}
		kx, ky := colour.Of(arriving(lamp, emptyModel(sc), sc.Tank.Water.DepthM, k.PPFD.Mean, k.Illuminance.Mean)).Chromaticity()
		weight := k.Illuminance.Mean / ky
		x, y, all = x+weight*kx, y+weight*ky, all+weight
	}
	c := m.Colours[0]
	if math.Abs(c.X-x/all)+math.Abs(c.Y-y/all) > 1e-6 {
		t.Errorf("mixed: %g, %g, not %g, %g", c.X, c.Y, x/all, y/all)
	}
	if c.StepsMost < 20 || math.Abs(c.MostXM-0.15) > 0.15 && math.Abs(c.MostXM-0.45) > 0.15 {
		t.Errorf("farthest from the mean: %.1f steps at x %g m", c.StepsMost, c.MostXM)
	}
}
