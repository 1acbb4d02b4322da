package colour_test

import (
	"math"
	"testing"

	"fathomlux/scene/colour"
	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
)

// table are published illuminants. x and y are those of CIE 015:2018 as a public repository carries them; CCT, Duv, Ra and R9 were
// recomputed outside the project, by plain sums at 5 nm after CIE 015 and CIE 13.3-1995. Printed values that agree, from memory: Ra
// 64 of FL2 (CIE 15:2004), CCTs of 2733, 2998, 4103, 5109, 6598, 2851, 2840, 2724 and 4070 K (CIE 015:2018).
var table = []struct {
	illuminant, spectrum string
	x, y                 float64
	k, duv, ra, r9       float64
}{
	{"A", "incandescent-a", 0.44758, 0.40745, 2855.5, 0.0000, 100.0, 100.0},
	{"D65", "daylight-d65", 0.31270, 0.32900, 6504.4, 0.0032, 100.0, 100.0},
	{"FL2", "fluorescent-fl2", 0.37210, 0.37510, 4224.7, 0.0018, 64.2, -83.9},
	{"HP1", "sodium-hp1", 0.53300, 0.41500, 1959.2, 0.0008, 8.1, -260.8},
	{"LED-B1", "white-2700", 0.45600, 0.40780, 2733.5, -0.0007, 81.8, 12.6},
	{"LED-B2", "white-3000", 0.43570, 0.40120, 2997.8, -0.0010, 82.8, 17.6},
	{"LED-B3", "white-4000", 0.37560, 0.37230, 4102.6, -0.0007, 84.8, 23.8},
	{"LED-B4", "white-5000", 0.34220, 0.35020, 5109.3, 0.0004, 76.8, -1.6},
	{"LED-B5", "white-6500", 0.31180, 0.32360, 6599.0, 0.0009, 80.2, 6.9},
	{"LED-BH1", "warm-mixed", 0.44740, 0.40660, 2851.3, -0.0003, 91.8, 73.4},
	{"LED-RGB1", "rgb-led", 0.45570, 0.42110, 2839.8, 0.0043, 57.1, -34.2},
	{"LED-V1", "violet-pumped-2700", 0.45480, 0.40440, 2723.7, -0.0019, 95.3, 97.9},
	{"LED-V2", "violet-pumped-4000", 0.37810, 0.37750, 4069.6, 0.0010, 95.7, 95.0},
}

func TestPublishedIlluminants(t *testing.T) {
	for _, c := range table {
		s, err := photometry.NewSpectrum(parts.Builtin().Spectra[c.spectrum].Power)
		if err != nil {
			t.Fatal(err)
		}
		light := colour.Of(s)
		x, y := light.Chromaticity()
		k, duv, ok := light.Temperature()
		ra, r9, white := colour.LightOf(s).Rendering()
		if math.Abs(x-c.x) > 1e-4 || math.Abs(y-c.y) > 1e-4 || !ok || math.Abs(k-c.k) > 2 || math.Abs(duv-c.duv) > 1e-4 {
			t.Errorf("%s: x %.5f, y %.5f, %.1f K, Duv %.4f, not %+v", c.illuminant, x, y, k, duv, c)
		}
		if math.Abs(ra-c.ra) > 0.1 || math.Abs(r9-c.r9) > 0.3 || !white {
			t.Errorf("%s: Ra %.2f, R9 %.2f (white: %v), not %+v", c.illuminant, ra, r9, white, c)
		}
	}
}

// TestPlanckianLocus against points from memory (CIE 1931), and in itself: a black body has its own temperature.
func TestPlanckianLocus(t *testing.T) {
	for _, c := range []struct{ k, x, y float64 }{{2856, 0.4476, 0.4074}, {6500, 0.3135, 0.3237}, {4000, 0.3805, 0.3768}} {
		var nm, power []float64
		for l := 380.0; l <= 780; l += 5 {
			nm, power = append(nm, l), append(power, math.Pow(560/l, 5)/math.Expm1(1.4388e7/(l*c.k)))
		}
		body, err := curve.Linear(nm, power)
		if err != nil {
			t.Fatal(err)
		}
		s, err := photometry.NewSpectrum(body)
		if err != nil {
			t.Fatal(err)
		}
		x, y := colour.Of(s).Chromaticity()
		k, duv, ok := colour.Of(s).Temperature()
		if math.Abs(x-c.x) > 2e-4 || math.Abs(y-c.y) > 2e-4 || math.Abs(k-c.k) > 1 || math.Abs(duv) > 2e-5 || !ok {
			t.Errorf("%g K: x %.4f, y %.4f, %.1f K, Duv %.5f", c.k, x, y, k, duv)
		}
	}
}

func TestColoursWithoutATemperature(t *testing.T) {
	blue, err := curve.Linear([]float64{440, 450, 460}, []float64{0, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	s, err := photometry.NewSpectrum(blue)
	if err != nil {
		t.Fatal(err)
	}
	if k, duv, ok := colour.Of(s).Temperature(); ok {
		t.Errorf("blue has %g K, Duv %g", k, duv)
	}
	if _, _, ok := colour.LightOf(s).Rendering(); ok {
		t.Error("blue renders colours")
	}
	if _, outside := colour.Of(s).Times(0.05).Screen(); !outside {
		t.Error("450 nm lies within the gamut of sRGB")
	}
	if k, _, ok := (colour.Tristimulus{}).Temperature(); ok {
		t.Errorf("no light has %g K", k)
	}
}

// TestSteps: D65 and a light 0.0011 from it in u' are one step apart. Source: CIE TN 001:2014.
func TestSteps(t *testing.T) {
	u, v := colour.D65.UCS()
	u += 0.0011
	other := colour.Tristimulus{X: 9 * u / (4 * v), Y: 1, Z: (12 - 3*u - 20*v) / (4 * v)} // the inverse of UCS
	if got := colour.Steps(colour.D65, other); math.Abs(got-1) > 1e-9 {
		t.Errorf("%g steps, not 1", got)
	}
	if mixed := colour.D65.Plus(other); math.Abs(colour.Steps(colour.D65, mixed)-0.5) > 0.01 {
		t.Errorf("%g steps to the mix of both in equal parts, not about 0.5", colour.Steps(colour.D65, mixed))
	}
}

// TestScreen against IEC 61966-2-1:1999: white, the primaries by their chromaticities (x 0.64, y 0.33; 0.30, 0.60; 0.15, 0.06)
// and their luminances (0.2126, 0.7152, 0.0722), and mid-grey.
func TestScreen(t *testing.T) {
	of := func(x, y, luminance float64) colour.Tristimulus {
		return colour.Tristimulus{X: x / y * luminance, Y: luminance, Z: (1 - x - y) / y * luminance}
	}
	for _, c := range []struct {
		light colour.Tristimulus
		want  [3]float64
	}{
		{colour.D65, [3]float64{1, 1, 1}}, {of(0.64, 0.33, 0.2126), [3]float64{1, 0, 0}}, {of(0.30, 0.60, 0.7152), [3]float64{0, 1, 0}},
		{of(0.15, 0.06, 0.0722), [3]float64{0, 0, 1}}, {colour.D65.Times(0.214041), [3]float64{0.5, 0.5, 0.5}}, {colour.Tristimulus{}, [3]float64{}},
	} {
		rgb, outside := c.light.Screen()
		for i := range rgb {
			if math.Abs(rgb[i]-c.want[i]) > 0.01 { // four digits of the matrix, and the steep foot of the curve
				t.Errorf("%+v: %v, not %v", c.light, rgb, c.want)
			}
		}
		if outside {
			t.Errorf("%+v lies outside the gamut", c.light)
		}
	}
	if rgb, outside := colour.D65.Times(4).Screen(); rgb[1] < 0.999 || outside {
		t.Errorf("brighter than white: %v, outside %v", rgb, outside)
	}
}

// TestBradford against ICC.1:2010, annex E: the matrix from D65 to D50 is 1.04792, 0.02293, -0.05017; 0.02963, 0.99046, -0.01707;
// -0.00922, 0.01506, 0.75179 (to the digits of the whites), with D50 of 0.9642, 1, 0.8249.
func TestBradford(t *testing.T) {
	d50 := colour.Tristimulus{X: 0.9642, Y: 1, Z: 0.8249}
	want := [3][3]float64{{1.04792, 0.02293, -0.05017}, {0.02963, 0.99046, -0.01707}, {-0.00922, 0.01506, 0.75179}}
	for k, one := range []colour.Tristimulus{{X: 1}, {Y: 1}, {Z: 1}} {
		got := one.Adapted(colour.D65, d50)
		for i, v := range []float64{got.X, got.Y, got.Z} {
			if math.Abs(v-want[i][k]) > 2e-4 {
				t.Errorf("column %d, row %d: %.5f, not %.5f", k, i, v, want[i][k])
			}
		}
	}
	if back := colour.D65.Times(3).Adapted(colour.D65.Times(2), d50.Times(7)); math.Abs(back.X/3-d50.X)+math.Abs(back.Z/3-d50.Z) > 1e-5 {
		t.Errorf("white becomes %+v", back)
	}
}
