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
