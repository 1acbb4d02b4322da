package circuit

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// ExampleModule_voltageAt is a die of 3.0 V at 25 C and 300 mA that loses 3 mV/K, at 125 C: 2.7 V and 0.81 W instead of
// 0.9 W. Source: Khanna 2014, Fundamentals of Solid-State Lighting, eq. 14.1 to 14.3 (H1).
func ExampleModule_voltageAt() {
	forward, _ := curve.Linear([]float64{0.1, 0.3}, []float64{2.8, 3.0})
	die := Module{Part: parts.Module{Name: "die", DiesAlong: 1, DiesAcross: 1, ParallelPaths: 1, ForwardV: forward, ReferenceC: 25, VoltsPerK: -0.003}}
	hotV, _ := die.voltageAt(0.3, 125)
	coolV, _ := die.voltageAt(0.3, 25)
	fmt.Printf("%.2f V, %.2f W, %.2f W\n", hotV, hotV*0.3, coolV*0.3)
	// Output: 2.70 V, 0.81 W, 0.90 W
}

func TestBoardOfPaths(t *testing.T) {
	m := modules(1, "quad-neutral")[0]
	series, err := m.voltageAt(0.35, 25)
	if err != nil || !near(series, 14, 1e-12) { // four dies of 3.5 V, a row of the table; some last bits
		t.Errorf("four in series: %g V, %v; want 14 V", series, err)
	}
	m.Part.ParallelPaths = 2
	split, err := m.voltageAt(0.70, 25)
	if err != nil || !near(split, 7, 1e-12) {
		t.Errorf("two paths of two at 700 mA: %g V, %v; want 7 V", split, err)
	}
	m.ShiftV = 0.5
	if shifted, _ := m.voltageAt(0.70, 25); !near(shifted, 7.5, 1e-12) {
		t.Errorf("shifted by 0.5 V: %g V, want 7.5 V", shifted)
	}
}

func TestVoltageRefuses(t *testing.T) {
	m := modules(1, "quad-neutral")[0]
	for name, try := range map[string]func() (float64, error){
		"below the table": func() (float64, error) { return m.voltageAt(0.05, 25) },
		"above the table": func() (float64, error) { return m.voltageAt(1.1, 25) },
		"no number":       func() (float64, error) { return m.voltageAt(math.NaN(), 25) },
		"no temperature":  func() (float64, error) { return m.voltageAt(0.35, math.NaN()) },
		"melted":          func() (float64, error) { return m.voltageAt(0.35, 5000) },
		"no dies":         func() (float64, error) { return Module{}.voltageAt(0.35, 25) },
	} {
		if v, err := try(); err == nil {
			t.Errorf("%s: answered %g", name, v)
		}
	}
}

func TestContinuedBeyondTheTable(t *testing.T) {
	m := line(t, 30, 10)
	for _, a := range []float64{0, 0.005, 0.01, 0.5, 1, 1.5} {
		v, beyond := m.continuedV(a)
		if want := 30 + 10*a; !near(v, want, 1e-12) { // a straight curve continues straight
			t.Errorf("at %g A: %g V, want %g V", a, v, want)
		}
		if beyond != (a < 0.01 || a > 1) {
			t.Errorf("at %g A: beyond is %v", a, beyond)
		}
	}
	m.Part.ForwardV, _ = curve.Linear([]float64{0.35}, []float64{3})
	if v, beyond := m.continuedV(0.7); v != 3 || !beyond {
		t.Errorf("a table of one row: %g V, %v; want its 3 V, beyond", v, beyond)
	}
}

func TestRootFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(-9, 9).Draw(t, "root")
		bend := rapid.Float64Range(0.1, 5).Draw(t, "bend")
		calls := 0
		got := root(func(x float64) float64 { calls++; return math.Expm1(bend*(x-want)) + (x - want) }, -10, 10)
		if !near(got, want, 1e-12) { // slope at least 1 near the root: a few last bits of numbers below 10
			t.Errorf("found %g, want %g", got, want)
		}
		if calls > 120 { // halving alone takes 58
			t.Errorf("%d calls", calls)
		}
	})
	up := func(x float64) float64 { return x }
	if got := root(up, 1, 2); got != 1 {
		t.Errorf("all above zero: %g, want the low end", got)
	}
	if got := root(up, -2, -1); got != -1 {
		t.Errorf("all below zero: %g, want the high end", got)
	}
	root(func(float64) float64 { return math.NaN() }, 0, 1) // must end
	if got := root(func(x float64) float64 { return math.Copysign(1, x-0.25) }, 0, 1); !near(got, 0.25, 1e-15) {
		t.Errorf("a step: %g, want 0.25", got)
	}
}
