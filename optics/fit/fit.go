// Package fit finds the few parameters of a model from measured values with relative errors: least squares after
// Levenberg and Marquardt, with outliers found first and left out, intervals after Student, and the error of leaving
// one value out. It knows no light: what the model is, the caller says.
// Next: package optics, whose meter fits a tank to a light meter's readings.
package fit

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Model returns values, one a measured value, and slopes: slopes[i][k] is how values[i] changes with the k-th
// parameter.
type Model func(p []float64) (values []float64, slopes [][]float64)

// Problem is what is to be fitted. Low and High bound the parameters.
type Problem struct {
	Measured         []float64
	Start, Low, High []float64
	Model            Model
	RelativeError    float64 // standard error of one value, as a share of what the model says
	Floor            float64 // values of the model below this count as this large when errors are weighed
}

// Fit is the answer. Residuals are shares of the model's value (or of the floor).
type Fit struct {
	P           []float64
	Values      []float64     // of the model
	Residuals   []float64     // measured over the model's value, less 1
	Studentised []float64     // residuals in their own standard errors; of a value left out, as against a prediction
	Outlier     []bool        // left out
	Disagree    bool          // there are so many outliers that none was left out
	AtBound     []bool        // parameters that a bound holds
	Covariance  *mat.SymDense // of the parameters, as if no bound held any
	Scatter     float64       // standard error of one value as the residuals show it, a share
	Assumed     float64       // the one that the covariance stands on: the larger of Scatter and the stated one
	Dof         int
	LeaveOneOut float64 // root of the mean squared relative error of each value predicted from all others
}

// Errors of problems that have no answer.
var (
	errTooFew    = errors.New("there are not more values than parameters")
	ErrUndecided = errors.New("the values do not decide between the parameters")
)

const (
	mostRounds   = 200
	settled      = 1e-9 // a step below this share of a parameter's standard error ends the search
	mostOutliers = 0.25 // share of values that may be left out
	familyRisk   = 0.05 // of calling any sound value an outlier
	mostUnlike   = 1e12 // condition of the normal equations beyond which nothing is decided
)

// Solve fits the problem. Outliers are named by a robust fit (least absolute residuals, then Tukey's weights) whose
// residuals are held against the scale of their median, with Bonferroni's limit for as many values; then all others are
// fitted by least squares. Sources: Huber & Ronchetti, Robust Statistics, 2nd ed. 2009, ch. 4 and 7; Cook & Weisberg,
// Residuals and Influence in Regression, 1982, 2.2.2.
func Solve(p Problem) (*Fit, error) {
	if len(p.Measured) <= len(p.Start) {
		return nil, fmt.Errorf("%w: %d and %d", errTooFew, len(p.Measured), len(p.Start))
	}
	s := newSolver(p)
	if err := s.robust(); err != nil {
		return nil, err
	}
	out, n := &Fit{Outlier: s.outliers()}, len(p.Measured)
	if left := s.leave(out.Outlier); float64(left) > mostOutliers*float64(n) || n-left <= len(p.Start) {
		out.Disagree, out.Outlier = true, make([]bool, n)
	}
	out.Dof = n - s.leave(out.Outlier)
	if err := s.search(); err != nil {
		return nil, err
	}
	return out, s.conclude(out)
}

// T returns the factor that makes a standard error half the width of an interval of the given confidence.
func (f *Fit) T(confidence float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: float64(f.Dof)}.Quantile((1 + confidence) / 2)
}

// conclude fills the answer from where the search ended.
func (s *solver) conclude(out *Fit) error {
	n := len(s.problem.Measured)
	out.P, out.Values, out.AtBound = s.p, s.values, s.atBound
	inverse, err := s.inverse()
	if err != nil {
		return err
	}
	kept := float64(out.Dof)
	for _, held := range s.atBound {
		if !held {
			out.Dof--
		}
	}
	var squares float64
	for i := range n {
		if !out.Outlier[i] {
			squares += s.residual(i) * s.residual(i)
		}
	}
	spread := math.Sqrt(squares / float64(out.Dof)) // in stated errors
	out.Scatter = spread * s.problem.RelativeError
	factor := math.Max(1, spread)
	out.Assumed = factor * s.problem.RelativeError
	out.Covariance = mat.NewSymDense(len(s.p), nil)
	out.Covariance.ScaleSym(factor*factor, inverse)
	var press float64
	for i := range n {
		r, h := s.residual(i), math.Min(s.leverage(i, inverse), 1-1e-9)
		out.Residuals = append(out.Residuals, r*s.problem.RelativeError)
		if out.Outlier[i] {
			out.Studentised = append(out.Studentised, r/(factor*math.Sqrt(1+h)))
			continue
		}
		out.Studentised = append(out.Studentised, s.deleted(r, h, squares, out.Dof))
		press += r * r / ((1 - h) * (1 - h))
	}
	out.LeaveOneOut = math.Sqrt(press/kept) * s.problem.RelativeError
	return nil
}

// deleted returns a residual in the standard error that all other values show, or the stated one where that is larger.
func (s *solver) deleted(r, h, squares float64, dof int) float64 {
	spread := 1.0
	if dof > 1 {
		spread = math.Max(1, math.Sqrt(math.Max(0, squares-r*r/(1-h))/float64(dof-1)))
	}
	return r / (spread * math.Sqrt(1-h))
}

// solver walks to the parameters that serve best.
type solver struct {
	problem Problem
	p       []float64
	atBound []bool // by a bound
	weights []float64
	values  []float64
	slopes  [][]float64
	sigma   []float64
}

func newSolver(p Problem) *solver {
	n, k := len(p.Measured), len(p.Start)
	s := &solver{problem: p, p: slices.Clone(p.Start), atBound: make([]bool, k), weights: make([]float64, n),
		values: make([]float64, n), sigma: make([]float64, n)}
	s.leave(make([]bool, n))
	return s
}

// leave gives the values that are left out no weight, and all others the same. It returns how many are out.
func (s *solver) leave(out []bool) (many int) {
	for i := range s.weights {
		s.weights[i] = 1
		if out[i] {
			s.weights[i] = 0
			many++
		}
	}
	return many
}

// residual returns a residual in stated errors.
func (s *solver) residual(i int) float64 { return (s.problem.Measured[i] - s.values[i]) / s.sigma[i] }

// look computes the model where the search is, and the errors that follow from it.
func (s *solver) look() {
	s.values, s.slopes = s.problem.Model(s.p)
	for i, v := range s.values {
		s.sigma[i] = s.problem.RelativeError * math.Max(v, s.problem.Floor)
	}
}

// search walks until a step is small against the standard errors. The errors follow the model from step to step, so
// that what is solved is the quasi-likelihood of values with a relative error: low values do not pull more than high
// ones.
func (s *solver) search() error {
	damping := 1e-3
	s.look()
	for range mostRounds {
		normal, pull := s.normal()
		step, err := s.step(normal, pull, damping)
		if err != nil {
			return err
		}
		trial := make([]float64, len(s.p))
		for k := range trial {
			trial[k] = math.Min(math.Max(s.p[k]+step[k], s.problem.Low[k]), s.problem.High[k])
		}
		if s.cost(trial) > s.cost(s.p)*(1+1e-12) {
			if damping *= 10; damping > 1e12 {
				return nil // no step is better: this is the place
			}
			continue
		}
		damping = math.Max(damping/10, 1e-12)
		small := true
		for k := range trial {
			small = small && math.Abs(trial[k]-s.p[k]) <= settled/math.Sqrt(normal.At(k, k)+1e-300)
		}
		copy(s.p, trial)
		s.look()
		if small {
			break
		}
	}
	_, pull := s.normal()
	s.hold(pull)
	return nil
}

// cost is the weighted sum of squares at p with the errors as they are.
func (s *solver) cost(p []float64) float64 {
	values, _ := s.problem.Model(p)
	var sum float64
	for i, v := range values {
		r := (s.problem.Measured[i] - v) / s.sigma[i]
		sum += s.weights[i] * r * r
	}
	return sum
}

// normal returns the matrix of the normal equations and their right side.
func (s *solver) normal() (*mat.SymDense, []float64) {
	k := len(s.p)
	m, pull := mat.NewSymDense(k, nil), make([]float64, k)
	for i := range s.values {
		w := s.weights[i] / (s.sigma[i] * s.sigma[i])
		for a := range k {
			pull[a] += w * s.slopes[i][a] * (s.problem.Measured[i] - s.values[i])
			for b := a; b < k; b++ {
				m.SetSym(a, b, m.At(a, b)+w*s.slopes[i][a]*s.slopes[i][b])
			}
		}
	}
	return m, pull
}

// hold notes which parameters stand at a bound and are pulled beyond it.
func (s *solver) hold(pull []float64) {
	for k := range s.p {
		s.atBound[k] = s.p[k] <= s.problem.Low[k] && pull[k] <= 0 || s.p[k] >= s.problem.High[k] && pull[k] >= 0
	}
}

// step solves the damped normal equations for the parameters that no bound holds.
// Source: D. W. Marquardt 1963, J. Soc. Indust. Appl. Math. 11, 431-441.
func (s *solver) step(normal *mat.SymDense, pull []float64, damping float64) ([]float64, error) {
	s.hold(pull)
	m, right := mat.NewSymDense(len(s.p), nil), mat.NewVecDense(len(s.p), nil)
	for k, held := range s.atBound {
		if m.SetSym(k, k, 1); held {
			continue
		}
		right.SetVec(k, pull[k])
		for j := range k {
			if !s.atBound[j] {
				m.SetSym(k, j, normal.At(k, j))
			}
		}
		m.SetSym(k, k, normal.At(k, k)*(1+damping))
	}
	var c mat.Cholesky
	if !c.Factorize(m) {
		return nil, ErrUndecided
	}
	var x mat.VecDense
	if err := c.SolveVecTo(&x, right); err != nil && c.Cond() > mostUnlike {
		return nil, ErrUndecided
	}
	return x.RawVector().Data, nil
}

// inverse returns the inverse of the normal equations' matrix, as if no bound held anything.
func (s *solver) inverse() (*mat.SymDense, error) {
	m, _ := s.normal()
	scale := make([]float64, len(s.p)) // parameters of unlike size must not look undecided
	for k := range scale {
		if scale[k] = math.Sqrt(m.At(k, k)); !(scale[k] > 0) {
			return nil, ErrUndecided
		}
	}
	divide(m, scale)
	var c mat.Cholesky
	if !c.Factorize(m) || c.Cond() > mostUnlike || c.InverseTo(m) != nil {
		return nil, ErrUndecided
	}
	divide(m, scale)
	return m, nil
}

// divide divides each element by the scales of its row and its column.
func divide(m *mat.SymDense, scale []float64) {
	for a := range scale {
		for b := a; b < len(scale); b++ {
			m.SetSym(a, b, m.At(a, b)/(scale[a]*scale[b]))
		}
	}
}

// leverage returns how much of a value's own error its fitted value takes over, if it is one of those fitted.
func (s *solver) leverage(i int, inverse *mat.SymDense) float64 {
	v := mat.NewVecDense(len(s.p), s.slopes[i])
	return mat.Inner(v, inverse, v) / (s.sigma[i] * s.sigma[i])
}

// tukeyLimit is the residual, in scales, from which a value has no weight, for 95 % efficiency with sound values.
// Source: Huber & Ronchetti 2009, 4.8. smallest keeps the weights of least absolute residuals finite, in stated errors.
const (
	tukeyLimit   = 4.685
	smallest     = 0.05
	robustRounds = 30
)

// robust walks with weights that follow the residuals: first to the least sum of absolute residuals, which a minority
// of outliers cannot move far, then with Tukey's weights, which let go of them.
func (s *solver) robust() error {
	absolute := func(r, _ float64) float64 { return smallest / math.Max(math.Abs(r), smallest) }
	tukey := func(r, scale float64) float64 {
		q := 1 - math.Min(1, r*r/(tukeyLimit*tukeyLimit*scale*scale))
		return q * q
	}
	for _, weight := range []func(r, scale float64) float64{absolute, tukey} {
		for range robustRounds {
			if err := s.search(); err != nil {
				return err
			}
			scale, was := s.scale(), slices.Clone(s.weights)
			for i := range s.weights {
				s.weights[i] = weight(s.residual(i), scale)
			}
			if floats.EqualApprox(was, s.weights, 1e-6) {
				break
			}
		}
	}
	return s.search()
}

// scale is the standard error that the median of the residuals shows, in stated errors, at least 1.
// The factor for few values is after Rousseeuw & Leroy, Robust Regression and Outlier Detection, 1987, p. 202.
func (s *solver) scale() float64 {
	sizes := make([]float64, len(s.values))
	for i := range sizes {
		sizes[i] = math.Abs(s.residual(i))
	}
	slices.Sort(sizes)
	n := len(sizes)
	median := (sizes[n/2] + sizes[(n-1)/2]) / 2
	return math.Max(1, 1.4826*(1+5/float64(max(1, n-len(s.p))))*median)
}

// outliers tells which values lie too far from the robust fit.
func (s *solver) outliers() []bool {
	n := len(s.values)
	dof := math.Max(1, float64(n-len(s.p)))
	limit := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(1 - familyRisk/2/float64(n))
	scale, out := s.scale(), make([]bool, n)
	for i := range out {
		out[i] = math.Abs(s.residual(i)) > limit*scale
	}
	return out
}
