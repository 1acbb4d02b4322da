package unit_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/unit"
)

var all = []*unit.Dimension{
	unit.Length, unit.Area, unit.Current, unit.Voltage, unit.Power, unit.LuminousFlux, unit.Illuminance,
	unit.LuminousIntensity, unit.PhotonFluxDensity, unit.DailyLight, unit.Angle, unit.Temperature,
	unit.ThermalResistance, unit.Duration, unit.Salinity, unit.Wavelength, unit.SpectralSlope, unit.Attenuation,
	unit.Conductivity, unit.RelativePerKelvin, unit.VoltagePerKelvin, unit.DecayRate,
}

// near tells whether two numbers agree to the rounding of one multiplication and one division.
func near(a, b float64) bool { return math.Abs(a-b) <= 4e-16*math.Max(math.Abs(a), math.Abs(b)) }

func TestParseKnowsItsUnitsExactly(t *testing.T) {
	tests := []struct {
		d    *unit.Dimension
		text string
		want float64
	}{
		{unit.Length, "1180 mm", 1.18},
		{unit.Length, "1180mm", 1.18},
		{unit.Length, " 43 cm ", 0.43},
		{unit.Length, "-2 m", -2},
		{unit.Length, "+2.5e2 mm", 0.25},
		{unit.Length, ".5 m", 0.5},
		{unit.Length, "5. m", 5},
		{unit.Length, "1 in", 0.0254},    // by definition
		{unit.Length, "46.5 in", 1.1811}, // 46.5 * 25.4 = 1181.1
		{unit.Length, "1 ft", 0.3048},    // 12 in
		{unit.Length, "010 mm", 0.01},    // never octal
		{unit.Area, "1 in2", 0.00064516}, // 0.0254 squared
		{unit.Area, "260 mm\u00b2", 260e-6},
		{unit.Current, "350 mA", 0.35},
		{unit.Area, "3 cm2", 3e-4},
		{unit.Area, "3 m2", 3},
		{unit.Voltage, "3 V", 3},
		{unit.Voltage, "2950 mV", 2.95},
		{unit.Power, "3 W", 3},
		{unit.Power, "3 mW", 0.003},
		{unit.LuminousFlux, "3 lm", 3},
		{unit.Illuminance, "3 klx", 3000},
		{unit.LuminousIntensity, "3 cd", 3},
		{unit.Angle, "3 rad", 3},
		{unit.Temperature, "373.15 K", 100},
		{unit.Duration, "3 s", 3},
		{unit.Salinity, "3 g/kg", 3},
		{unit.Salinity, "3 psu", 3},
		{unit.Wavelength, "3 nm", 3},
		{unit.RelativePerKelvin, "3 1/K", 3},
		{unit.VoltagePerKelvin, "3 V/K", 3},
		{unit.DecayRate, "3 1/h", 3},
		{unit.Power, "0.06 kW", 60},
		{unit.LuminousFlux, "1.2 klm", 1200},
		{unit.Illuminance, "1 fc", 1 / 0.09290304}, // one lumen a square foot, 0.3048 m squared
		{unit.LuminousIntensity, "2 kcd", 2000},
		{unit.PhotonFluxDensity, "80 umol/m2/s", 80},
		{unit.PhotonFluxDensity, "80 \u00b5mol/m\u00b2/s", 80}, // micro sign
		{unit.PhotonFluxDensity, "80 \u03bcmol/m2/s", 80},      // Greek mu
		{unit.DailyLight, "4 mol/m2/d", 4},
		{unit.Angle, "180 deg", math.Pi},
		{unit.Angle, "90\u00b0", math.Pi / 2},
		{unit.Temperature, "25 C", 25},
		{unit.Temperature, "77 F", 25}, // (77 - 32) * 5 / 9
		{unit.Temperature, "-40 \u00b0F", -40},
		{unit.Temperature, "273.15 K", 0},
		{unit.ThermalResistance, "5 C/W", 5},
		{unit.Duration, "9 h", 9 * 3600},
		{unit.Duration, "90 min", 5400},
		{unit.Salinity, "35 ppt", 35},
		{unit.Wavelength, "0.45 um", 450},
		{unit.SpectralSlope, "0.017 1/nm", 0.017},
		{unit.Attenuation, "0.3 1/m", 0.3},
		{unit.Attenuation, "0.01 1/cm", 1},
		{unit.Attenuation, "1 1/ft", 1 / 0.3048},
		{unit.Attenuation, "0.3/m", 0.3},
		{unit.Conductivity, "200 W/(m K)", 200},
		{unit.RelativePerKelvin, "-0.25 %/K", -0.0025},
		{unit.VoltagePerKelvin, "-2 mV/K", -0.002},
		{unit.DecayRate, "2 1/kh", 0.002},
	}
	for _, test := range tests {
		got, err := test.d.Parse(test.text)
		if err != nil {
			t.Errorf("%q: %v", test.text, err)
		} else if !near(got, test.want) {
			t.Errorf("%q is %.17g, not %.17g", test.text, got, test.want)
		}
	}
}

func TestParseSaysWhatWouldServe(t *testing.T) {
	tests := []struct {
		d          *unit.Dimension
		text, want string
	}{
		{unit.Current, "350", "350 has no unit; write 350 mA or 0.35 A"},
		{unit.Current, "0.35", "0.35 has no unit; write 0.35 A or 350 mA"},
		{unit.Length, "1180", "1180 has no unit; write 1180 mm or 1.18 m"},
		{unit.Length, "4", "write 4 mm or 0.004 m"},
		{unit.Temperature, "25", "25 has no unit; write 25 C or 77 F"},
		{unit.LuminousFlux, "54", "54 has no unit; write 54 lm"},
		{unit.Length, "350 mA", `"mA" is not a unit of length; use mm, cm, m, in or ft`},
		{unit.Angle, "40 degrees", "use deg or rad"},
		{unit.Length, "1,180 mm", "has a comma; write decimals with a point and thousands without a separator"},
		{unit.Length, "43,5 cm", "has a comma"},
		{unit.Length, "1_180 mm", "plain decimals"},
		{unit.Length, "0x10 mm", "plain decimals"},
		{unit.Length, "1.2.3 mm", "plain decimals"},
		{unit.Length, "1 180 mm", "two numbers"},
		{unit.Length, "nan mm", "does not begin with a number"},
		{unit.Length, "inf mm", "does not begin with a number"},
		{unit.Length, "-inf mm", "does not begin with a number"},
		{unit.Length, "1e999 mm", "too large"},
		{unit.Wavelength, "1e308 um", "too large"},
		{unit.Length, "mm", "does not begin with a number"},
		{unit.Length, "", "does not begin with a number"},
		{unit.Length, ". m", "does not begin with a number"},
		{unit.Length, "1 1/2 in", "not a unit of length"},
		{unit.Length, strings.Repeat("x", 500), "xxx..."},
	}
	for _, test := range tests {
		got, err := test.d.Parse(test.text)
		if err == nil {
			t.Errorf("%q was read as %g", test.text, got)
		} else if !strings.Contains(err.Error(), test.want) {
			t.Errorf("%q: %q does not say %q", test.text, err, test.want)
		}
	}
}

// What Format writes, Parse reads again: within half a unit of the last decimal written, and the rounding of floats.
func TestFormatAndParseRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(all).Draw(t, "dimension")
		name := rapid.SampledFrom(d.Units()).Draw(t, "unit")
		digits := rapid.IntRange(0, 9).Draw(t, "digits")
		si := rapid.Float64Range(-1e4, 1e4).Draw(t, "value")
		text := strconv.FormatFloat(d.In(si, name), 'f', digits, 64) + " " + name
		got, err := d.Parse(text)
		if err != nil {
			t.Fatalf("%q of %s: %v", text, d.Name, err)
		}
		one, _ := d.Parse("1 " + name)
		zero, _ := d.Parse("0 " + name)
		half := 0.5 * math.Pow(10, -float64(digits)) * math.Abs(one-zero)
		if math.Abs(got-si) > half*1.000001+1e-12*(math.Abs(si)+300) { // 300: temperatures shift by 273.15
			t.Errorf("%q came back as %.17g, was %.17g", text, got, si)
		}
	})
}

// Every unit that a dimension offers works, in any spelling of a space, and is offered once.
func TestUnitsServe(t *testing.T) {
	for _, d := range all {
		seen := map[string]bool{}
		for _, name := range d.Units() {
			if seen[name] {
				t.Errorf("%s offers %s twice", d.Name, name)
			}
			seen[name] = true
			spaced, err1 := d.Parse("7 " + name)
			tight, err2 := d.Parse("7" + name)
			if strings.HasPrefix(name, "1/") { // 71/m would be another number
				tight, err2 = spaced, nil
			}
			if err1 != nil || err2 != nil || spaced != tight {
				t.Errorf("7 %s: %g %v, %g %v", name, spaced, err1, tight, err2)
			}
		}
		if _, err := d.Parse("7"); err == nil || !strings.Contains(err.Error(), "has no unit; write 7 ") {
			t.Errorf("%s takes a bare number: %v", d.Name, err)
		}
	}
}

// The example in a message can be copied: both of its halves parse to the same value.
func TestExampleCanBeCopied(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(all).Draw(t, "dimension")
		bare := fmt.Sprint(rapid.IntRange(0, 5000).Draw(t, "number"))
		_, err := d.Parse(bare)
		_, advice, found := strings.Cut(err.Error(), "; write ")
		if !found {
			t.Fatalf("no advice in %q", err)
		}
		var values []float64
		for _, text := range strings.Split(advice, " or ") {
			v, err := d.Parse(text)
			if err != nil {
				t.Fatalf("the advice %q is wrong: %v", text, err)
			}
			values = append(values, v)
		}
		// six digits are written
		if first, last := values[0], values[len(values)-1]; math.Abs(first-last) > 1e-4*math.Abs(first)+1e-9 {
			t.Errorf("%q gives %g and %g", advice, first, last)
		}
	})
}

func TestSayChoosesAUnit(t *testing.T) {
	tests := []struct {
		d    *unit.Dimension
		si   float64
		want string
	}{
		{unit.Length, 0.42, "420 mm"},
		{unit.Length, 20, "20 m"},
		{unit.Length, 0, "0 mm"},
		{unit.Current, 0.35, "350 mA"},
		{unit.Temperature, 40, "40 C"},
		{unit.Angle, math.Pi / 2, "90°"},
		{unit.Illuminance, 2500, "2500 lx"},
		{unit.Illuminance, 9990, "9990 lx"},
		{unit.Illuminance, 10100, "10.1 klx"},
	}
	for _, test := range tests {
		if got := test.d.Say(test.si); got != test.want {
			t.Errorf("%g is said as %q, not %q", test.si, got, test.want)
		}
	}
}

func TestIn(t *testing.T) {
	if got := unit.Length.In(1.1811, "in"); !near(got, 46.5) {
		t.Errorf("got %g, not 46.5 in", got)
	}
	if got := unit.Temperature.In(25, "F"); !near(got, 77) {
		t.Errorf("got %g, not 77 F", got)
	}
	if got := unit.Length.In(0.43, "no such unit"); !near(got, 430) {
		t.Errorf("an unknown unit gives %g, not the first one", got)
	}
	if got := unit.Illuminance.A() + ", " + unit.Length.A(); got != "an illuminance, a length" {
		t.Errorf("articles: %q", got)
	}
}

func TestSplitAndParseNumber(t *testing.T) {
	if v, rest, err := unit.Split(" 0.28 EUR/kWh "); v != 0.28 || rest != "EUR/kWh" || err != nil {
		t.Errorf("got %g %q %v", v, rest, err)
	}
	if v, err := unit.ParseNumber("-1.5e3"); v != -1500 || err != nil {
		t.Errorf("got %g %v", v, err)
	}
	for _, text := range []string{"", "x", "1 m", "0x1", "1_0", "NaN", "-", "1e400"} {
		if v, err := unit.ParseNumber(text); err == nil {
			t.Errorf("%q was read as %g", text, v)
		}
	}
}

// FuzzParse: what is read is finite, and what is refused has a reason.
func FuzzParse(f *testing.F) {
	for _, text := range []string{"1180 mm", "-2 m", "1e999 mm", "1 1/2 in", "\u00b5", "0x1p-2 m", "1e", "1e+ m", "77 \u00b0F"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, d := range all {
			v, err := d.Parse(text)
			if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Errorf("%q is %g as %s", text, v, d.Name)
			}
			if err != nil && err.Error() == "" {
				t.Errorf("%q is refused without a reason", text)
			}
		}
	})
}

func ExampleDimension_Parse() {
	width, _ := unit.Length.Parse("46.5 in")
	fmt.Printf("%.4f m\n", width)
	_, err := unit.Current.Parse("350")
	fmt.Println(err)
	// Output:
	// 1.1811 m
	// 350 has no unit; write 350 mA or 0.35 A
}

func TestCountsAndLists(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{"": "", "rail": "Rail", "élan": "Élan", "ряд 1": "Ряд 1", "\xff": "\xff", "5 lx": "5 lx"} {
		if got := unit.Capital(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	for n, want := range map[int]string{0: "0 strings", 1: "1 string", 2: "2 strings"} {
		if got := unit.Several(n, "string"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	for most, want := range map[int]string{1: "a and 3 more", 2: "a, b and 2 more", 3: "a, b, c, d"} {
		if got := unit.List([]string{"a", "b", "c", "d"}, most); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
