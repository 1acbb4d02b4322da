package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestOutliersFromBonferronisLimit: of n values with n - k degrees of freedom one is an outlier beyond Student's quantile of 1 - 0.05/2n, so
// that a sound set has an outlier in 5 % of cases. Cook & Weisberg 1982, 2.2.2.
func TestOutliersFromBonferronisLimit(t *testing.T) {
	for _, n := range []int{5, 12, 40} {
		limit := distuv.StudentsT{Sigma: 1, Nu: float64(n - 2)}.Quantile(1 - 0.05/2/float64(n))
		for part, want := range map[float64]bool{0.995: false, 1.005: true} {
			s := newSolver(Problem{Measured: make([]float64, n), Start: []float64{0, 0}})
			for i := range s.sigma {
				s.sigma[i] = 1
			}
			s.problem.Measured[2] = part * limit
			if got := s.outliers()[2]; got != want {
				t.Errorf("of %d values one at %.3f of the limit is an outlier: %v", n, part, got)
			}
		}
	}
}

// TestQuarterMayBeWild: up to a quarter of the values are left out, a choice of this program; with more the values disagree.
func TestQuarterMayBeWild(t *testing.T) {
	const n = 200
	for off, disagree := range map[int]bool{50: false, 51: true} {
		x := places(n)
		y := noisy(x, rand.New(rand.NewPCG(1, 1)), 0)
		for i := range off {
			y[(i*n)/off] *= 10
		}
		f, err := Solve(problem(x, y))
		if err != nil || f.Disagree != disagree {
			t.Errorf("%d of %d values tenfold: disagree %v, %v", off, n, f != nil && f.Disagree, err)
		}
	}
}

// TestScaleOfTheMedian: the median of normal residuals of standard deviation 1 is the quantile of 75 %; for few values Rousseeuw &
// Leroy 1987, p. 202, raise it by 1 + 5/(n - k). Of an even number the two in the middle count.
func TestScaleOfTheMedian(t *testing.T) {
	s := newSolver(Problem{Measured: []float64{-3, 1, 2, -40}, Start: []float64{0, 0}})
	for i := range s.sigma {
		s.sigma[i] = 1
	}
	if want := (1 + 5./2) * 2.5 / distuv.UnitNormal.Quantile(0.75); math.Abs(s.scale()/want-1) > 1e-5 {
		t.Errorf("scale %.6g, want %.6g", s.scale(), want)
	}
	for _, dof := range []int{1, 5} { // the stated error, where others show less or nothing
		if got := s.deleted(1, 0, 1, dof); got != 1 {
			t.Errorf("with %d degrees of freedom a residual of 1 is %g", dof, got)
		}
	}
}
