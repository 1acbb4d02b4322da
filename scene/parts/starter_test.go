package parts

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene/document"
)

// readText reads a table of parts over the built-in ones.
func readText(t *testing.T, text string) (*Catalogue, *document.Report) {
	t.Helper()
	report, lib := &document.Report{}, Builtin()
	if n, ok := document.Read("own.yaml", []byte(text), report); ok {
		Read(n, nil, report, lib)
	}
	return lib, report
}

// TestStartersAreSound: each starter is read at once, without a fault or a warning, and so it is with every line in it that is
// commented out put in, but for those that exclude another.
func TestStartersAreSound(t *testing.T) {
	t.Parallel()
	for _, kind := range StarterKinds() {
		text, err := Starter(kind, "my-part.2", "own.yaml")
		if err != nil {
			t.Fatal(err)
		}
		full := strings.NewReplacer("    # file:", "    # no file:").Replace(text)
		for _, key := range []string{"case_resistance", "radiant_efficiency", "mass", "price", "beam_across", "field", "ripple", "dimming", "wall", "slots", "fins", "material", "second_moment", "stock"} {
			full = strings.Replace(full, "    # "+key+":", "    "+key+":", 1)
		}
		if kind == "optic" {
			full = strings.Replace(full, "    efficiency:", "    field_across: 60 deg\n    efficiency:", 1)
		}
		for what, one := range map[string]string{"as it is": text, "in full": full} {
			lib, report := readText(t, one)
			if err := report.Err(); err != nil || len(report.Warnings) > 0 {
				t.Errorf("%s %s: %v, %v", kind, what, err, report.Warnings)
			}
			found := lib.Modules["my-part.2"].Name + lib.Optics["my-part.2"].Name + lib.Drivers["my-part.2"].Name + lib.Profiles["my-part.2"].Name
			if found != "my-part.2" || strings.Contains(one, "NAME") || strings.Contains(one, "FILE") {
				t.Errorf("%s %s: %q", kind, what, found)
			}
		}
	}
	if _, err := Starter("module", "a b", "own.yaml"); err == nil {
		t.Error("a name with a blank")
	}
}

// TestOutputOfTheModule: figures of a whole module are those of its dies, by hand: twelve in two paths of six; radiant efficiency
// follows from flux and spectrum where it is not given.
func TestOutputOfTheModule(t *testing.T) {
	t.Parallel()
	of := func(how, rows string) Module {
		lib, report := readText(t, "modules:\n  a:\n    dies: {along: 12, across: 1, pitch: 5 mm}\n    parallel: 2\n"+how+"    output: ["+rows+`]
    test_temperature: 25 C
    flux_temperature_coefficient: -0.2 %/K
    voltage_temperature_coefficient: -2 mV/K
    thermal_resistance: 3 K/W
    highest_current: 600 mA
    highest_junction: 120 C
    spectrum: white-4000
    board: {length: 70 mm, width: 12 mm}
`)
		if err := report.Err(); err != nil || len(report.Warnings) > 0 {
			t.Fatal(err, report.Warnings)
		}
		return lib.Modules["a"]
	}
	die := of("", "{current: 100 mA, flux: 30 lm, voltage: 2.7 V}, {current: 300 mA, flux: 84 lm, voltage: 2.9 V}")
	whole := of("    output_of: module\n", "{current: 200 mA, flux: 360 lm, voltage: 16.2 V}, {current: 600 mA, flux: 1008 lm, voltage: 17.4 V}")
	for _, amps := range []float64{0.1, 0.2, 0.3} {
		if a, b := die.FluxLm.AtOrZero(amps), whole.FluxLm.AtOrZero(amps); math.Abs(a-b) > 1e-9 || a == 0 {
			t.Errorf("%g A: %g lm and %g lm", amps, a, b)
		}
		if a, b := die.ForwardV.AtOrZero(amps), whole.ForwardV.AtOrZero(amps); math.Abs(a-b) > 1e-9 {
			t.Errorf("%g A: %g V and %g V", amps, a, b)
		}
	}
	if want := 30 / die.LmPerW / (0.1 * 2.7); math.Abs(die.RadiantEfficiency-want) > 1e-9 || math.Abs(whole.RadiantEfficiency-want) > 1e-9 {
		t.Errorf("radiant efficiency %g and %g, want %g", die.RadiantEfficiency, whole.RadiantEfficiency, want)
	}
	if _, report := readText(t, "modules: {a: {based_on: quad-neutral, output_of: module}}\n"); report.Err() == nil {
		t.Error("output_of without output")
	}
}

// TestNotchesAtTheRim: a hole over the board's edge is a notch.
func TestNotchesAtTheRim(t *testing.T) {
	t.Parallel()
	lib, report := readText(t, "modules: {a: {based_on: quad-neutral, holes: [{along: -14.5 mm, across: 0 mm, diameter: 3.2 mm}, {along: 15 mm, across: 0 mm, diameter: 3.2 mm}]}}\n")
	if err := report.Err(); err != nil || len(lib.Modules["a"].Holes) != 2 {
		t.Errorf("%v: %v", err, lib.Modules["a"].Holes)
	}
}
