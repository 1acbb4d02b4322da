package optics

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/photometry"
)

// TestMixedLightAtThePlace: the light of LED-B3 and LED-B5 with 1000 and 500 lx, and of LED-B2 and LED-B5 with 400 and
// 1000 lx: chromaticity, colour temperature, Duv and photons as a plain script has them that sums the published tables
// at 5 nm and searches the Planckian locus (CIE 015:2018; c2 = 1.4388e-2 m K). At depth 0 water takes nothing.
func TestMixedLightAtThePlace(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf)
	for _, c := range []struct {
		first                            string
		firstLx, lastLx                  float64
		x, y, cct, duv, photons, farther float64
	}{{"white-4000", 1000, 500, 0.352316, 0.354524, 4743.71, -0.0013747, 21.53608, 0.63785},
		{"white-3000", 400, 1000, 0.342024, 0.342554, 5093.51, -0.0033756, 20.29412, 0.63946}} {
		mix := mixture{model: emptyModel(sc)}
		for name, lux := range map[string]float64{c.first: c.firstLx, "white-6500": c.lastLx} {
			s, err := photometry.NewSpectrum(sc.Catalogue.Spectra[name].Power)
			if err != nil || !mix.add(sc, name, lux, lux*s.PPFDPerLux()) {
				t.Fatal(name, err)
			}
		}
		p := resultOf(&mix)
		if math.Abs(p.Colour.X-c.x) > 2e-5 || math.Abs(p.Colour.Y-c.y) > 2e-5 || math.Abs(p.Colour.CCTK-c.cct) > 2 ||
			math.Abs(p.Colour.Duv-c.duv) > 1e-4 {
			t.Errorf("%s: %+v", c.first, p.Colour)
		}
		if math.Abs(p.FarRed/c.farther-1) > 1e-3 || math.Abs(p.PPFD/c.photons-1) > 1e-3 {
			t.Errorf("%s: %g and %g umol/m2/s", c.first, p.PPFD, p.FarRed)
		}
	}
}

// resultOf is what a mixture is told as, with the photons from 400 to 700 nm by its spectrum.
func resultOf(mix *mixture) (p result.PlaceLight) {
	tell(&p, mix)
	for i := 1; i < len(p.Nm); i++ {
		if p.Nm[i-1] >= 400 && p.Nm[i] <= 700 {
			p.PPFD += (p.Nm[i] - p.Nm[i-1]) / 2 * (p.Photons[i-1] + p.Photons[i])
		}
	}
	return p
}

// TestSpectrumAddsUp: at each place 683 lm/W times the spectrum times V gives the lux (definition of the lumen), the
// photons from 400 to 700 nm the PPFD; lux are those of the map there; deeper water leaves less of the red.
func TestSpectrumAddsUp(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"modules: [{part: quad-neutral, optic: round-60, x: 150 mm, current: 350 mA}, {part: quad-blue, optic: round-60, x: 450 mm, current: 350 mA}]", "kind: pure", "kind: clear")
	m := compute(t, sc, Options{StepM: 0.01})
	places := []NamedPoint{{"a", Point{X: 0.205, Y: 0.155, DepthM: 0.3}}, {"b", Point{X: 0.405, Y: 0.105, DepthM: 0.3}},
		{"c", Point{X: 0.205, Y: 0.155}}}
	lit, err := SpectraAt(t.Context(), sc, places, Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	floor := m.Planes[len(m.Planes)-1].Field
	for i, p := range lit {
		lux, photons := 0.0, 0.0
		for k, nm := range p.Nm {
			lux += 683 * 5 * photometry.V(nm) * p.Power[k]
			if k > 0 && p.Nm[k-1] >= 400 && nm <= 700 {
				photons += 2.5 * (p.Photons[k] + p.Photons[k-1])
			}
		}
		if math.Abs(lux/p.Lux-1) > 2e-3 || math.Abs(photons/p.PPFD-1) > 5e-3 {
			t.Errorf("%s: spectrum of %g lx and %g umol/m2/s, told %g and %g", p.Name, lux, photons, p.Lux, p.PPFD)
		}
		if i < 2 {
			g := floor.Grid
			want := floor.Illuminance[int(p.YM/g.StepYM)*g.NX+int(p.XM/g.StepXM)]
			if math.Abs(p.Lux/want-1) > 0.02 { // noise of what is scattered
				t.Errorf("%s: %g lx, on the map %g", p.Name, p.Lux, want)
			}
		}
	}
	if a, b, c := lit[0], lit[1], lit[2]; a.Bands.Red >= c.Bands.Red || b.Bands.Blue <= a.Bands.Blue || a.FarRed >= c.FarRed*a.PPFD/c.PPFD {
		t.Errorf("%+v, %+v, %+v", a.Bands, b.Bands, c.Bands)
	}
}

func TestPlacesOutsideTheWater(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "  floor: {diffuse: 0}", "  floor: {diffuse: 0}\n  obstacles: [{name: rock, from: [0 mm, 0 mm, 0 mm], to: [60 mm, 60 mm, 100 mm]}]")
	for want, at := range map[string]Point{"outside the tank": {X: 0.7, Y: 0.1}, "inside the ground": {X: 0.03, Y: 0.03, DepthM: 0.25}} {
		if _, err := SpectraAt(t.Context(), sc, []NamedPoint{{"there", at}}, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v, not %q", at, err, want)
		}
	}
	dark := *sc
	dark.Rails = nil
	lit, err := SpectraAt(t.Context(), &dark, []NamedPoint{{"there", Point{X: 0.1, Y: 0.1}}}, Options{})
	if err != nil || lit[0].Lux != 0 || lit[0].Colour.Temperate {
		t.Errorf("in the dark: %+v, %v", lit, err)
	}
}
