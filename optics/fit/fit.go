// Package fit finds the few parameters of a model from measured values with relative errors: least squares after
// Levenberg and Marquardt, with outliers found first and left out, intervals after Student, and the error of leaving
// one value out. It knows no light: what the model is, the caller says.
// Next: package optics, whose meter fits a tank to a light meter's readings.
package fit

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Model returns values, one a measured value, and slopes: slopes[i][k] is how values[i] changes with the k-th parameter.
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
