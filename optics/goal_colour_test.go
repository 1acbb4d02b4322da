package optics

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/photometry"
	"fathomlux/scene/unit"
)

// hueOf is the colour of a built-in spectrum.
func hueOf(t *testing.T, sc *scene.Scene, name string) colour.Tristimulus {
	t.Helper()
	s, err := photometry.NewSpectrum(sc.Catalogue.Spectra[name].Power)
	if err != nil {
		t.Fatal(err)
	}
	return colour.Of(s)
}

// TestTheMixForATemperature: of LED-B2 and LED-B5 lights in lux of 0.43244 to 0.56756 have 4500 K, as a plain script
// finds it that sums the published tables at 5 nm and searches the Planckian locus (CIE 015:2018).
func TestTheMixForATemperature(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf)
	list := []result.Tint{{Spectrum: "warm", Hue: hueOf(t, sc, "white-3000")}, {Spectrum: "cool", Hue: hueOf(t, sc, "white-6500")}}
	name, level := mixed(scene.Goal{ColourK: 4500}, list, []float64{1000, 1000})
	if want := (1 - 0.5675644) / 0.5675644; name != "warm" || math.Abs(level-want) > 1e-3 {
		t.Errorf("%s at %g, not warm at %g", name, level, want)
	}
	if name, level := mixed(scene.Goal{ColourK: 9000}, list, []float64{1000, 1000}); name != "" {
		t.Errorf("9000 K from %s at %g", name, level)
	}
}

// TestStepsFromATemperature: along the locus between two temperatures, in u' and v' of Planck's law as computed outside
// of the code (plain script, 5 nm sums): 4000 K at 0.225109 0.501590, 4500 K at 0.217310 0.492698.
func TestStepsFromATemperature(t *testing.T) {
	want := math.Hypot(0.225109-0.217310, 0.501590-0.492698) / 0.0011
	if steps, k := stepsFrom(colour.Planckian(4500), 4000); math.Abs(k-4500) > 1 || math.Abs(steps-want) > 0.05 {
		t.Errorf("%g steps from %g K, not %g", steps, k, want)
	}
	blue := colour.Tristimulus{X: 0.33, Y: 0.04, Z: 1.77} // about that of 450 nm
	if steps, k := stepsFrom(blue, 8000); k != 0 || !(steps > 2*colourSteps) {
		t.Errorf("royal blue has %g K, %g steps away", k, steps)
	}
}

// twoWhites is a scene with a warm module on the left and a cool one on the right, each half of one that is alone.
func twoWhites(t *testing.T, goal string) *scene.Scene {
	t.Helper()
	return scenetest.Read(t, scenetest.Shelf, "modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"modules: [{part: quad-warm, optic: round-60, x: 150 mm, current: 350 mA}, {part: quad-cool, optic: round-60, x: 450 mm, current: 350 mA}]",
		"goal: {plane: floor, illuminance: 400 lx, uniformity: 0.6}", "goal: "+goal)
}

// TestColourAsAGoal: a goal of a colour is judged by map, by candidates of studies the same, and by both areas of a goal
// of two parts; what it misses is told, and which mix would serve; that mix does.
func TestColourAsAGoal(t *testing.T) {
	t.Parallel()
	sc := twoWhites(t, "{plane: floor, colour: 3600 K, steps_at_most: 100}")
	m := compute(t, sc, Options{StepM: 0.02})
	if m.Goal.Met || len(m.Goal.Misses) != 1 || m.Goal.Misses[0].What != result.MeanColour {
		t.Fatalf("%+v", m.Goal.Misses)
	}
	words := m.Goal.Missing()[0].Say(unit.Metric)
	if !strings.HasPrefix(words, "floor light of ") || !strings.Contains(words, " steps from 3600 K, more than 5") {
		t.Error(words)
	}
	if got := m.Goal.Parts[0].Light.Colour.Mean; math.Abs(got.Y-m.Planes[2].Illuminance.Mean) > 1e-6*got.Y {
		t.Errorf("Y is %g, the mean illuminance %g lx", got.Y, m.Planes[2].Illuminance.Mean)
	}
	l, err := NewLight(sc, LightOptions{StepM: 0.02, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	lits, err := l.Scenes(t.Context(), sc)
	if err != nil {
		t.Fatal(err)
	}
	c := lits[0].Candidate()
	if a, b := c.Goal.Misses[0].Found, m.Goal.Misses[0].Found; len(c.Goal.Misses) != 1 || math.Abs(a-b) > 0.2 {
		t.Errorf("a candidate is %g steps away, the map %g", a, b)
	}
	name, level := mixed(sc.Goal, m.Planes[2].Tints, []float64{meanOpen(m.Planes[2].Tints[0].Lux, nil), meanOpen(m.Planes[2].Tints[1].Lux, nil)})
	if name != "white-6500" || !(level > 0.05 && level < 0.95) {
		t.Fatalf("%s at %g", name, level)
	}
	dimmed := *sc
	dimmed.Rails = append([]scene.Rail{}, sc.Rails...)
	dimmed.Rails[0].Modules = append([]scene.Module{}, sc.Rails[0].Modules...)
	dimmed.Rails[0].Modules[1].FluxFactor *= level
	if m := compute(t, &dimmed, Options{StepM: 0.02}); !m.Goal.Met || m.Goal.Parts[0].Asked[0].Found > 0.5 {
		t.Errorf("at %g of the cool light: %+v", level, m.Goal.Parts[0].Asked)
	}
}

// TestEvenColourAsAGoal: two lights that meet in the middle are told apart at their ends, as patches with a place; light
// of one spectrum is even.
func TestEvenColourAsAGoal(t *testing.T) {
	t.Parallel()
	sc := twoWhites(t, "{plane: floor, steps_at_most: 7}")
	m := compute(t, sc, Options{StepM: 0.02})
	p := m.Planes[2]
	if m.Goal.Met || m.Goal.Misses[0].What != result.EvenColour || len(p.Coloured) < 2 || p.ColourLimit != 7 {
		t.Fatalf("%+v, %d patches", m.Goal.Misses, len(p.Coloured))
	}
	if a := p.Coloured[0]; !(-a.Lowest > 7) || a.AreaShare < 0.05 || a.Where == "" {
		t.Errorf("%+v", a)
	}
	if math.Abs(m.Colours[0].StepsMost-m.Goal.Misses[0].Found) > 1e-9 {
		t.Errorf("the table says %g steps, the goal %g", m.Colours[0].StepsMost, m.Goal.Misses[0].Found)
	}
	one := scenetest.Read(t, scenetest.Shelf, "illuminance: 400 lx, uniformity: 0.6", "colour: 4100 K, steps_at_most: 1")
	if m := compute(t, one, Options{StepM: 0.05}); len(m.Planes[2].Coloured) > 0 || m.Goal.Parts[0].Light.Colour.StepsMost != 0 || !m.Goal.Parts[0].Light.Colour.Known {
		t.Errorf("light of one spectrum: %+v", m.Goal.Parts[0].Light.Colour)
	}
	dark := *one
	dark.Rails = nil
	if m := compute(t, &dark, Options{StepM: 0.05}); m.Goal.Met {
		t.Error("the dark has a colour")
	}
}

// TestColourOfOneSpectrum: LED-B2 of 2998 K is far from a goal of 6500 K, LED-B5 of 6599 K keeps it at the surface (CIE
// 015:2018, its table).
func TestColourOfOneSpectrum(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf)
	for name, want := range map[string]bool{"white-3000": false, "white-6500": true} {
		s, err := photometry.NewSpectrum(sc.Catalogue.Spectra[name].Power)
		if err != nil {
			t.Fatal(err)
		}
		if m, _ := ColourMargin(sc, scene.Goal{ColourK: 6500}, s); m == 1 != want {
			t.Errorf("%s keeps 6500 K by %g", name, m)
		}
		if m, _ := ColourMargin(sc, scene.Goal{}, s); m != 1 {
			t.Errorf("%s keeps no goal by %g", name, m)
		}
	}
}
