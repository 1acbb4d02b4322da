package parts

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
)

// TestBrokenPartsAreUsedNowhere: a value that is refused while the file is parsed breaks its part at whatever depth, and all that
// is made from it; it is complained about once, and the other parts stay.
func TestBrokenPartsAreUsedNowhere(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text   string
		broken []partID
	}{
		"a row": {"spectra: {a: {table: [{wavelength: 450 nm, power: .nan}, {wavelength: 600 nm, power: 1}]}, b: {mix: [{spectrum: a, share: 1}]}}\n",
			[]partID{{"spectra", "a"}, {"spectra", "b"}}},
		"an empty entry": {"spectra:\n  b: {mix: [{spectrum: a, share: 0.5}, {spectrum: red, share: 0.5}]}\n  a: {band: {peak: 450 nm, width: }}\n",
			[]partID{{"spectra", "a"}, {"spectra", "b"}}},
		"a module's spectrum": {"spectra: {a: {band: {peak: .inf, width: 20 nm}}}\nmodules: {m: {based_on: quad-neutral, spectrum: a}, n: {based_on: m, price: 1 EUR}}\n",
			[]partID{{"spectra", "a"}, {"modules", "m"}, {"modules", "n"}}},
		"a hole":         {"modules: {m: {based_on: quad-neutral, holes: [{along: 0 mm, across: .nan, diameter: 3 mm}]}}\n", []partID{{"modules", "m"}}},
		"a test":         {"modules: {m: {based_on: quad-neutral, maintenance: [{case: 55 C, alpha: ~, b: 0.9, tested: 1000 h}]}}\n", []partID{{"modules", "m"}}},
		"a repeated key": {"drivers: {d: {based_on: cc-700, voltage: {low: 9 V, low: 12 V, high: 40 V}}}\n", []partID{{"drivers", "d"}}},
		"a tag":          {"profiles: {p: {based_on: bar-40x20, slots: [{across: !foo 0 mm, width: 8 mm}]}}\n", []partID{{"profiles", "p"}}},
	} {
		lib, report := Builtin(), &document.Report{}
		readOwn(c.text, "", report, lib)
		if len(report.Faults) != 1 {
			t.Errorf("%s: %v", name, report.Faults)
		}
		for _, id := range c.broken {
			if !lib.broken[id] {
				t.Errorf("%s: %v is used", name, id)
			}
		}
		if len(lib.broken) != len(c.broken) {
			t.Errorf("%s: broken are %v", name, lib.broken)
		}
		checkUsable(t, lib)
	}
}

// TestBrokenBeyondTheMostFaults: a part is as broken where its fault is one too many to be kept.
func TestBrokenBeyondTheMostFaults(t *testing.T) {
	t.Parallel()
	lib, report := Builtin(), &document.Report{}
	for i := range 5000 {
		report.AddFault(document.Fault{Place: finding.Place{Line: i + 1}})
	}
	readOwn("optics: {a: {beam: 40 deg, efficiency: 7}}\n", "", report, lib)
	if _, used := lib.Optics["a"]; used {
		t.Error("an optic with an efficiency of 7 is used")
	}
}

// TestUnreadTableIsOneFault: what stands in a table that cannot be read is not called unknown where it is named.
func TestUnreadTableIsOneFault(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"include: [more.yaml]\nmodules: {m: {based_on: theirs}}\n", "spectra: .nan\nmodules: {m: {based_on: quad-neutral, spectrum: mine}}\n"} {
		lib, report := Builtin(), &document.Report{}
		readOwn(text, "modules: {theirs: [\n", report, lib)
		if len(report.Faults) != 1 {
			t.Errorf("%s: %v", text, report.Faults)
		}
		if _, used := lib.Modules["m"]; used {
			t.Errorf("%s: a module without what it is made of is used", text)
		}
	}
}

// TestLeastOfAPart: what is next to nothing is refused where it must be something.
func TestLeastOfAPart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"drivers: {d: {based_on: cc-700, rated: 1e-308 W}}\n", "own.yaml:1:40: drivers.d.rated: 1e-308 W is out of range; give a power from 0.01 W to 10000 W"},
		{"drivers: {d: {based_on: cc-700, currents: [1e-308 A]}}\n", "own.yaml:1:44: drivers.d.currents[0]: 1e-308 A is out of range; give a current from 0.1 mA to 50 A"},
		{"modules: {m: {based_on: quad-neutral, thermal_resistance: 1e-308 K/W}}\n", "give a thermal resistance from 0.001 K/W to 1000 K/W"},
		{"modules: {m: {based_on: quad-neutral, highest_current: 0.2 mA}}\n", "own.yaml:1:56: modules.m.highest_current: 0.2 mA is below the first row of output, "},
		{"modules: {m: {based_on: quad-neutral, radiant_efficiency: 1e-308}}\n", "give a number from 0.0001 to 0.95"},
	} {
		lib, report := Builtin(), &document.Report{}
		readOwn(c.text, "", report, lib)
		if err := report.Err(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v does not say %q", err, c.want)
		}
	}
	lib, report := Builtin(), &document.Report{}
	readOwn("drivers: {d: {based_on: cc-700, efficiency: [{load: 0, share: 0.5}, {load: 1e-308, share: 0.9}]}, e: {based_on: cc-700, voltage: {low: 1e-308 V, high: 48 V}}}\n", "", report, lib)
	if len(report.Faults) > 1 { // two loads of nothing
		t.Error(report.Faults)
	}
	if got := lib.Drivers["e"].LowestV; got != 0 {
		t.Errorf("next to no volts are %g", got)
	}
	if y, _ := lib.Drivers["d"].Efficiency.At(0.5); math.IsNaN(y) {
		t.Error(fmt.Sprint("an efficiency is ", y))
	}
}
