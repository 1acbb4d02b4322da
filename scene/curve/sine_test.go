package curve_test

import (
	"math"
	"testing"

	"fathomlux/scene/curve"

	"gonum.org/v1/gonum/integrate/quad"
)

// TestSineMomentOfConstants: a constant has cos(a) - cos(b), and x itself has sin(x) - x cos(x), however it is cut.
func TestSineMomentOfConstants(t *testing.T) {
	for _, x := range [][]float64{{0, math.Pi}, {0, 1e-4, 0.3, 1, 2, math.Pi}} {
		ones, rising := make([]float64, len(x)), make([]float64, len(x))
		for i := range x {
			ones[i], rising[i] = 1, x[i]
		}
		for _, limit := range []float64{0, 1e-5, 0.2, 1.5, math.Pi, 9} {
			b := math.Min(limit, math.Pi)
			if got := curve.SineMoment(x, ones, limit); math.Abs(got-(1-math.Cos(b))) > 1e-15 {
				t.Errorf("constant to %g: %g", limit, got)
			}
			if got, want := curve.SineMoment(x, rising, limit), math.Sin(b)-b*math.Cos(b); math.Abs(got-want) > 1e-14 {
				t.Errorf("x to %g: %g, want %g", limit, got, want)
			}
		}
	}
}

func TestSineMomentOfATable(t *testing.T) {
	x, y := []float64{0.1, 0.4, 0.5, 1.3}, []float64{3, 1, 1.5, 0}
	c, err := curve.Linear(x, y)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for i := 1; i < len(x); i++ {
		f := func(v float64) float64 { return c.AtOrZero(v) * math.Sin(v) }
		want += quad.Fixed(f, x[i-1]+1e-15, x[i]-1e-15, 12, quad.Legendre{}, 0)
	}
	if got := curve.SineMoment(x, y, 2); math.Abs(got-want) > 1e-13 {
		t.Errorf("got %.15g, want %.15g", got, want)
	}
}

func TestLastAtLeast(t *testing.T) {
	x, y := []float64{0, 10, 20, 30, 40}, []float64{100, 60, 20, 40, 0}
	for _, c := range []struct {
		level, limit, want float64
		ok                 bool
	}{
		{50, 90, 12.5, true}, {30, 90, 32.5, true}, {100, 90, 0, true}, {101, 90, 0, false}, {0, 90, 40, true},
		{30, 28, 28, true}, {30, 22, 17.5, true}, {10, 35, 35, true}, {50, 11, 11, true}, {20, 35, 35, true},
	} {
		if got, ok := curve.LastAtLeast(x, y, c.level, c.limit); ok != c.ok || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%g up to %g: %g, %v; want %g", c.level, c.limit, got, ok, c.want)
		}
	}
}
