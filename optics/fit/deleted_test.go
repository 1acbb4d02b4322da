package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestStudentisedAndLeftOutByDeletion leaves out each value in turn and fits the others: its distance from what they say, in the
// error of both, is its studentised residual, and the mean of the squared distances the error of leaving one out. Both are closed
// forms for models that are straight; noise of 3e-4 leaves this one so to 1e-3.
func TestStudentisedAndLeftOutByDeletion(t *testing.T) {
	x := places(9)
	y := noisy(x, rand.New(rand.NewPCG(6, 1)), 3e-4)
	y[4] *= 1.02 // outlier
	stated := func(x, y []float64) Problem {
		p := problem(x, y)
		p.RelativeError = 1e-4
		return p
	}
	f, err := Solve(stated(x, y))
	if err != nil || !f.Outlier[4] {
		t.Fatalf("%v, %+v", err, f)
	}
	var sum float64
	for i := range x {
		keep := func(list []float64) []float64 {
			some := slices.Clone(list)
			some = slices.Delete(some, i, i+1)
			if i != 4 {
				at := 4
				if i < 4 {
					at--
				}
				some = slices.Delete(some, at, at+1)
			}
			return some
		}
		rest, err := Solve(stated(keep(x), keep(y)))
		if err != nil {
			t.Fatal(err)
		}
		said := math.Exp(rest.P[0] - rest.P[1]*x[i])
		slopes := []float64{1, -x[i]} // of the logarithm
		variance := rest.Assumed * rest.Assumed
		for a := range slopes {
			for b := range slopes {
				variance += slopes[a] * slopes[b] * rest.Covariance.At(a, b)
			}
		}
		off := y[i]/said - 1
		if want := off / math.Sqrt(variance); math.Abs(f.Studentised[i]/want-1) > 3e-3 {
			t.Errorf("value %d: %.5f, by deletion %.5f", i, f.Studentised[i], want)
		}
		if i != 4 {
			sum += off * off / 8
		}
	}
	if want := math.Sqrt(sum); math.Abs(f.LeaveOneOut/want-1) > 2e-3 {
		t.Errorf("leave one out %.6g, by deletion %.6g", f.LeaveOneOut, want)
	}
}
