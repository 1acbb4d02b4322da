package circuit

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/curve"
)

func TestContinuedBeyondTheTable(t *testing.T) {
	m := line(t, 30, 10)
	for _, a := range []float64{0, 0.005, 0.01, 0.5, 1, 1.5} {
		v, beyond := voltage(m, a), m.Part.CheckCurrent(a) != nil
		if want := 30 + 10*a; !near(v, want, 1e-12) { // a straight curve continues straight
			t.Errorf("at %g A: %g V, want %g V", a, v, want)
		}
		if beyond != (a < 0.01 || a > 1) {
			t.Errorf("at %g A: beyond is %v", a, beyond)
		}
	}
	m.Part.ForwardV, _ = curve.Linear([]float64{0.35}, []float64{3})
	if v, beyond := voltage(m, 0.7), m.Part.CheckCurrent(0.7) != nil; v != 3 || !beyond {
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
