package optics

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/longtest"
	"fathomlux/scene/operating"
)

// Replacements in the shelf scene that make its rail too hot: no balance, and a balance above the parts' highest junction.
var (
	oven    = []string{"count: 1, current: 350 mA", "count: 16, spacing: 31 mm, current: 1 A", "above_water: 150 mm", "above_water: 150 mm\n    profile: u-30x15"}
	tropics = []string{"count: 1, current: 350 mA", "count: 5, spacing: 60 mm, current: 1 A", "wiring: {hours: 10 h}", "wiring: {hours: 10 h}\nambient: {air: 50 C}"}
)

func TestMapLightIsThatOfTheBalance(t *testing.T) {
	t.Parallel()
	sc := scenetest.Example(t, "foyer")
	o, err := operating.Of(sc)
	if err != nil {
		t.Fatal(err)
	}
	engine, stepM := longtest.Pick(Straight, Full), longtest.Pick(0.06, 0.02)
	warm, cold := compute(t, sc, Options{StepM: stepM, Engine: engine}), compute(t, sc, Options{StepM: stepM, Engine: engine, Cold: true})
	if math.Abs(warm.Balance.Emitted-o.FluxLm) > 1e-9*o.FluxLm || math.Abs(cold.Balance.Emitted-o.RatedLm) > 1e-9*o.RatedLm {
		t.Errorf("maps emit %g and %g lm, the balance has %g warm and %g cold", warm.Balance.Emitted, cold.Balance.Emitted, o.FluxLm, o.RatedLm)
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
	if j := warm.Junctions; !j.Warm || j.TooHot.Any() || j.LowestC != low || j.HighestC != high || j.RelativeFlux != o.RelativeFlux() {
		t.Errorf("junctions %+v", j)
	}
	if j := cold.Junctions; j.Warm || j.Words() != "cold junctions" || j.RelativeFlux != 1 {
		t.Errorf("cold junctions %+v", j)
	}
}

func TestMapOfWhatGetsTooHot(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, oven...)
	m, cold := compute(t, sc, Options{StepM: 0.02}), compute(t, sc, Options{StepM: 0.02, Cold: true})
	if m.Planes[2].Illuminance != cold.Planes[2].Illuminance || m.Junctions.Warm {
		t.Error("without a balance the light is not the cold one")
	}
	if words := m.Warnings[0].String(); !strings.HasPrefix(words, "the thermal balance has no solution: rail 1: ") ||
		!strings.Contains(words, "the light shown is that of the rated flux") {
		t.Errorf("warnings %v", m.Warnings)
	}
	if len(cold.Junctions.Warnings()) > 0 {
		t.Errorf("cold light warns of heat: %q", cold.Warnings)
	}
	m = compute(t, scenetest.Read(t, scenetest.Shelf, tropics...), Options{StepM: 0.02})
	if !m.Junctions.Warm || !strings.Contains(m.Warnings[0].String(), "above its limit of 125 °C") {
		t.Errorf("junctions %+v, warnings %q", m.Junctions, m.Warnings)
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
