package heat

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"fathomlux/scene/parts"
)

// slides are the tests of J1: US DOE solid-state lighting programme, slides on TM-21, p. 22.
func slides() []parts.Maintenance {
	return []parts.Maintenance{
		{CaseC: 85, AlphaPerHour: 3.354e-6, B: 0.9525, TestedHours: 10000},
		{CaseC: 55, AlphaPerHour: 1.684e-6, B: 0.9639, TestedHours: 10000},
	}
}

// ExampleDecayAt reads between tests at 55 and 85 C. source: US DOE slides on TM-21, p. 22 (J1), which print
// 130 131 hours and report "> 60 000".
func ExampleDecayAt() {
	decay, _ := DecayAt(slides(), 70)
	hours, _ := Until(decay, 0.7, 20)
	fmt.Printf("alpha %.3g, B %.4f, L70 %.3g hours, stated > %.0f\n", decay.AlphaPerHour, decay.B, reaches(decay, 0.7), hours)
	// Output: alpha 2.41e-06, B 0.9582, L70 1.3e+05 hours, stated > 60000
}

func TestSlidesOnTM21(t *testing.T) { // J1, J5
	d, err := DecayAt(slides(), 70)
	cool, _ := DecayAt(slides(), 55)
	kelvin := math.Log(d.AlphaPerHour/cool.AlphaPerHour) / (1/(55+zeroCelsiusK) - 1/(70+zeroCelsiusK))
	near(t, "Ea/k", kelvin, 2699, 1)
	near(t, "A", cool.AlphaPerHour*math.Exp(kelvin/(55+zeroCelsiusK)), 6.283e-3, 0.01e-3) // the slides round Ea/k first
	if err != nil {
		t.Fatal(err)
	}
	near(t, "alpha", d.AlphaPerHour, 2.413e-6, 0.001e-6)
	near(t, "B", d.B, 0.9582, 0.00005)
	near(t, "L70", reaches(d, 0.7), 130131, 30) // alpha is printed to four digits
	if hours, beyond := Until(d, 0.7, 20); !beyond || hours != 60000 {
		t.Errorf("%g, %v", hours, beyond)
	}
}

func TestFitOfTwentySamples(t *testing.T) { // J2: means of 20 samples, the same slides, p. 16, fitted by least squares on the logarithm
	var logs []float64
	for _, share := range []float64{0.9680, 0.9719, 0.9667, 0.9599, 0.9553, 0.9542} {
		logs = append(logs, math.Log(share))
	}
	intercept, slope := stat.LinearRegression([]float64{1000, 2000, 3000, 4000, 5000, 6000}, logs, nil, false)
	d := parts.Maintenance{AlphaPerHour: -slope, B: math.Exp(intercept), TestedHours: 6000}
	near(t, "alpha", d.AlphaPerHour, 3.7296e-6, 0.0001e-6)
	near(t, "B", d.B, 0.97529, 0.00001)
	near(t, "L70", reaches(d, 0.7), 88926, 5)
	if hours, beyond := Until(d, 0.7, 20); hours != 36000 || !beyond { // J4: six times 6000 h
		t.Errorf("%g, %v", hours, beyond)
	}
}

func TestCaps(t *testing.T) { // J4
	d := parts.Maintenance{AlphaPerHour: 1e-5, B: 1, TestedHours: 6000}
	near(t, "L70 = ln(B/0.7)/alpha", math.Log(1/0.7)/1e-5, 35667, 1)
	for _, c := range []struct {
		samples int
		hours   float64
		beyond  bool
	}{{20, 35667, false}, {25, 35667, false}, {19, 33000, true}, {10, 33000, true}} {
		hours, beyond := Until(d, 0.7, c.samples)
		if beyond != c.beyond {
			t.Errorf("%d samples: %g, %v", c.samples, hours, beyond)
		}
		near(t, fmt.Sprintf("%d samples", c.samples), hours, c.hours, 1)
	}
	if hours, beyond := Until(parts.Maintenance{AlphaPerHour: -1e-7, B: 1.01, TestedHours: 6000}, 0.7, 20); hours != 36000 || !beyond {
		t.Errorf("light that grows: %g, %v", hours, beyond)
	}
	if hours, beyond := Until(parts.Maintenance{AlphaPerHour: 1e-5, B: 0.69, TestedHours: 6000}, 0.7, 20); hours != 0 || beyond {
		t.Errorf("below the share from the start: %g, %v", hours, beyond)
	}
}

// TestNothingBeyondTheTests: J5; below the coolest test that counts, which is on the safe side.
func TestNothingBeyondTheTests(t *testing.T) {
	for _, c := range []float64{85.1, math.Inf(1), math.NaN()} {
		if _, err := DecayAt(slides(), c); err == nil || !strings.Contains(err.Error(), "the highest is at 85 °C") {
			t.Errorf("%g C: %v", c, err)
		}
	}
	for _, c := range []float64{-10, 55} {
		if d, err := DecayAt(slides(), c); err != nil || d != slides()[1] {
			t.Errorf("%g C, up to the coolest test: %+v, %v", c, d, err)
		}
	}
	if _, err := DecayAt(slides()[:1], 86); err == nil {
		t.Error("one test at 85 C says nothing of 86 C")
	}
}

func TestNeighboursOfThreeTests(t *testing.T) {
	three := append(slides(), parts.Maintenance{CaseC: 105, AlphaPerHour: 9e-6, B: 0.94, TestedHours: 6000})
	low, _ := DecayAt(three, 70)
	two, _ := DecayAt(slides(), 70)
	if low != two {
		t.Error("the third test must not matter at 70 C")
	}
	high, err := DecayAt(three, 95)
	if err != nil || high.TestedHours != 6000 {
		t.Errorf("%+v, %v", high, err)
	}
	near(t, "B", high.B, math.Sqrt(0.9525*0.94), 1e-12)
}

func TestMaintenanceLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(55, 84.9).Draw(t, "case")
		a, err := DecayAt(slides(), c)
		if err != nil {
			t.Fatal(err)
		}
		b, err := DecayAt(slides(), c+0.1)
		if err != nil || !(b.AlphaPerHour > a.AlphaPerHour) {
			t.Fatalf("warmer light must fade faster: %g, %g, %v", a.AlphaPerHour, b.AlphaPerHour, err)
		}
		want := parts.Maintenance{AlphaPerHour: rapid.Float64Range(1e-7, 1e-4).Draw(t, "alpha"), B: rapid.Float64Range(0.8, 1.1).Draw(t, "B")}
		if left := want.B * math.Exp(-want.AlphaPerHour*reaches(want, 0.7)); math.Abs(left-0.7) > 1e-12 {
			t.Fatalf("light at L70: %g", left)
		}
	})
}
