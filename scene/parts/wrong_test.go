package parts

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene/document"
)

// with returns a table with ownModule's module, one line of which is replaced: the line that begins with key.
func with(key, line string) string {
	lines := strings.Split(strings.TrimSpace(ownModule), "\n")
	for i, l := range lines {
		if strings.HasPrefix(strings.TrimSpace(l), key+":") {
			lines[i] = strings.TrimRight("    "+line, " ")
			if key == "output" {
				lines = append(lines[:i+1], lines[i+3:]...)
			}
			break
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// manyNames returns as many entries of a table, all without content.
func manyNames(count int) string {
	var b strings.Builder
	for i := range count {
		fmt.Fprintf(&b, "p%d: x, ", i)
	}
	return b.String()
}

// wrong are tables of parts, each with the faults that it is answered with, in order.
var wrong = []struct{ name, text, want string }{
	{"a list", "- a\n", `own.yaml:1:1: a list is given here; write keys with their values: include, modules, optics, drivers, profiles, spectra, waters`},
	{"unknown kind", "optic: {}\n", `own.yaml:1:1: optic: unknown key; did you mean "optics"?`},
	{"a kind as a list", "optics: [a]\n", `own.yaml:1:9: optics: a list is given here; write names with their values`},
	{"a part as a number", "optics: {a: 5}\n", `own.yaml:1:13: optics.a: a single value is given here; write keys with their values`},
	{"a name with a comma", "optics: {\"a,b\": {beam: 20 deg, efficiency: 1}}\n", `own.yaml:1:10: optics.a,b: a part's name may hold only letters, digits, dots, dashes and underscores`},
	{"twice the same", "optics:\n  a: {beam: 20 deg, efficiency: 1}\n  a: {beam: 30 deg, efficiency: 1}\n", `own.yaml:3:3: optics.a: repeated key; it was given on line 2 already`},

	{"optic: unknown key", "optics: {a: {bem: 20 deg, efficiency: 1}}\n",
		`own.yaml:1:13: optics.a.beam: missing beside the other values; give an angle such as 40 deg (full angle between the di` + "\n" +
			`own.yaml:1:14: optics.a.bem: unknown key; did you mean "beam"?`},
	{"optic: no unit", "optics: {a: {beam: 20, efficiency: 1}}\n", `own.yaml:1:20: optics.a.beam: 20 has no unit; write 20 deg`},
	{"optic: too wide", "optics: {a: {beam: 180 deg, efficiency: 1}}\n", `own.yaml:1:20: optics.a.beam: 180 deg is out of range; give an angle from 1° to 179°`},
	{"optic: field in beam", "optics: {a: {beam: 40 deg, field: 40 deg, efficiency: 1}}\n", `own.yaml:1:35: optics.a.field: a field angle of 40° is not wider than the beam angle of 40°`},
	{"optic: base's field in beam", "optics: {a: {based_on: wide-60f, beam: 100 deg}}\n", `own.yaml:1:13: optics.a.field: a field angle of 90° is not wider than the beam angle of 100°`},
	{"optic: field across in beam", "optics: {a: {based_on: oval-60x25, field: 90 deg, field_across: 25 deg}}\n", `own.yaml:1:65: optics.a.field_across: a field angle of 25° is not wider than the beam angle of 25°`},
	{"optic: field along alone", "optics: {a: {beam: 40 deg, beam_across: 20 deg, field: 60 deg, efficiency: 1}}\n", `own.yaml:1:13: optics.a.field_across: missing; give it beside field, as the beam differs along and across`},
	{"optic: field across alone", "optics: {a: {beam: 40 deg, field_across: 60 deg, efficiency: 1}}\n", `own.yaml:1:13: optics.a.field: missing; give it beside field_across`},
	{"optic: file and beam", "optics: {a: {file: a.ies, beam: 40 deg, efficiency: 1}}\n", `own.yaml:1:33: optics.a.beam: file and beam exclude each other; give one or the other`},
	{"optic: field on a file", "optics:\n  a: {file: a.ies, efficiency: 1}\n  b: {based_on: a, field: 70 deg}\n", `own.yaml:3:27: optics.b.field: the file a.ies holds the shape of the light; give beam too to replace it`},
	{"optic: more than all", "optics: {a: {beam: 40 deg, efficiency: 1.2}}\n", `own.yaml:1:40: optics.a.efficiency: 1.2 is out of range; give a number from 0.0001 to 1`},
	{"optic: all stray", "optics: {a: {beam: 40 deg, efficiency: 1, stray: 1}}\n", `own.yaml:1:50: optics.a.stray: 1 is out of range; give a number from 0 to 0.999`},
	{"optic: no efficiency", "optics: {a: {beam: 40 deg}}\n", `own.yaml:1:13: optics.a.efficiency: missing; give a number such as 0.88 (share of the dies' flux that leaves the optic)`},
	{"optic: empty value", "optics:\n  a:\n    beam:\n    efficiency: 1\n", `own.yaml:3:10: optics.a.beam: the value is missing; write one or remove the line`},
	{"optic: price", "optics: {a: {based_on: round-40, price: cheap}}\n", `own.yaml:1:41: optics.a.price:`},

	{"unknown base", "optics: {a: {based_on: raund-40}}\n", `own.yaml:1:24: optics.a.based_on: there is no optic "raund-40"; did you mean "round-40"?`},
	{"based on itself", "optics: {a: {based_on: a}}\n", `own.yaml:1:24: optics.a.based_on: a is based on itself: a -> a`},
	{"ring", "optics:\n  x: {based_on: a}\n  a: {based_on: b}\n  b: {based_on: c}\n  c: {based_on: a}\n", `own.yaml:5:17: optics.c.based_on: a is based on itself: a -> b -> c -> a`},
	{"ring over a built-in name", "optics:\n  round-40: {based_on: b}\n  b: {based_on: round-40}\n", `own.yaml:3:17: optics.b.based_on: round-40 is based on itself: round-40 -> b -> round-40`},
	{"base is faulty", "optics:\n  b: {based_on: a}\n  a: {beam: 40, efficiency: 1}\n", `own.yaml:3:13: optics.a.beam: 40 has no unit; write 40 deg`},

	{"module: nothing", "modules: {a: {}}\n", strings.Join([]string{
		`modules.a.dies: missing; give the dies on the board`, `modules.a.test_temperature: missing`,
		`modules.a.flux_temperature_coefficient: missing`, `modules.a.voltage_temperature_coefficient: missing`, `modules.a.thermal_resistance: missing`, `modules.a.highest_current: missing`,
		`modules.a.highest_junction: missing`, `modules.a.spectrum: missing`, `modules.a.board: missing`, `modules.a.output: missing; give one die's light`}, "\n")},
	{"module: no pitch", with("dies", "dies: {along: 2, across: 1}"), `own.yaml:4:11: modules.pair.dies.pitch: missing beside the other values; give a length such as 6 mm (between the middles of the `},
	{"module: two pitches", with("dies", "dies: {along: 2, across: 1, pitch: 6 mm, pitch_along: 7 mm}"), `own.yaml:4:59: modules.pair.dies.pitch_along: pitch and pitch_along exclude each other; give one or the other`},
	{"module: half a die", with("dies", "dies: {along: 2.5, across: 1, pitch: 6 mm}"), `own.yaml:4:19: modules.pair.dies.along: 2.5 is not a whole number; give one from 1 to 100`},
	{"module: wider than its board", with("dies", "dies: {along: 2, across: 1, pitch: 60 mm}"), `own.yaml:4:11: modules.pair.dies: the dies reach beyond the board, which is 25 mm by 25.4 mm`},
	{"module: unequal paths", with("parallel", "parallel: 3"), `own.yaml:5:15: modules.pair.parallel: 2 dies do not split into 3 equal paths`},
	{"module: one row", with("output", "output: [{current: 350 mA, flux: 139 lm, voltage: 3.5 V}]"), `own.yaml:6:13: modules.pair.output: the list is too short; give at least 2`},
	{"module: no list", with("output", "output: {current: 350 mA, flux: 139 lm, voltage: 3.5 V}"), `own.yaml:6:13: modules.pair.output: a mapping is given here; write a list`},
	{"module: current falls", with("output", "output: [{current: 700 mA, flux: 139 lm, voltage: 3 V}, {current: 350 mA, flux: 150 lm, voltage: 3.1 V}]"), `own.yaml:6:71: modules.pair.output[1].current: the current does not rise over the row before`},
	{"module: flux stands", with("output", "output: [{current: 0.2 A, flux: 139 lm, voltage: 3 V}, {current: 0.3 A, flux: 139 lm, voltage: 3.1 V}]"), `own.yaml:6:83: modules.pair.output[1].flux: the flux does not rise over the row before`},
	{"module: voltage falls", with("output", "output: [{current: 0.2 A, flux: 80 lm, voltage: 3 V}, {current: 0.3 A, flux: 90 lm, voltage: 2.9 V}]"), `own.yaml:6:98: modules.pair.output[1].voltage: the voltage does not rise over the row before`},
	{"module: too much light", with("output", "output: [{current: 0.1 A, flux: 210 lm, voltage: 3 V}, {current: 0.3 A, flux: 300 lm, voltage: 3.1 V}]"), `own.yaml:6:14: modules.pair.output[0]: 700 lm/W; no light has more than 683 lm/W`},
	{"module: wrong unit", with("highest_current", "highest_current: 700 mV"), `own.yaml:13:22: modules.pair.highest_current: "mV" is not a unit of current; use mA or A`},
	{"module: holds too hot", with("test_temperature", "test_temperature: 130 C"), `own.yaml:9:23: modules.pair.test_temperature: 130 °C is above the highest junction temperature, 120 °C`},
	{"module: spectrum", with("spectrum", "spectrum: whit-4000"), `own.yaml:16:15: modules.pair.spectrum: there is no spectrum "whit-4000"; did you mean "white-4000"?`},
	{"module: hole off the board", with("holes", "holes: [{along: -42 mm, across: 0 mm, diameter: 3 mm}]"), `own.yaml:18:13: modules.pair.holes[0]: the hole's middle is beyond the board's edge`},
	{"module: base's hole off the board", "modules: {a: {based_on: single-neutral, board: {length: 13 mm, width: 15 mm}}}\n", `own.yaml:1:14: modules.a.holes: the hole's middle is beyond the board's edge`},
	{"module: decay", with("maintenance", "maintenance: [{case: 55 C, alpha: 1 1/s, b: 0.96, tested: 1 d}]"), `own.yaml:19:39: modules.pair.maintenance[0].alpha: "1/s" is not a unit of decay rate; use 1/h or 1/kh` + "\n" +
		`own.yaml:19:63: modules.pair.maintenance[0].tested: "d" is not a unit of duration; use h, min or s`},

	{"driver: no current", "drivers: {a: {based_on: cc-700, currents: []}}\n", `own.yaml:1:43: drivers.a.currents: the list is too short; give at least 1`},
	{"driver: a current twice", "drivers: {a: {based_on: cc-700, currents: [350 mA, 0.35 A]}}\n", `own.yaml:1:52: drivers.a.currents[1]: 350 mA is given twice`},
	{"driver: voltages swapped", "drivers: {a: {based_on: cc-700, voltage: {low: 48 V, high: 9 V}}}\n", `own.yaml:1:48: drivers.a.voltage.low: the lowest voltage, 48 V, is not below the highest, 9 V`},
	{"driver: loads fall", "drivers: {a: {based_on: cc-700, efficiency: [{load: 1, share: 0.9}, {load: 0.5, share: 0.8}]}}\n", `own.yaml:1:76: drivers.a.efficiency[1].load: the load does not rise over the row before`},
	{"driver: one load", "drivers: {a: {based_on: cc-700, efficiency: [{load: 1, share: 0.9}]}}\n", `own.yaml:1:45: drivers.a.efficiency: the list is too short; give at least 2`},
	{"driver: perpetual", "drivers: {a: {based_on: cc-700, efficiency: 101 %}}\n", `own.yaml:1:45: drivers.a.efficiency: 101 % is out of range; give a number from 0.0001 to 1`},
	{"driver: protection", "drivers: {a: {based_on: cc-700, ip: IP7}}\n", `own.yaml:1:37: drivers.a.ip: "IP7" is no protection code; write it as in IP67`},

	{"profile: too much metal", "profiles: {a: {based_on: flat-60x5, metal: 301 mm2}}\n", `own.yaml:1:44: profiles.a.metal: 301 mm2 of metal do not fit into 60 mm by 5 mm`},
	{"module: case resistance", "modules: {a: {based_on: quad-neutral, thermal_resistance: 2 K/W, case_resistance: 3 K/W}}\n", `own.yaml:1:83: modules.a.case_resistance: 3 K/W is more than the whole thermal resistance, 2 K/W`},
	{"profile: thick wall", "profiles: {a: {based_on: flat-60x5, wall: 6 mm}}\n", `own.yaml:1:43: profiles.a.wall: a wall of 6 mm is thicker than the bar, 5 mm`},
	{"profile: wide fins", "profiles: {a: {based_on: flat-60x5, fins: {count: 31, thickness: 2 mm}}}\n", `own.yaml:1:43: profiles.a.fins: 31 fins of 2 mm are wider than the bar, 60 mm`},
	{"profile: slot off the bar", "profiles: {a: {based_on: flat-60x5, slots: [{across: 28 mm, width: 8 mm}]}}\n", `own.yaml:1:45: profiles.a.slots[0]: the slot runs over the edge of a bar that is 60 mm wide`},

	{"profile: base's slot off the bar", "profiles: {a: {based_on: bar-40x20, width: 6 mm, metal: 90 mm2}}\n", `own.yaml:1:15: profiles.a.slots: the slot runs over the edge of a bar that is 6 mm wide`},
	{"too many", "optics: {" + manyNames(1001) + "}\n", `own.yaml:1:9: optics: 1001 parts are too many; a file may hold 1000 of each kind`},

	{"water: no slope", "waters: {a: {cdom_absorption_440: 1 1/m, particle_absorption: 0 1/m, particle_scattering: 0 1/m}}\n", `own.yaml:1:13: waters.a.cdom_spectral_slope: missing beside the other values; give a spectral slope such as 0.017 1/nm (how fast the `},
	{"water: no asymmetry", "waters: {a: {cdom_absorption_440: 0 1/m, particle_absorption: 0 1/m, particle_scattering: 1 1/m}}\n", `own.yaml:1:13: waters.a.asymmetry: missing beside the other values; give a number such as 0.924 (mean cosine of the angle o`},
	{"water: bare number", "waters: {a: {based_on: clear, cdom_absorption_440: 1}}\n", `own.yaml:1:52: waters.a.cdom_absorption_440: 1 has no unit; write 1 1/m`},

	{"spectrum: none", "spectra: {a: {about: dark}}\n", `own.yaml:1:14: spectra.a: give exactly one of illuminant, band, table, file, mix`},
	{"spectrum: two", "spectra: {a: {illuminant: A, mix: []}}\n", `own.yaml:1:14: spectra.a: give exactly one of illuminant, band, table, file, mix`},
	{"spectrum: illuminant", "spectra: {a: {illuminant: LED-B6}}\n", `own.yaml:1:27: spectra.a.illuminant: LED-B6 is not known; did you mean "LED-B1"?`},
	{"spectrum: band", "spectra: {a: {band: {peak: 900 nm}}}\n", `own.yaml:1:21: spectra.a.band.width: missing; give a wavelength such as 20 nm (full width at half the peak)` + "\n" +
		`own.yaml:1:28: spectra.a.band.peak: 900 nm is out of range; give a wavelength from 380 nm to 780 nm`},
	{"spectrum: table falls", "spectra: {a: {table: [{wavelength: 500 nm, power: 1}, {wavelength: 500 nm, power: 2}]}}\n", `own.yaml:1:68: spectra.a.table[1].wavelength: the wavelength does not rise over the row before`},
	{"spectrum: one row", "spectra: {a: {table: [{wavelength: 500 nm, power: 1}]}}\n", `own.yaml:1:22: spectra.a.table: the list is too short; give at least 2`},
	{"spectrum: no row", "spectra: {a: {table: []}}\n", `own.yaml:1:22: spectra.a.table: the list is too short; give at least 2`},
	{"spectrum: dark", "spectra: {a: {table: [{wavelength: 500 nm, power: 0}, {wavelength: 600 nm, power: 0}]}}\n", `own.yaml:1:22: spectra.a.table: there is no power at the whole nanometres from 380 to 780`},
	{"spectrum: negative", "spectra: {a: {table: [{wavelength: 500 nm, power: -1}, {wavelength: 600 nm, power: 1}]}}\n", `own.yaml:1:51: spectra.a.table[0].power: -1 is out of range`},
	{"spectrum: no file", "spectra: {a: {file: none.csv}}\n", `own.yaml:1:21: spectra.a.file: none.csv: no such file`},
	{"spectrum: bad file", "spectra: {a: {file: bad.csv}}\n", `own.yaml:1:21: spectra.a.file: bad.csv: line 2, column power: "bright" is not a finite number`},
	{"spectrum: file in metres", "spectra: {a: {file: metres.csv}}\n", `own.yaml:1:21: spectra.a.file: wavelengths run from 4e-07 to 5e-07; give them in nm, from 100 to 5000`},
	{"spectrum: negative file", "spectra: {a: {file: negative.csv}}\n", `own.yaml:1:21: spectra.a.file: the power at 400 nm is -1; give it on a scale from 0 to 1e9`},
	{"spectrum: shares", "spectra: {a: {mix: [{spectrum: red, share: 0.5}, {spectrum: blue, share: 0.4}]}}\n", `own.yaml:1:20: spectra.a.mix: the shares sum to 0.9; they must sum to 1`},
	{"spectrum: mix of nothing", "spectra: {a: {mix: []}}\n", `own.yaml:1:20: spectra.a.mix: the list is too short; give at least 1`},
	{"spectrum: unknown in mix", "spectra: {a: {mix: [{spectrum: rad, share: 1}]}}\n", `own.yaml:1:32: spectra.a.mix[0].spectrum: there is no spectrum "rad"; did you mean "red"?`},
	{"spectrum: mix ring", "spectra:\n  a: {mix: [{spectrum: b, share: 1}]}\n  b: {mix: [{spectrum: a, share: 1}]}\n", `own.yaml:3:24: spectra.b.mix[0].spectrum: a is based on itself: a -> b -> a`},
	{"spectrum: faulty, and in a module", "modules: {m: {based_on: quad-neutral, spectrum: a}}\nspectra: {a: {illuminant: B}}\n", `own.yaml:2:27: spectra.a.illuminant: B is not known; did you mean "A"?`},

	{"include: no list", "include: a.yaml\n", `own.yaml:1:10: include: a single value is given here; write a list`},
	{"include: no file", "include: [none.yaml]\n", `own.yaml:1:11: include[0]: none.yaml: no such file`},
	{"include: ring", "include: [a.yaml]\n", `b.yaml:1:11: include[0]: the file includes itself: a.yaml -> b.yaml -> a.yaml`},
	{"include: fault inside", "include: [faulty.yaml]\noptics: {b: {based_on: a}}\n", `faulty.yaml:1:20: optics.a.beam: 40 has no unit; write 40 deg`},
	{"include: large", "include: [large.yaml]\n", `own.yaml:1:11: include[0]: large.yaml has 1048577 bytes; a file may hold 1048576 (1 MiB)`},
}

// besideWrong are the files that the wrong tables name.
var besideWrong = files{
	"a.yaml": "include: [b.yaml]\n", "b.yaml": "include: [a.yaml]\n",
	"faulty.yaml":  "optics: {a: {beam: 40, efficiency: 1}}\n",
	"large.yaml":   strings.Repeat("#", document.MaxBytes+1),
	"bad.csv":      "wavelength_nm,power\n400,bright\n",
	"metres.csv":   "wavelength_nm,power\n4e-7,1\n5e-7,1\n",
	"negative.csv": "wavelength_nm,power\n400,-1\n500,1\n",
}

// TestWrongParts holds that each fault is found, at its place, and nothing else is complained about.
func TestWrongParts(t *testing.T) {
	for _, c := range wrong {
		_, report := readInto(t, c.text, besideWrong)
		want, got := strings.Split(c.want, "\n"), []document.Fault(nil)
		if faults, is := errors.AsType[*document.Error](report.Err()); is {
			got = faults.Faults
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d faults, want %d:\n%v", c.name, len(got), len(want), report.Err())
			continue
		}
		for i, w := range want {
			if !strings.Contains(got[i].Error(), w) {
				t.Errorf("%s: got\n%v\nwant\n%s", c.name, got[i], w)
			}
		}
	}
}

// TestOddParts holds that what is odd but possible is warned of and read.
func TestOddParts(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"efficacy rises", with("output", "output: [{current: 0.1 A, flux: 30 lm, voltage: 3 V}, {current: 0.7 A, flux: 300 lm, voltage: 3.1 V}]"),
			`own.yaml:6:59: modules.pair.output[1]: 138.2 lm/W here and 100.0 lm/W in the row before; the efficacy of a die falls as its current rises`},
		{"table ends early", with("highest_current", "highest_current: 800 mA"),
			`own.yaml:13:22: modules.pair.highest_current: output ends at 350 mA per die, below what the module's highest current, 800 mA, gives each die`},
		{"one side covered", "profiles: {a: {based_on: flat-60x5, perimeter: 70 mm}}\n",
			`own.yaml:1:48: profiles.a.perimeter: 70 mm is less than both sides of a bar of 60 mm by 5 mm; is one side covered?`},
	}
	for _, c := range cases {
		lib, report := readInto(t, c.text, nil)
		if err := report.Err(); err != nil || len(lib.broken) > 0 {
			t.Errorf("%s is refused: %v", c.name, err)
		}
		if len(report.Warnings) != 1 || report.Warnings[0].String() != c.want {
			t.Errorf("%s: got\n%v\nwant\n%s", c.name, report.Warnings, c.want)
		}
	}
}

func TestNoFileServes(t *testing.T) {
	lib, report := Builtin(), &document.Report{}
	root, _ := document.Read("own.yaml", []byte("include: [a.yaml]\n"), report)
	Read(root, nil, report, lib)
	if err := report.Err(); err == nil || err.Error() != "own.yaml:1:11: include[0]: no file can be read here" {
		t.Errorf("got %v", err)
	}
}

func TestLongRingIsCut(t *testing.T) {
	got := ring(strings.Fields("x a b c d e f g h a"))
	if want := "a -> b -> c -> d -> e -> (3 more) -> a"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
