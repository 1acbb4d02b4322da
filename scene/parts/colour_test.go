package parts

import (
	"fmt"
	"math"
	"testing"

	"fathomlux/scene/colour"
	"fathomlux/scene/curve"
	"fathomlux/scene/photometry"
)

// TestColourTemperatures: mixes have the temperature that their names promise, and are white. The published spectra are held by the
// tests of package colour.
func TestColourTemperatures(t *testing.T) {
	lib := Builtin()
	for name, want := range map[string]float64{"white-8000": 8000} {
		light, err := photometry.NewSpectrum(lib.Spectra[name].Power)
		if err != nil {
			t.Fatal(err)
		}
		got, duv, ok := colour.Of(light).Temperature()
		if math.Abs(got-want) > 0.0125*want || !ok {
			t.Errorf("%s: %.0f K, not %.0f K", name, got, want)
		}
		if math.Abs(duv) > 0.006 { // the most that lamps are sold as white with: common practice, no published source
			t.Errorf("%s: %.4f away from the black body in u, v", name, duv)
		}
	}
}

// TestIlluminantAByDefinition holds all 81 rows of A against its definition. Source: CIE 015:2018, eq. of illuminant A:
// 100 (560/L)^5 (exp(1.435e7/(2848*560)) - 1)/(exp(1.435e7/(2848 L)) - 1).
func TestIlluminantAByDefinition(t *testing.T) {
	a := illuminantTable().MustCurve("wavelength_nm", "A")
	for nm := 380.0; nm <= 780; nm += 5 {
		want := 100 * math.Pow(560/nm, 5) * math.Expm1(1.435e7/(2848*560)) / math.Expm1(1.435e7/(2848*nm))
		if got, ok := a.At(nm); !ok || math.Abs(got-want) > 6e-6*want+6e-4 { // six digits, at most three decimals
			t.Errorf("%g nm: %g, %v; want %g", nm, got, ok, want)
		}
	}
}

func TestIlluminantTable(t *testing.T) {
	names := Illuminants()
	want := "[A D65 FL2 HP1 LED-B1 LED-B2 LED-B3 LED-B4 LED-B5 LED-BH1 LED-RGB1 LED-V1 LED-V2]"
	if fmt.Sprint(names) != want {
		t.Fatalf("columns %v, want %s", names, want)
	}
	for _, name := range names {
		x, y := illuminantTable().MustCurve("wavelength_nm", name).Points()
		if len(x) != 81 || x[0] != 380 || x[80] != 780 {
			t.Errorf("%s: %d rows from %g to %g nm, want 81 from 380 to 780", name, len(x), x[0], x[len(x)-1])
		}
		for i := range x {
			if x[i] != 380+5*float64(i) || y[i] < 0 || y[i] > 400 {
				t.Errorf("%s row %d: %g at %g nm", name, i+1, y[i], x[i])
			}
		}
	}
}

// TestIlluminantValues holds two values a column against the print (CIE 015:2018).
func TestIlluminantValues(t *testing.T) {
	cases := []struct {
		name       string
		nm1, want1 float64
		nm2, want2 float64
	}{
		{"A", 380, 9.7951, 560, 100}, {"D65", 560, 100, 450, 117.008}, {"FL2", 435, 34.98, 545, 24.88},
		{"HP1", 595, 334.84, 765, 31.97}, {"LED-B1", 450, 7.89, 605, 21}, {"LED-B2", 450, 10.56, 605, 19.59},
		{"LED-B3", 450, 18.87, 595, 16.55}, {"LED-B4", 450, 25.91, 565, 16.44}, {"LED-B5", 450, 32.34, 555, 16.13},
		{"LED-BH1", 445, 7.91, 625, 40.75}, {"LED-RGB1", 635, 62.69, 520, 20.57}, {"LED-V1", 415, 17.9, 635, 23.71},
		{"LED-V2", 415, 20.24, 780, 0.84},
	}
	for _, c := range cases {
		table := illuminantTable().MustCurve("wavelength_nm", c.name)
		if got := table.AtOrZero(c.nm1); got != c.want1 {
			t.Errorf("%s at %g nm: %g, want %g", c.name, c.nm1, got, c.want1)
		}
		if got := table.AtOrZero(c.nm2); got != c.want2 {
			t.Errorf("%s at %g nm: %g, want %g", c.name, c.nm2, got, c.want2)
		}
	}
}

// widthAtHalf returns where a spectrum peaks and its full width at half of that, nm, within 0.1.
func widthAtHalf(c curve.Curve) (peakNm, widthNm float64) {
	highest := 0.0
	for nm := 380.0; nm <= 780; nm += 0.1 {
		if p := c.AtOrZero(nm); p > highest {
			peakNm, highest = nm, p
		}
	}
	for nm := 380.0; nm <= 780; nm += 0.1 {
		if c.AtOrZero(nm) >= highest/2 {
			widthNm += 0.1
		}
	}
	return peakNm, widthNm
}

func TestBands(t *testing.T) {
	lib := Builtin()
	for name, want := range map[string][2]float64{
		"violet": {410, 15}, "royal-blue": {450, 20}, "blue": {470, 25}, "green": {525, 35}, "red": {630, 18}, "deep-red": {660, 20},
	} {
		peakNm, widthNm := widthAtHalf(lib.Spectra[name].Power)
		if math.Abs(peakNm-want[0]) > 0.15 || math.Abs(widthNm-want[1]) > 0.25 { // the step above, and straight lines over 1 nm
			t.Errorf("%s: peak %.1f nm, width %.1f nm; want %g and %g", name, peakNm, widthNm, want[0], want[1])
		}
	}
}
