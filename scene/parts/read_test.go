package parts

import (
	"errors"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fathomlux/scene/document"
)

const degree = math.Pi / 180

// files opens what stands in a map.
type files map[string]string

func (f files) open(name string) ([]byte, error) {
	text, ok := f[path.Clean(name)]
	if !ok {
		return nil, errors.New("no such\nfile")
	}
	return []byte(text), nil
}

// readInto reads a table of parts over the built-in ones.
func readInto(t testing.TB, text string, beside files) (*Catalogue, *document.Report) {
	t.Helper()
	lib, report := Builtin(), &document.Report{}
	if root, ok := document.Read("own.yaml", []byte(text), report); ok {
		Read(root, beside.open, report, lib)
	}
	return lib, report
}

// mustReadOwn is readInto for a table without fault.
func mustReadOwn(t *testing.T, text string, beside files) *Catalogue {
	t.Helper()
	lib, report := readInto(t, text, beside)
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	return lib
}

// ownModule is a module with every field.
const ownModule = `
modules:
  pair:
    about: two dies
    dies: {along: 2, across: 1, pitch_along: 8 mm}
    parallel: 2
    output:
      - {current: 0.1 A, flux: 40 lm, voltage: 2.9 V}
      - {current: 350 mA, flux: 120 lm, voltage: 3.1 V}
    test_temperature: 85 C
    flux_temperature_coefficient: -0.2 %/K
    voltage_temperature_coefficient: -1.5 mV/K
    thermal_resistance: 6 K/W
    highest_current: 700 mA
    highest_junction: 120 C
    radiant_efficiency: 40 %
    spectrum: white-3000
    board: {length: 25 mm, width: 1 in}
    holes: [{along: -10 mm, across: 0 mm, diameter: 3 mm}]
    maintenance: [{case: 55 C, alpha: 1.684e-6, b: 0.9639, tested: 10000 h}, {case: 85 C, alpha: 3.354e-3 1/kh, b: 0.9525, tested: 10000 h}]
    price: 2.50 USD
`

func TestReadModule(t *testing.T) {
	m := mustReadOwn(t, ownModule, nil).Modules["pair"]
	want := Module{
		Name: "pair", About: "two dies", DiesAlong: 2, DiesAcross: 1, PitchAlongM: 0.008, ParallelPaths: 2,
		ReferenceC: 85, FluxPerK: -0.002, VoltsPerK: -0.0015, ResistanceKPerW: 6, CaseResistanceKPerW: 3, HighestA: 0.7, HighestJunctionC: 120, RadiantEfficiency: 0.4,
		Spectrum: "white-3000", LmPerW: Builtin().Spectra["white-3000"].LmPerW, BoardLengthM: 0.025, BoardWidthM: 0.0254, MassKg: 0.0016 * 2700 * 0.025 * 0.0254, Holes: []Hole{{-0.01, 0, 0.003}},
		Maintenance: []Maintenance{{55, 1.684e-6, 0.9639, 10000}, {85, 3.354e-6, 0.9525, 10000}}, Price: Money{2.5, "USD"},
	}
	curves := cmpopts.IgnoreFields(Module{}, "FluxLm", "ForwardV")
	if diff := cmp.Diff(want, m, curves, cmpopts.EquateApprox(1e-12, 0)); diff != "" { // a unit's factor rounds once
		t.Errorf("want (-), got (+):\n%s", diff)
	}
	if lm, v := m.FluxLm.AtOrZero(0.35), m.ForwardV.AtOrZero(0.1); lm != 120 || v != 2.9 {
		t.Errorf("120 lm and 2.9 V are read as %g and %g", lm, v)
	}
	if _, ok := m.FluxLm.At(0.36); ok {
		t.Error("the table answers beyond its last row")
	}
}

func TestReadOtherKinds(t *testing.T) {
	lib := mustReadOwn(t, `
optics:
  round: {beam: 30 deg, field: 60 deg, efficiency: 90 %, stray: 5 %, price: 1 EUR}
  oval: {beam: 50 deg, beam_across: 20 deg, field: 80 deg, field_across: 40 deg, efficiency: 0.9}
  measured: {file: lens.ies, efficiency: 0.9}
  measured-too: {based_on: round, file: lens.ies}
  shaped: {based_on: measured, beam: 12 deg}
  rounder: {based_on: round, beam: 35 deg}
drivers:
  select: {currents: [700 mA, 0.35 A], voltage: {low: 9 V, high: 48 V}, rated: 33.6 W, efficiency: [{load: 50 %, share: 0.8}, {load: 1, share: 0.9}], ip: IPX7}
profiles:
  plate: {based_on: flat-60x5, width: 80 mm, slots: [{across: -10 mm, width: 8 mm}]}
waters:
  pond: {based_on: tea, particle_scattering: 1 1/m}
`, nil)
	approx := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%s is %g, want %g", what, got, want)
		}
	}
	o := lib.Optics
	approx("round, beam across", o["round"].BeamAcrossRad, 30*degree)
	approx("round, field across", o["round"].FieldAcrossRad, 60*degree)
	approx("round, stray", o["round"].StrayShare, 0.05)
	approx("oval, beam across", o["oval"].BeamAcrossRad, 20*degree)
	approx("oval, field across", o["oval"].FieldAcrossRad, 40*degree)
	approx("shaped, beam", o["shaped"].BeamRad, 12*degree)
	approx("rounder, beam across", o["rounder"].BeamAcrossRad, 35*degree)
	if o["measured"].File != "lens.ies" || o["measured-too"].BeamRad != 0 || o["measured-too"].FieldRad != 0 || o["shaped"].File != "" {
		t.Errorf("files and angles are mixed up: %+v, %+v, %+v", o["measured"], o["measured-too"], o["shaped"])
	}
	d := lib.Drivers["select"]
	if !slices.Equal(d.CurrentsA, []float64{0.35, 0.7}) || d.IP != "IPX7" {
		t.Errorf("driver %+v", d)
	}
	approx("efficiency at 75 %", d.Efficiency.AtOrZero(0.75), 0.85)
	p := lib.Profiles["plate"]
	approx("plate, width", p.WidthM, 0.08)
	approx("plate, height of its base", p.HeightM, 0.005)
	approx("plate, slot", p.Slots[0].AcrossM, -0.01)
	approx("pond, colour of its base", lib.Waters["pond"].CDOM440PerM, 4)
	approx("pond, scattering", lib.Waters["pond"].ParticleScatterPerM, 1)
}

func TestReadSpectra(t *testing.T) {
	beside := files{"lamp.csv": "# my lamp\nwavelength_nm,power\n400,1\n700,3\n"}
	lib := mustReadOwn(t, `
spectra:
  both: {mix: [{spectrum: lamp, share: 25 %}, {spectrum: line, share: 0.75}]}
  lamp: {file: lamp.csv}
  line: {table: [{wavelength: 500 nm, power: 0}, {wavelength: 0.51 um, power: 2}, {wavelength: 520 nm, power: 0}]}
  a: {illuminant: A}
`, beside)
	s := lib.Spectra
	if p := s["lamp"].Power.AtOrZero(550); p != 2 {
		t.Errorf("lamp at 550 nm: %g, want 2, half way", p)
	}
	if p := s["a"].Power.AtOrZero(560); p != 100 {
		t.Errorf("A at 560 nm: %g, want 100", p)
	}
	// The lamp's power over its 300 nm is 600, and half a nanometre beyond either end belongs to it as the grid is 1 nm: 602.
	if p := s["both"].Power.AtOrZero(600); math.Abs(p-0.25*(1+400.0/300)/602) > 1e-12 {
		t.Errorf("both at 600 nm: %g", p)
	}
	if sum := visiblePower(s["both"].Power); math.Abs(sum-1) > 1e-12 {
		t.Errorf("both sums to %g, want 1", sum)
	}
	if p := s["both"].Power.AtOrZero(510); math.Abs(p-0.75*2/20-0.25*(1+2*110.0/300)/602) > 1e-12 {
		t.Errorf("both at 510 nm: %g", p)
	}
}

func TestOwnPartsShadow(t *testing.T) {
	lib := mustReadOwn(t, `
modules:
  quad-neutral: {based_on: quad-neutral, price: 9 EUR}
  mine: {based_on: quad-neutral, parallel: 2}
spectra:
  white-4000: {mix: [{spectrum: white-4000, share: 0.9}, {spectrum: deep-red, share: 0.1}]}
`, nil)
	if m := lib.Modules["mine"]; m.Price != (Money{9, "EUR"}) || m.ParallelPaths != 2 || m.DiesAlong != 2 {
		t.Errorf("mine does not stand on the own quad-neutral: %+v", m)
	}
	if had, has := Builtin().Spectra["white-4000"].Power, lib.Spectra["white-4000"].Power; has.AtOrZero(660)/has.AtOrZero(550) <= had.AtOrZero(660)/had.AtOrZero(550) {
		t.Error("the own white-4000 is no redder than the built-in one")
	}
}

func TestInclude(t *testing.T) {
	beside := files{
		"a.yaml":     "include: [sub/b.yaml, c.yaml]\noptics:\n  lens: {based_on: base, beam: 20 deg}\n",
		"sub/b.yaml": "include: [./c.yaml]\noptics:\n  base: {beam: 50 deg, efficiency: 0.5}\n",
		"c.yaml":     "optics:\n  base: {beam: 70 deg, efficiency: 0.7}\n  other: {beam: 80 deg, efficiency: 0.8}\n",
	}
	lib := mustReadOwn(t, "include: [a.yaml]\noptics: {other: {based_on: lens, stray: 0.1}}\n", beside)
	if o := lib.Optics["lens"]; o.Efficiency != 0.5 {
		t.Errorf("lens has the efficiency %g, want 0.5: the file that includes goes over the one that it includes", o.Efficiency)
	}
	if o := lib.Optics["other"]; math.Abs(o.BeamRad-20*degree) > 1e-12 || o.StrayShare != 0.1 {
		t.Errorf("other is not the outermost one: %+v", o)
	}
}

func TestIncludeDepth(t *testing.T) {
	beside := files{}
	for i := 1; i <= 9; i++ {
		beside[fmt.Sprintf("%d.yaml", i)] = fmt.Sprintf("include: [%d.yaml]\n", i+1)
	}
	beside["9.yaml"] = "optics: {deep: {beam: 20 deg, efficiency: 0.5}}\n"
	_, report := readInto(t, "include: [1.yaml]\n", beside)
	if len(report.Faults) != 1 || report.Faults[0].Error() != "8.yaml:1:11: include[0]: files include each other more than 8 deep" {
		t.Errorf("faults %v", report.Faults)
	}
	if lib := mustReadOwn(t, "include: [2.yaml]\n", beside); lib.Optics["deep"].Efficiency != 0.5 {
		t.Error("eight levels are refused")
	}
}

// TestLookUp: a name that is not there is complained about once with the nearest one, a part that was faulty never again.
func TestLookUp(t *testing.T) {
	lib, report := readInto(t, "optics:\n  wide: {beam: 200 deg, efficiency: 1}\nmodules: {m: {based_on: quad-neutral, spectrum: red}}\n", nil)
	if len(report.Faults) != 1 {
		t.Fatalf("faults %v", report.Faults)
	}
	ask := &document.Report{}
	n, _ := document.Read("scene.yaml", []byte("a: m\nb: wide\nc: round-4O\nd: [1]\ne: nothing\nf: cc-70\n"), ask)
	f := n.Fields([]string{"a", "b", "c", "d", "e", "f"}, nil)
	if m, ok := LookUp(lib, lib.Modules, f.Get("a")); !ok || m.Spectrum != "red" {
		t.Errorf("m: %v, %v", m, ok)
	}
	lookups := map[string]bool{}
	_, lookups["wide"] = LookUp(lib, lib.Optics, f.Get("b"))
	_, lookups["round-4O"] = LookUp(lib, lib.Optics, f.Get("c"))
	_, lookups["a list"] = LookUp(lib, lib.Profiles, f.Get("d"))
	_, lookups["nothing"] = LookUp(lib, lib.Waters, f.Get("e"))
	_, lookups["cc-70"] = LookUp(lib, lib.Drivers, f.Get("f"))
	_, lookups["a hole"] = LookUp(lib, lib.Spectra, document.Node{})
	for name, ok := range lookups {
		if ok {
			t.Errorf("%s is found", name)
		}
	}
	want := []string{
		`scene.yaml:3:4: c: there is no optic "round-4O"; did you mean "round-40"?`,
		`scene.yaml:4:4: d: a list is given here; write a text`,
		`scene.yaml:5:4: e: there is no kind of water "nothing"; known: blackwater, clear, cloudy, pure, reef, tea, tinted`,
		`scene.yaml:6:4: f: there is no driver "cc-70"; did you mean "cc-700"?`,
	}
	if err := ask.Err(); err == nil || err.Error() != strings.Join(want, "\n") {
		t.Errorf("got\n%v\nwant\n%s", err, strings.Join(want, "\n"))
	}
}

func TestKeys(t *testing.T) {
	lib, report := Builtin(), &document.Report{}
	var text strings.Builder
	for _, key := range Keys() {
		fmt.Fprintf(&text, "%s: {}\n", key)
	}
	root, _ := document.Read("empty.yaml", []byte(text.String()), report)
	if Read(root, nil, report, lib); report.Err() != nil || len(lib.Modules) != len(Builtin().Modules) {
		t.Errorf("empty tables: %v", report.Err())
	}
}
