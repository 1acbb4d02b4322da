package fit

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// decay is k*exp(-c*x) over x; parameters are ln k and c.
func decay(x []float64) Model {
	return func(p []float64) (values []float64, slopes [][]float64) {
		for i := range x {
			values = append(values, math.Exp(p[0]-p[1]*x[i]))
			slopes = append(slopes, []float64{values[i], -x[i] * values[i]})
		}
		return values, slopes
	}
}

func places(n int) []float64 {
	var x []float64
	for i := range n {
		x = append(x, float64(i)/float64(n-1))
	}
	return x
}

func problem(x, measured []float64) Problem {
	return Problem{Measured: measured, Start: []float64{0, 0}, Low: []float64{-10, -5}, High: []float64{10, 20}, Model: decay(x), RelativeError: 0.03, Floor: 1e-6}
}

// noisy are values of k = 5, c = 2 with a relative error.
func noisy(x []float64, r *rand.Rand, share float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = 5 * math.Exp(-2*x[i]) * (1 + share*r.NormFloat64())
	}
	return out
}

func TestExactValuesComeBack(t *testing.T) {
	x := places(8)
	f, err := Solve(problem(x, noisy(x, rand.New(rand.NewPCG(1, 1)), 0)))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.P[0]-math.Log(5)) > 1e-8 || math.Abs(f.P[1]-2) > 1e-8 || f.Scatter > 1e-8 || f.Dof != 6 {
		t.Errorf("%+v", f)
	}
	// With a relative error s the weighted line through ln y has the closed errors s*sqrt(1/n + m^2/S), s/sqrt(S), where m
	// is the mean of x and S its sum of squares about it.
	mean, squares := 0.5, 0.0
	for _, v := range x {
		squares += (v - mean) * (v - mean)
	}
	for k, want := range []float64{0.03 * math.Sqrt(1.0/8+mean*mean/squares), 0.03 / math.Sqrt(squares)} {
		if got := math.Sqrt(f.Covariance.At(k, k)); math.Abs(got-want) > 1e-6*want {
			t.Errorf("standard error %d: %g, want %g", k, got, want)
		}
	}
}

// TestStudent: two-sided 95 % factors of Student's t as every table prints them.
func TestStudent(t *testing.T) {
	for dof, want := range map[int]float64{1: 12.706, 2: 4.303, 5: 2.571, 10: 2.228, 30: 2.042, 120: 1.980} {
		if got := (&Fit{Dof: dof}).T(0.95); math.Abs(got-want) > 5e-4 {
			t.Errorf("%d: %g, want %g", dof, got, want)
		}
	}
}

// TestWildValuesAreNamed: a third of one value's size, and a confusion of units, are named and do not move the answer.
func TestWildValuesAreNamed(t *testing.T) {
	x := places(20)
	r := rand.New(rand.NewPCG(3, 5))
	y := noisy(x, r, 0.03)
	y[3] /= 3
	y[15] *= 10.76
	y[8] *= 0.6
	f, err := Solve(problem(x, y))
	if err != nil {
		t.Fatal(err)
	}
	for i, outlier := range f.Outlier {
		if outlier != (i == 3 || i == 15 || i == 8) {
			t.Errorf("value %d: outlier %v, %.1f standard errors off", i, outlier, f.Studentised[i])
		}
	}
	if math.Abs(f.P[1]-2) > 0.1 || f.Dof != 15 {
		t.Errorf("%v with %d degrees of freedom", f.P, f.Dof)
	}
	if math.Abs(f.Residuals[3]+2.0/3) > 0.05 {
		t.Errorf("residual of the third: %g", f.Residuals[3])
	}
}

// TestSoundValuesAreRarelyOutliers: of 300 sets without an outlier about a twentieth loses one; 10 % leaves room for chance.
func TestSoundValuesAreRarelyOutliers(t *testing.T) {
	x, lost := places(20), 0
	for seed := range uint64(300) {
		f, err := Solve(problem(x, noisy(x, rand.New(rand.NewPCG(seed, 7)), 0.03)))
		if err != nil {
			t.Fatal(err)
		}
		for _, outlier := range f.Outlier {
			if outlier {
				lost++
				break
			}
		}
	}
	if lost > 30 {
		t.Errorf("%d of 300 sound sets lose a value", lost)
	}
}

func TestDisagreement(t *testing.T) {
	x := places(12)
	y := noisy(x, rand.New(rand.NewPCG(3, 5)), 0.01)
	for _, i := range []int{1, 4, 7, 10} {
		y[i] *= 4
	}
	f, err := Solve(problem(x, y))
	if err != nil || !f.Disagree || f.Dof != 10 {
		t.Errorf("%+v, %v", f, err)
	}
}

// TestNoiseShows: values twice as noisy as stated widen the intervals.
func TestNoiseShows(t *testing.T) {
	x := places(60)
	f, err := Solve(problem(x, noisy(x, rand.New(rand.NewPCG(9, 9)), 0.06)))
	if err != nil {
		t.Fatal(err)
	}
	// The standard error of a standard error is 1/sqrt(2 dof) = 9 %.
	if math.Abs(f.Scatter-0.06) > 0.018 || f.Assumed != f.Scatter || math.Abs(f.LeaveOneOut/f.Scatter-1) > 0.1 {
		t.Errorf("scatter %g, assumed %g, leave one out %g", f.Scatter, f.Assumed, f.LeaveOneOut)
	}
}

// TestLeaveOneOut: the short formula is that of really leaving each value out, to second order in the noise.
func TestLeaveOneOut(t *testing.T) {
	x := places(9)
	y := noisy(x, rand.New(rand.NewPCG(2, 2)), 0.02)
	f, err := Solve(problem(x, y))
	if err != nil {
		t.Fatal(err)
	}
	var sum float64
	for i := range x {
		some := append(append([]float64(nil), x[:i]...), x[i+1:]...)
		rest, err := Solve(problem(some, append(append([]float64(nil), y[:i]...), y[i+1:]...)))
		if err != nil {
			t.Fatal(err)
		}
		r := y[i]/math.Exp(rest.P[0]-rest.P[1]*x[i]) - 1
		sum += r * r
	}
	if want := math.Sqrt(sum / 9); math.Abs(f.LeaveOneOut-want) > 0.03*want {
		t.Errorf("%g, want %g", f.LeaveOneOut, want)
	}
}

func TestBoundsHold(t *testing.T) {
	x := places(8)
	p := problem(x, noisy(x, rand.New(rand.NewPCG(4, 4)), 0.01))
	p.Low[1], p.Start[1] = 3, 3
	f, err := Solve(p)
	if err != nil || f.P[1] != 3 || !f.AtBound[1] || f.AtBound[0] || f.Dof != 7 {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestWhatDecidesNothing(t *testing.T) {
	if _, err := Solve(problem([]float64{0.5, 0.5, 0.5}, []float64{1, 1, 1})); !errors.Is(err, ErrUndecided) {
		t.Errorf("one place: %v", err)
	}
	if _, err := Solve(problem([]float64{0, 1}, []float64{1, 1})); !errors.Is(err, errTooFew) {
		t.Errorf("two values: %v", err)
	}
}
