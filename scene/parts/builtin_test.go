package parts

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene/photometry"
)

// atRow returns flux (lm) and power (W) of a whole module at the current (A) through one of its dies.
func atRow(t *testing.T, m Module, dieA float64) (lm, w float64) {
	t.Helper()
	flux, known := m.FluxLm.At(dieA)
	volt, knownV := m.ForwardV.At(dieA)
	if !known || !knownV {
		t.Fatalf("%s at %g A: %v, %v", m.Name, dieA, known, knownV)
	}
	return flux * float64(m.Dies()), volt * dieA * float64(m.Dies())
}

func ExampleBuiltin() {
	m := Builtin().Modules["quad-neutral"]
	flux, _ := m.FluxLm.At(0.35)
	volt, _ := m.ForwardV.At(0.35)
	lm, v := flux*float64(m.Dies()), volt*float64(m.Dies()/m.ParallelPaths)
	fmt.Printf("%.0f lm, %.1f V, %.1f W, %.0f lm/W; five make %.0f lm\n", lm, v, v*0.35, lm/(v*0.35), 5*lm)
	// Output: 528 lm, 11.2 V, 3.9 W, 135 lm/W; five make 2640 lm
}

func TestBuiltinNames(t *testing.T) {
	lib := Builtin()
	cases := []struct {
		kind       string
		names      []string
		atLeast    string
		otherNames int
	}{
		{"modules", Names(lib.Modules), "quad-blue quad-cool quad-neutral quad-red quad-warm single-cool single-neutral single-warm strip-blue strip-neutral", 0},
		{"optics", Names(lib.Optics), "bare-120 oval-25x60 oval-60x25 round-10 round-15 round-25 round-40 round-60 round-90 wide-60f", 0},
		{"drivers", Names(lib.Drivers), "cc-1050 cc-1400 cc-350 cc-450 cc-500 cc-700 cc-700-56w", 4},
		{"profiles", Names(lib.Profiles), "bar-20x20 bar-40x20 finned-80x25 flat-60x5 u-30x15", 0},
		{"spectra", Names(lib.Spectra), "blue daylight-d65 deep-red fluorescent-fl2 green incandescent-a red rgb-led royal-blue sodium-hp1 violet " +
			"violet-pumped-2700 violet-pumped-4000 warm-mixed white-2700 white-3000 white-4000 white-5000 white-6500 white-8000", 0},
		{"waters", Names(lib.Waters), "blackwater clear cloudy pure reef tea tinted", 0},
	}
	for _, c := range cases {
		if !slices.IsSorted(c.names) {
			t.Errorf("%s are not sorted: %v", c.kind, c.names)
		}
		wanted := strings.Fields(c.atLeast)
		if len(c.names) != len(wanted)+c.otherNames {
			t.Errorf("%s: %d, want %d", c.kind, len(c.names), len(wanted)+c.otherNames)
		}
		for _, name := range wanted {
			if !slices.Contains(c.names, name) {
				t.Errorf("%s: no %s", c.kind, name)
			}
		}
	}
}

// TestBuiltinModules holds each module in the usual ranges (H10, H11 of the worked examples: common practice, no published
// source; the ratios and the rise of voltage are those of white and blue dies).
func TestBuiltinModules(t *testing.T) {
	lib := Builtin()
	for _, name := range Names(lib.Modules) {
		m := lib.Modules[name]
		v350, v700 := m.ForwardV.AtOrZero(0.35), m.ForwardV.AtOrZero(0.7)
		within(t, name+": V at 350 mA", v350, 2.0, 3.6)
		within(t, name+": V more at 700 mA", v700-v350, 0.15, 0.3)
		within(t, name+": flux at 500 mA", m.FluxLm.AtOrZero(0.5)/m.FluxLm.AtOrZero(0.35), 1.34, 1.38)
		within(t, name+": flux at 700 mA", m.FluxLm.AtOrZero(0.7)/m.FluxLm.AtOrZero(0.35), 1.7, 1.87)
		within(t, name+": flux at 1000 mA", m.FluxLm.AtOrZero(1)/m.FluxLm.AtOrZero(0.35), 2.1, 2.5)
		within(t, name+": mV/K", m.VoltsPerK*1000, -4, -1)
		within(t, name+": flux per K", m.FluxPerK, -0.006, -0.001)
		within(t, name+": K/W", m.ResistanceKPerW, 2, 12)
		if m.HighestA != 1 || m.HighestJunctionC != 125 || m.ReferenceC != 25 || m.ParallelPaths != 1 || len(m.Holes) != 2 || m.About == "" {
			t.Errorf("%s: unusual ratings %+v", name, m)
		}
	}
}

// TestBuiltinLightShares holds the share that leaves as light against flux, power and spectrum: it cannot be above that
// of the lowest current nor below that of the highest, as efficacy falls with current. No die beats its own spectrum.
func TestBuiltinLightShares(t *testing.T) {
	lib := Builtin()
	for _, name := range Names(lib.Modules) {
		m := lib.Modules[name]
		light, err := photometry.NewSpectrum(lib.Spectra[m.Spectrum].Power)
		if err != nil {
			t.Fatal(err)
		}
		lmPerW := light.EfficacyOfRadiation()
		low, high := m.FluxLm.Domain()
		lm, w := atRow(t, m, low)
		most := lm / w / lmPerW
		lm, w = atRow(t, m, high)
		within(t, name+": radiant efficiency", m.RadiantEfficiency, lm/w/lmPerW, most)
		within(t, name+": radiant efficiency at its lowest current", most, 0.3, 0.8) // above 0.8 no die is known
	}
}

func within(t *testing.T, what string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s is %.4g, want %.4g to %.4g", what, got, low, high)
	}
}

func TestBuiltinOptics(t *testing.T) {
	lib := Builtin()
	for _, name := range Names(lib.Optics) {
		o := lib.Optics[name]
		within(t, name+": efficiency", o.Efficiency, 0.8, 1)
		within(t, name+": stray share", o.StrayShare, 0, 0.1)
		var along, across float64
		switch {
		case strings.HasPrefix(name, "oval-"):
			fmt.Sscanf(name, "oval-%fx%f", &along, &across)
		default:
			fmt.Sscanf(name[strings.Index(name, "-")+1:], "%f", &along)
			across = along
		}
		if math.Abs(o.BeamRad-along*degree) > 1e-12 || math.Abs(o.BeamAcrossRad-across*degree) > 1e-12 {
			t.Errorf("%s: beams of %g and %g rad do not go with its name", name, o.BeamRad, o.BeamAcrossRad)
		}
	}
	if w := lib.Optics["wide-60f"]; math.Abs(w.FieldRad-90*degree) > 1e-12 || w.FieldAcrossRad != w.FieldRad {
		t.Errorf("wide-60f: field angles %g and %g rad", w.FieldRad, w.FieldAcrossRad)
	}
	if b := lib.Optics["bare-120"]; b.Efficiency != 1 || b.StrayShare != 0 {
		t.Errorf("bare-120 loses light: %+v", b)
	}
}

func TestBuiltinDrivers(t *testing.T) {
	lib := Builtin()
	for _, name := range Names(lib.Drivers) {
		d := lib.Drivers[name]
		most := d.CurrentsA[len(d.CurrentsA)-1]
		within(t, name+": power at the highest voltage over the rated one", most*d.HighestV/d.RatedW, 0.92, 1.02)
		for load := 0.25; load <= 1; load += 0.25 {
			within(t, name+": efficiency", d.Efficiency.AtOrZero(load), 0.75, 0.92)
		}
		var mA float64
		if n, _ := fmt.Sscanf(name, "cc-%f", &mA); n == 1 && math.Abs(mA/1000-most) > 1e-12 {
			t.Errorf("%s gives %v A", name, d.CurrentsA)
		}
	}
	if d := lib.Drivers["cc-700"]; d.LowestV != 11 || d.HighestV != 46 || d.RatedW != 32 || d.Efficiency.AtOrZero(0.6) != 0.86 || d.IP != "IP67" {
		t.Errorf("cc-700: %+v", d)
	}
}

func TestBuiltinProfiles(t *testing.T) {
	lib := Builtin()
	for _, name := range Names(lib.Profiles) {
		p := lib.Profiles[name]
		var width, height float64
		fmt.Sscanf(name[strings.Index(name, "-")+1:], "%fx%f", &width, &height)
		if math.Abs(p.WidthM-width/1000) > 1e-12 || math.Abs(p.HeightM-height/1000) > 1e-12 {
			t.Errorf("%s: %g by %g m does not go with its name", name, p.WidthM, p.HeightM)
		}
		within(t, name+": metal over the outline", p.MetalM2/(p.WidthM*p.HeightM), 0.2, 1)
		within(t, name+": perimeter over the outline", p.PerimeterM/(2*(p.WidthM+p.HeightM)), 1, 2.5)
		within(t, name+": conductivity", p.ConductivityWPerMK, 180, 210)
		within(t, name+": emissivity", p.Emissivity, 0.05, 0.9)
	}
	// The channel by parallel axes: a web of 30 by 2 mm, its middle 1 mm up, and legs of 2 by 13 mm at 8.5 mm; the middle of all
	// (60 * 1 + 52 * 8.5) / 112 = 4.48 mm; 30 * 2^3 / 12 + 60 * 3.48^2 + 4 * 13^3 / 12 + 52 * 4.02^2 = 2319 mm4. Tubes lie below
	// the solid bar, above the flat strip.
	within(t, "u-30x15: second moment", lib.Profiles["u-30x15"].SecondMomentM4, 2280e-12, 2350e-12)
	for _, name := range []string{"bar-40x20", "bar-20x20", "finned-80x25"} {
		p := lib.Profiles[name]
		within(t, name+": second moment", p.SecondMomentM4, math.Pow(p.MetalM2, 3)/p.WidthM/p.WidthM/12, p.WidthM*math.Pow(p.HeightM, 3)/12)
	}
	// 2 t (40 + 20) - 4 t^2 = 260 mm2 at t = 2.351 mm; a solid bar is its own wall.
	within(t, "bar-40x20: wall", lib.Profiles["bar-40x20"].WallM, 0.002350, 0.002352)
	within(t, "flat-60x5: wall", lib.Profiles["flat-60x5"].WallM, 0.005, 0.005)
	if p := lib.Profiles["bar-40x20"]; len(p.Slots) != 1 || p.Slots[0] != (Slot{0, 0.008}) || p.PricePerM != (Money{18, "EUR"}) {
		t.Errorf("bar-40x20: %+v", p)
	}
}

// TestBuiltinWaters holds the presets in published ranges: a(440) of 0 to 15 1/m and slopes of 0.010 to 0.020 1/nm (Bricaud,
// Morel & Prieur 1981; Markager & Vincent 2000), and in the order that their names promise.
func TestBuiltinWaters(t *testing.T) {
	w := Builtin().Waters
	for name, k := range w {
		within(t, name+": colour", k.CDOM440PerM, 0, 15)
		within(t, name+": scattering", k.ParticleScatterPerM, 0, 5)
		if name != "pure" {
			within(t, name+": slope", k.CDOMSlopePerNm, 0.01, 0.02)
			within(t, name+": asymmetry", k.Asymmetry, 0.9, 0.95)
			within(t, name+": exponent", k.ParticleExponent, 0, 1)
		}
	}
	if p := w["pure"]; p != (Water{Name: "pure", About: p.About}) {
		t.Errorf("pure water holds something: %+v", p)
	}
	for _, pair := range [][2]string{{"pure", "reef"}, {"reef", "clear"}, {"clear", "tinted"}, {"tinted", "tea"}, {"tea", "blackwater"}} {
		if w[pair[0]].CDOM440PerM >= w[pair[1]].CDOM440PerM {
			t.Errorf("%s is not paler than %s", pair[0], pair[1])
		}
	}
	if w["cloudy"].ParticleScatterPerM < 5*w["tinted"].ParticleScatterPerM {
		t.Error("cloudy water is hardly cloudier than tinted water")
	}
}

// TestBuiltinFilesSayWhatTheyAre holds that each table says that it is invented, or whose it is.
func TestBuiltinFilesSayWhatTheyAre(t *testing.T) {
	files, err := fs.Glob(data, "data/*")
	if err != nil || len(files) != len(builtinFiles)+1 {
		t.Fatalf("%v, %v", files, err)
	}
	for _, file := range files {
		head, _, _ := strings.Cut(string(mustRead(file)), "\n\n")
		switch {
		case strings.HasSuffix(file, ".csv") && !strings.Contains(head, "# Source: CIE 015:2018"):
			t.Errorf("%s does not name its source", file)
		case strings.HasSuffix(file, ".yaml") && !(strings.Contains(head, "generic") && strings.Contains(head, "published")):
			t.Errorf("%s does not say that it is generic and where its ranges are from", file)
		}
	}
}

func TestBuiltinIsACopy(t *testing.T) {
	one := Builtin()
	delete(one.Optics, "round-40")
	one.Modules["quad-neutral"] = Module{}
	if two := Builtin(); two.Optics["round-40"].Name == "" || two.Modules["quad-neutral"].Name == "" {
		t.Error("a change in one library shows in the next")
	}
}

// BenchmarkBuiltin measures a later call, BenchmarkBuiltinFirst what each start waits for. 2 cores at 2.6 GHz: 6 us and
// about 2.5 ms.
func BenchmarkBuiltin(b *testing.B) {
	for b.Loop() {
		Builtin()
	}
}

func BenchmarkBuiltinFirst(b *testing.B) {
	for b.Loop() {
		readBuiltin()
	}
}

func mustRead(file string) []byte {
	content, err := data.ReadFile(file)
	if err != nil {
		panic(err)
	}
	return content
}
