package fit

import (
	"math"
	"testing"
)

// TestTukeyLimitIsThatOf95Percent holds the limit to what it is chosen for: with normal values of scale 1 the estimate by
// psi(r) = r (1 - (r/c)^2)^2 has (E psi')^2 / E psi^2 of the efficiency of the mean, which is to be 95 %. The asymptotic variance
// is that of any M-estimate, Huber & Ronchetti 2009, 3.2. A limit 0.5 % off gives 5e-4 less or more.
func TestTukeyLimitIsThatOf95Percent(t *testing.T) {
	const steps = 100_000
	var slope, square float64
	for i := range steps {
		r := tukeyLimit * (2*(float64(i)+0.5)/steps - 1)
		u := r * r / (tukeyLimit * tukeyLimit)
		density := math.Exp(-r*r/2) / math.Sqrt(2*math.Pi) * 2 * tukeyLimit / steps
		slope += (1 - u) * (1 - 5*u) * density
		square += r * r * math.Pow(1-u, 4) * density
	}
	if got := slope * slope / square; math.Abs(got-0.95) > 2e-4 {
		t.Errorf("an efficiency of %.5f", got)
	}
}

// TestWeightsEndAtTheLimit: after the robust fit a value has Tukey's weight by its residual, and none beyond the limit.
func TestWeightsEndAtTheLimit(t *testing.T) {
	parts := []float64{0.01, -0.02, 0.03, -0.04, 0.05, -0.06, 0.05, -0.04, 0.3, -0.15, 0.45, -0.7} // by which values are off
	x, y := places(len(parts)), make([]float64, len(parts))
	for i, part := range parts {
		y[i] = 5 * math.Exp(-2*x[i]) * (1 + part)
	}
	s := newSolver(problem(x, y))
	if err := s.robust(); err != nil {
		t.Fatal(err)
	}
	scale, none := s.scale(), 0
	for i, w := range s.weights {
		q := math.Max(0, 1-math.Pow(s.residual(i)/(4.685*scale), 2))
		if math.Abs(w-q*q) > 1e-4 {
			t.Errorf("value %d lies %.3f scales off and has the weight %.5f, not %.5f", i, s.residual(i)/scale, w, q*q)
		}
		if w == 0 {
			none++
		}
	}
	if none == 0 || none > 2 {
		t.Errorf("%d values have no weight", none)
	}
}
