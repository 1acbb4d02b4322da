package parts

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/readertest"
	"fathomlux/scene/unit"
)

// FuzzRead holds that no table of parts makes the reader panic, that each fault has a file and a message in one line, and
// that a part that is read without a fault can be worked with.
func FuzzRead(f *testing.F) {
	for _, c := range wrong {
		f.Add(c.text, "wavelength_nm,power\n400,1\n700,3\n")
	}
	for _, file := range builtinFiles {
		f.Add(string(mustRead("data/"+file+".yaml")), "")
	}
	f.Add(ownModule, "optics: {a: {beam: 1 rad, efficiency: 1}}\n")
	f.Add("include: [x.yaml, y.yaml]\nspectra: {s: {file: x.csv}, r: {mix: [{spectrum: s, share: 100 %}]}}\n", "spectra: {u: {band: {peak: 600 nm, width: 3 nm}}}\n")
	f.Fuzz(func(t *testing.T, text, beside string) {
		lib, report := new(Catalogue).clone(), &document.Report{}
		readertest.Frugal(t, len(text)+len(beside), func() { readOwn(text, beside, report, lib) })
		for _, w := range report.Warnings {
			report.AddFault(document.Fault{Place: w.Place, Message: w.Words(unit.Metric)})
		}
		for _, fault := range report.Faults {
			if fault.File == "" || fault.Message == "" || strings.ContainsAny(fault.Message, "\n\r") {
				t.Errorf("a fault that says nothing, or too much: %+q", fault)
			}
		}
		checkUsable(t, lib)
		if (len(lib.broken) > 0) && len(report.Faults) == 0 {
			t.Errorf("refused without a fault: %v", lib.broken)
		}
	})
}

// numbered gives each name NAME in a text a number of its own, so that none is refused as a repeated one.
func numbered(text string) string {
	pieces := strings.Split(text, "NAME")
	var b strings.Builder
	for i, p := range pieces[:len(pieces)-1] {
		fmt.Fprintf(&b, "%sn%d", p, i)
	}
	return b.String() + pieces[len(pieces)-1]
}

func readOwn(text, beside string, report *document.Report, lib *Catalogue) {
	if root, ok := document.Read("own.yaml", []byte(text), report); ok {
		Read(root, func(string) ([]byte, error) { return []byte(beside), nil }, report, lib)
	}
}

// TestFrugal: tables of parts and files beside them at their largest, and files that many parts name.
func TestFrugal(t *testing.T) {
	rows := string(readertest.Filled("wavelength_nm,power\n", "400,1\n", document.MaxBytes))
	for _, c := range []struct{ head, unit, beside string }{
		{"modules: {", "NAME: {}, ", ""}, {"optics: {", "NAME: {beam: 1 rad, efficiency: 1}, ", ""}, {"spectra: {s: {file: x.csv}}", "\n", rows},
		{"spectra: {s: {mix: [", "{spectrum: s, share: 1 %},", ""}, {"include: [", "a.yaml,", ""}, {"spectra: {", "NAME: {file: x.csv}, ", rows}, {"spectra: {", "NAME: {band: {peak: 450 nm, width: 20 nm}}, ", ""}, {"waters: {", "NAME: {}, ", ""},
		{"spectra: {s: {file: x.csv}}", "\n", strings.Repeat("a,", document.MaxBytes/2)},
	} {
		for _, length := range []int{document.MaxBytes, document.MaxMarks / 8 * len(c.unit)} {
			text := numbered(string(readertest.Filled(c.head, c.unit, min(length, document.MaxBytes))))
			for _, text := range []string{text, text + "}"} {
				readertest.Frugal(t, len(text)+len(c.beside), func() { readOwn(text, c.beside, &document.Report{}, new(Catalogue).clone()) })
			}
		}
	}
}

// checkUsable holds that nothing in a library would make a later sum divide by zero or find a table empty.
func checkUsable(t *testing.T, lib *Catalogue) {
	for name, m := range lib.Modules {
		low, high := m.FluxLm.Domain()
		if m.Name != name || m.Dies() < 1 || m.ParallelPaths < 1 || m.Dies()%m.ParallelPaths != 0 || !(0 < low && low < high) || m.ForwardV.Empty() {
			t.Errorf("module %q is of no use: %+v", name, m)
		}
		if !(m.HighestA > 0 && m.HighestA >= low*float64(m.ParallelPaths)*(1-1e-6) && m.ResistanceKPerW > 0 && m.RadiantEfficiency > 0 && m.RadiantEfficiency < 1 && m.BoardLengthM > 0) {
			t.Errorf("module %q is of no use: %+v", name, m)
		}
		if _, ok := lib.Spectra[m.Spectrum]; !ok && !lib.broken[partID{"spectra", m.Spectrum}] {
			t.Errorf("module %q has no spectrum: %q", name, m.Spectrum)
		}
	}
	for name, o := range lib.Optics {
		if !(o.Efficiency > 0 && o.StrayShare < 1) || (o.File == "") != (o.BeamRad > 0 && o.BeamAcrossRad > 0) || (o.FieldRad > 0) != (o.FieldAcrossRad > 0) {
			t.Errorf("optic %q is of no use: %+v", name, o)
		}
		if o.FieldRad > 0 && (o.FieldRad <= o.BeamRad || o.FieldAcrossRad <= o.BeamAcrossRad) {
			t.Errorf("optic %q has a field in its beam: %+v", name, o)
		}
	}
	for name, d := range lib.Drivers {
		if len(d.CurrentsA) == 0 || d.LowestV >= d.HighestV || !(d.RatedW > 0) || d.Efficiency.Empty() {
			t.Errorf("driver %q is of no use: %+v", name, d)
		}
	}
	for name, p := range lib.Profiles {
		if !(p.WidthM > 0 && p.HeightM > 0 && p.MetalM2 > 0 && p.PerimeterM > 0 && p.ConductivityWPerMK > 0) {
			t.Errorf("profile %q is of no use: %+v", name, p)
		}
	}
	for name, s := range lib.Spectra {
		if !(visiblePower(s.Power) > 0) {
			t.Errorf("spectrum %q is dark", name)
		}
	}
}
