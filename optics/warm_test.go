package optics

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene"
)

// Replacements in the shelf scene that make its rail too hot: no balance, and a balance above the parts' highest junction.
var (
	oven    = []string{"count: 1, current: 350 mA", "count: 16, spacing: 31 mm, current: 1 A", "above_water: 150 mm", "above_water: 150 mm\n    profile: u-30x15"}
	tropics = []string{"count: 1, current: 350 mA", "count: 5, spacing: 60 mm, current: 1 A", "wiring: {hours: 10 h}", "wiring: {hours: 10 h}\nambient: {air: 50 C}"}
)

func TestMapLightIsThatOfTheBalance(t *testing.T) {
	t.Parallel()
	sc := foyer(t)
	o, err := sc.Operate()
	if err != nil {
		t.Fatal(err)
	}
	warm, cold := compute(t, sc, Options{StepM: 0.02}), compute(t, sc, Options{StepM: 0.02, Cold: true})
	if math.Abs(warm.Books.Emitted-o.FluxLm) > 1e-9*o.FluxLm || math.Abs(cold.Books.Emitted-o.ColdLm) > 1e-9*o.ColdLm {
		t.Errorf("maps emit %g and %g lm, the balance has %g warm and %g cold", warm.Books.Emitted, cold.Books.Emitted, o.FluxLm, o.ColdLm)
	}
	if math.Abs(warm.PowerW-o.ElectricalW) > 1e-9*o.ElectricalW || cold.PowerW != sc.PowerW() {
		t.Errorf("%g W warm and %g cold", warm.PowerW, cold.PowerW)
	}
	for i := range warm.Planes {
		w, c := warm.Planes[i].Illuminance.Mean, cold.Planes[i].Illuminance.Mean
		if !(w < c) || math.Abs(w/c-o.RelativeFlux()) > 0.005 { // modules in the middle are a few kelvins warmer
			t.Errorf("%s: %g lx warm, %g cold, %g of the flux", warm.Planes[i].Name, w, c, o.RelativeFlux())
		}
	}
	low, high, _ := o.JunctionsC()
	if j := warm.Junctions; !j.Warm || j.TooHot != "" || j.LowestC != low || j.HighestC != high || j.RelativeFlux != o.RelativeFlux() {
		t.Errorf("junctions %+v", j)
	}
	if j := cold.Junctions; j.Warm || j.Words() != "cold junctions" || j.RelativeFlux != 1 {
		t.Errorf("cold junctions %+v", j)
	}
}

func TestMapOfWhatGetsTooHot(t *testing.T) {
	t.Parallel()
	sc := read(t, shelf, oven...)
	m, cold := compute(t, sc, Options{StepM: 0.02}), compute(t, sc, Options{StepM: 0.02, Cold: true})
	if m.Planes[2].Illuminance != cold.Planes[2].Illuminance || m.Junctions.Warm {
		t.Error("without a balance the light is not the cold one")
	}
	if len(m.Warnings) == 0 || !strings.HasPrefix(m.Warnings[0], "the heat finds no balance: rail 1: ") || !strings.Contains(m.Warnings[0], "the light shown is that of cold junctions") {
		t.Errorf("warnings %q", m.Warnings)
	}
	if len(cold.Warnings) > 0 && strings.Contains(cold.Warnings[0], "heat") {
		t.Errorf("cold light warns of heat: %q", cold.Warnings)
	}
	m = compute(t, read(t, shelf, tropics...), Options{StepM: 0.02})
	if !m.Junctions.Warm || len(m.Warnings) == 0 || !strings.Contains(m.Warnings[0], "above its highest of 125 °C") {
		t.Errorf("junctions %+v, warnings %q", m.Junctions, m.Warnings)
	}
}

func TestSweepRefusesWhatGetsTooHot(t *testing.T) {
	sc := withAnyDriver(t, read(t, shelf, "count: 1", "count: 16, spacing: 31 mm"), 0.2, 0.35, 0.9, 1)
	wish := SweepOptions{StepM: 0.02, Workers: 2, Axes: []scene.Range{axis(t, "current", 0.2, 0.35, 0.9, 1), axis(t, "height", 0.1, 0.2)}}
	s, err := Sweep(context.Background(), sc, wish)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range s.Candidates {
		hot := c.Values[0] > 0.5
		if c.Usable() == hot || hot && !strings.Contains(c.Refused+c.Misfit, "heat") && !strings.Contains(c.Refused+c.Misfit, "above its highest") {
			t.Errorf("candidate %d at %g A: refused %q, misfit %q", i, c.Values[0], c.Refused, c.Misfit)
		}
		if i%2 == 1 && c.Junctions != s.Candidates[i-1].Junctions {
			t.Errorf("height changes the heat: %+v", c.Junctions)
		}
	}
	if !s.Complete || s.Best < 0 || s.Candidates[s.Best].Values[0] > 0.5 || !s.Junctions.Warm || s.Junctions.HighestC < s.Junctions.LowestC+5 {
		t.Errorf("best %d of %+v, complete %v", s.Best, s.Junctions, s.Complete)
	}
	wish.Cold = true
	if s, err = Sweep(context.Background(), sc, wish); err != nil || !s.Candidates[7].Usable() || s.Junctions.Warm || s.Own.Junctions.Warm {
		t.Errorf("cold, the brightest: %+v, error %v", s.Candidates[7], err)
	}
}

func TestCompareLeavesOutWhatGetsTooHot(t *testing.T) {
	bright := read(t, shelf, append([]string{"illuminance: 400 lx, uniformity: 0.6", "illuminance: 5000 lx"}, oven...)...)
	dim := read(t, shelf, "illuminance: 400 lx, uniformity: 0.6", "illuminance: 5000 lx")
	list := []Contender{{"bright", withAnyDriver(t, bright, 1)}, {"dim", dim}}
	c, err := Compare(context.Background(), list, Options{StepM: 0.02})
	if err != nil || c.Best != 1 || !strings.Contains(c.List[0].Misfit, "the heat finds no balance") || !c.Junctions.Warm {
		t.Errorf("best %d, %q, error %v", c.Best, c.List[0].Misfit, err)
	}
	if c, err = Compare(context.Background(), list, Options{StepM: 0.02, Cold: true}); err != nil || c.Best != 0 || c.Junctions.Warm {
		t.Errorf("cold: best %d, error %v", c.Best, err)
	}
}

func TestArrangeKeepsWithinTheHeat(t *testing.T) {
	sc := read(t, shelf, "count: 1, current: 350 mA", "count: 8, spacing: 40 mm, current: 1 A", "illuminance: 400 lx, uniformity: 0.6", "illuminance: 90000 lx")
	if _, err := Arrange(context.Background(), sc, ArrangeOptions{StepM: 0.03}); !errors.Is(err, errTooHot) || !strings.Contains(err.Error(), "less current") {
		t.Errorf("a scene that is too hot: %v", err)
	}
	cold, err := Arrange(context.Background(), sc, ArrangeOptions{StepM: 0.03, Cold: true})
	if err != nil || cold.After.Junctions.Warm {
		t.Errorf("cold: %v", err)
	}
	withAnyDriver(t, sc, 0.2, 0.4, 0.6, 0.8, 1)
	a, err := Arrange(context.Background(), sc, ArrangeOptions{StepM: 0.03, Currents: []float64{0.2, 0.4, 0.6, 0.8, 1}})
	if err != nil {
		t.Fatal(err)
	}
	if amps := a.Scene.Rails[0].Modules[0].CurrentA; amps == 1 || amps == 0.2 || !a.After.Junctions.Warm || a.After.Junctions.TooHot != "" {
		t.Errorf("%g A with %+v: not the highest current that the parts bear", amps, a.After.Junctions)
	}
	if len(a.Notes) == 0 || !strings.HasPrefix(a.Notes[0], "as it is, ") {
		t.Errorf("notes %q", a.Notes)
	}
}

func TestJunctionsInWords(t *testing.T) {
	warm := result.Junctions{Warm: true, LowestC: 51.6, HighestC: 57.7}
	for _, c := range []struct {
		j    result.Junctions
		want string
	}{
		{result.Junctions{}, "cold junctions"}, {warm, "junctions at 52 to 58 °C"}, {result.Junctions{Warm: true, LowestC: 52.1, HighestC: 52.4}, "junctions at 52 °C"},
		{warm.With(result.Junctions{}), "junctions at 52 to 58 °C"}, {result.Junctions{}.With(warm), "junctions at 52 to 58 °C"},
		{warm.With(result.Junctions{Warm: true, LowestC: 40, HighestC: 56}), "junctions at 40 to 58 °C"}, {result.Junctions{}.With(result.Junctions{}), "cold junctions"},
	} {
		if got := c.j.Words(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.j, got, c.want)
		}
	}
}
