package photometry

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"

	"fathomlux/scene/curve"
	"pgregory.net/rapid"
)

// illuminant reads one column of the CIE illuminants among the built-in parts.
func illuminant(t *testing.T, name string) Spectrum {
	t.Helper()
	text, err := os.ReadFile("../../scene/parts/data/illuminants.csv")
	if err != nil {
		t.Fatal(err)
	}
	table, err := curve.ParseTable(string(text))
	if err != nil {
		t.Fatal(err)
	}
	return spectrum(t, table.MustCurve("wavelength_nm", name))
}

type fataler interface {
	Helper()
	Fatal(args ...any)
}

func spectrum(t fataler, c curve.Curve) Spectrum {
	t.Helper()
	s, err := NewSpectrum(c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func linear(t fataler, x, y []float64) curve.Curve {
	t.Helper()
	c, err := curve.Linear(x, y)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// line is a triangle so narrow that V and the photon's energy do not change over it.
func line(t fataler, nm float64) Spectrum {
	t.Helper()
	return spectrum(t, linear(t, []float64{nm - 1e-6, nm, nm + 1e-6}, []float64{0, 1, 0}))
}

func TestIlluminants(t *testing.T) {
	// Recomputed independently from the CIE 015:2018 tables by the trapezium rule at 5 nm; half of the last digit.
	// The published values are those of R. W. Thimijan, R. D. Heins 1983, HortScience 18, 818-822 (worked example
	// H12), for lamps like these but not these: 1 to 5 % apart is expected. For the LEDs nothing is published.
	for _, c := range []struct {
		name                            string
		luxPerPPFD, perJoule, lmPerW    float64
		publishedLux, publishedPerJoule float64
	}{
		{"A", 50.25, 5.0135, 156.2, 50, 5.00},
		{"D65", 55.50, 4.5284, 205.2, 54, 4.57},
		{"FL2", 76.51, 4.5327, 336.8, 74, 4.59},
		{"HP1", 85.86, 4.9038, 395.2, 82, 4.98},
		{"LED-B1", 67.08, 4.8934, 311.8, 0, 0},
		{"LED-B2", 67.92, 4.8479, 313.9, 0, 0},
		{"LED-B3", 69.77, 4.6789, 317.0, 0, 0},
		{"LED-B4", 71.68, 4.5867, 319.3, 0, 0},
		{"LED-B5", 69.42, 4.4919, 305.3, 0, 0},
		{"LED-BH1", 73.29, 4.8023, 345.3, 0, 0},
		{"LED-RGB1", 60.53, 4.8891, 291.4, 0, 0},
		{"LED-V1", 53.08, 4.8740, 235.6, 0, 0},
		{"LED-V2", 56.57, 4.6581, 246.4, 0, 0},
	} {
		s := illuminant(t, c.name)
		within(t, c.name+" lx per umol/m2/s", s.LuxPerPPFD(), c.luxPerPPFD, 0.005)
		within(t, c.name+" umol/J", s.PhotonsPerWatt(), c.perJoule, 0.00005)
		within(t, c.name+" lm/W", s.EfficacyOfRadiation(), c.lmPerW, 0.05)
		within(t, c.name+" inverse", s.PPFDPerLux()*s.LuxPerPPFD(), 1, 1e-15)
		if c.publishedLux > 0 {
			within(t, c.name+" against 1983, lx", s.LuxPerPPFD()/c.publishedLux, 1, 0.05)
			within(t, c.name+" against 1983, umol/J", s.PhotonsPerWatt()/c.publishedPerJoule, 1, 0.05)
		}
	}
}

func TestLines(t *testing.T) {
	for _, c := range []struct{ nm, luxPerPPFD float64 }{ // 683 V(l) h c N_A / l from the exact constants, half a digit
		{450, 6.900}, {555, 147.216}, {660, 7.552},
	} {
		within(t, fmt.Sprintf("lx per umol/m2/s at %g nm", c.nm), line(t, c.nm).LuxPerPPFD(), c.luxPerPPFD, 0.0005)
		within(t, fmt.Sprintf("lm/W at %g nm", c.nm), line(t, c.nm).EfficacyOfRadiation(), 683*V(c.nm), 1e-5)
	}
}

// fine sums a function between two wavelengths by steps of 0.01 nm, the reference for bands.
func fine(power func(nm float64) float64, fromNm, toNm float64) (luxPerPPFD float64) {
	lumens, micromoles := 0.0, 0.0
	for k := range int(math.Round((toNm - fromNm) * 100)) {
		nm := fromNm + (float64(k)+0.5)/100
		p := power(nm)
		lumens += p * 683 * V(nm)
		if nm > 400 && nm < 700 {
			micromoles += p * PhotonsPerJoule(nm)
		}
	}
	return lumens / micromoles
}

func TestBellBandOf20Nm(t *testing.T) {
	// A bell 20 nm wide at half height, given in rows of 1, 2.5 and 5 nm that stand anywhere: within 0.1 %.
	rapid.Check(t, func(t *rapid.T) {
		centre := rapid.Float64Range(430, 670).Draw(t, "centre_nm")
		step := rapid.SampledFrom([]float64{1, 2.5, 5}).Draw(t, "step_nm")
		shift := rapid.Float64Range(0, 5).Draw(t, "shift_nm")
		bell := func(nm float64) float64 { return math.Exp(-4 * math.Ln2 * (nm - centre) * (nm - centre) / 400) }
		var x, y []float64
		for nm := 375 + shift; nm < 790; nm += step {
			x, y = append(x, nm), append(y, bell(nm))
		}
		got, want := spectrum(t, linear(t, x, y)).LuxPerPPFD(), fine(bell, centre-50, centre+50)
		if math.Abs(got/want-1) > 1e-3 {
			t.Fatalf("%g nm in steps of %g nm: %.6g lx per umol/m2/s, want %.6g", centre, step, got, want)
		}
	})
}

func TestBandsOfFewRows(t *testing.T) {
	// A triangle and a box 20 nm wide, in as few rows as they can be written: within 0.1 %, wherever they lie.
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(430, 670).Draw(t, "centre_nm")
		for _, c := range []curve.Curve{
			linear(t, []float64{at - 20, at, at + 20}, []float64{0, 1, 0}),
			linear(t, []float64{at - 10.01, at - 10, at + 10, at + 10.01}, []float64{0, 1, 1, 0}),
		} {
			got, want := spectrum(t, c).LuxPerPPFD(), fine(c.AtOrZero, at-20, at+20)
			if math.Abs(got/want-1) > 1e-3 {
				t.Fatalf("%.6g lx per umol/m2/s, want %.6g", got, want)
			}
		}
	})
}

func TestLevelSpectrum(t *testing.T) {
	// Equal power at all wavelengths in two rows: closed forms. Photons 400-700 nm: 300 nm * 550 nm / 119.6265656;
	// lumens: 683 * 106.8564 less half of both end rows.
	s := spectrum(t, linear(t, []float64{200, 1000}, []float64{7, 7}))
	lumens := 683 * (106.8564 - (3.9e-5+1.499e-5)/2)
	within(t, "lx per umol/m2/s", s.LuxPerPPFD(), lumens/(300*550/119.6265656), 1e-4)
	within(t, "lm/W", s.EfficacyOfRadiation(), lumens/400, 1e-3)
	within(t, "umol/J", s.PhotonsPerWatt(), 550/119.6265656, 1e-6)
	if nm, _, _ := s.Nodes(); len(nm) != 401 || nm[0] != 380 || nm[400] != 780 {
		t.Errorf("%d nodes, want the 401 whole nanometres", len(nm))
	}
}

func TestManyRowsAreThinned(t *testing.T) {
	shape := func(nm float64) float64 { return 1 + math.Sin(nm/9) }
	var x, y []float64
	for k := range 40001 {
		nm := 380 + float64(k)/100
		x, y = append(x, nm), append(y, shape(nm))
	}
	s := spectrum(t, linear(t, x, y))
	if n := len(s.nodes); n != 801 {
		t.Errorf("%d nodes, want 801", n)
	}
	within(t, "lx per umol/m2/s", s.LuxPerPPFD(), fine(shape, 380, 780), 1e-5)
}

func TestFilters(t *testing.T) {
	s := illuminant(t, "D65")
	cut := func(nm float64) float64 { return math.Max(0, (nm-500)/280) }
	left := s.Filtered(cut)
	within(t, "lumens", s.LuminousShare(cut), left.total().lumens/s.total().lumens, 1e-12)
	within(t, "photons", s.PhotonShare(cut), left.total().micromoles/s.total().micromoles, 1e-12)
	within(t, "lx per umol/m2/s", left.LuxPerPPFD(), s.LuxPerPPFD()*s.LuminousShare(cut)/s.PhotonShare(cut), 1e-9)
	none := s.Filtered(func(float64) float64 { return 0 })
	for what, got := range map[string]float64{
		"LuxPerPPFD": none.LuxPerPPFD(), "PPFDPerLux": none.PPFDPerLux(), "efficacy": none.EfficacyOfRadiation(),
		"share": none.LuminousShare(cut), "zero": Spectrum{}.PhotonShare(cut),
	} {
		within(t, what+" of a dark spectrum", got, 0, 0)
	}
}

func TestNodes(t *testing.T) {
	nm, lumens, photons := illuminant(t, "FL2").Nodes()
	if len(nm) != 81 || len(lumens) != 81 || len(photons) != 81 {
		t.Fatalf("%d, %d, %d values, want 81", len(nm), len(lumens), len(photons))
	}
	within(t, "lumens", floats.Sum(lumens), 1, 1e-12)
	within(t, "photons", floats.Sum(photons), 1, 1e-12)
	for i := range nm {
		if (nm[i] < 400 || nm[i] > 700) && photons[i] != 0 {
			t.Errorf("%g of the photons at %g nm", photons[i], nm[i])
		}
	}
}

func TestNewSpectrumRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		x, y []float64
		want string
	}{
		{"one row", []float64{550}, []float64{1}, "at least two rows"},
		{"dark", []float64{400, 700}, []float64{0, 0}, "no light between 380 and 780 nm"},
		{"infrared", []float64{800, 1100}, []float64{1, 1}, "no light between 380 and 780 nm"},
		{"far red", []float64{700, 760}, []float64{1, 1}, "no photons between 400 and 700 nm"},
		{"violet", []float64{300, 395}, []float64{1, 1}, "no photons between 400 and 700 nm"},
		{"negative", []float64{400, 500, 600}, []float64{1, -0.5, 1}, "negative at 500 nm: -0.5"},
	} {
		_, err := NewSpectrum(linear(t, c.x, c.y))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got error %v, want one that says %q", c.name, err, c.want)
		}
	}
	if _, err := NewSpectrum(curve.Curve{}); err == nil {
		t.Error("an empty curve is taken for a spectrum")
	}
}

func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.IntRange(2, 60).Draw(t, "rows")
		x, y := make([]float64, rows), make([]float64, rows)
		nm := rapid.Float64Range(350, 450).Draw(t, "first_nm")
		for i := range x {
			nm += rapid.Float64Range(0.1, 40).Draw(t, "step_nm")
			x[i], y[i] = nm, rapid.Float64Range(0.01, 9).Draw(t, "power")
		}
		s, err := NewSpectrum(linear(t, x, y))
		if err != nil {
			t.Skip("no light in range")
		}
		scale := math.Pow(10, rapid.Float64Range(-150, 150).Draw(t, "log_scale"))
		for i := range y {
			y[i] *= scale
		}
		scaled := spectrum(t, linear(t, x, y))
		if math.Abs(scaled.LuxPerPPFD()/s.LuxPerPPFD()-1) > 1e-9 {
			t.Fatalf("scale %g changes the ratio from %g to %g", scale, s.LuxPerPPFD(), scaled.LuxPerPPFD())
		}
		if e := s.EfficacyOfRadiation(); !(e > 0 && e <= 683*(1+1e-12)) {
			t.Fatalf("%g lm/W", e)
		}
		pass := rapid.Float64Range(0, 1).Draw(t, "transmission")
		got := s.LuminousShare(func(float64) float64 { return pass })
		if math.Abs(got-pass) > 1e-12 {
			t.Fatalf("a grey filter of %g leaves %g", pass, got)
		}
	})
}
