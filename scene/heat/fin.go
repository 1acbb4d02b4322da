package heat

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// fin is a rod or bar that conducts heat along itself and gives it to the air from its outline. Across itself it has
// one temperature: the way from under a board to the far side of the metal is left out.
type fin struct {
	LengthM      float64
	ConductionWM float64 // conductivity times metal cross-section, W m/K
	// EndExtraM is the length of outline that each end adds to its last cell, for what the cut face gives off: its metal
	// cross-section over its perimeter, or 0 for ends that give off nothing. Source: the corrected length of the adiabatic
	// tip, D. R. Harper, W. B. Brown 1922, NACA report 158; Incropera et al., section 3.6.
	EndExtraM float64
	Loss      loss
	StartC    float64 // where the search begins; the air's temperature serves
	Near      Line    // an earlier answer for a fin of this length, where the search begins instead; empty for none
	Sources   []Source
}

// Source is heat that enters evenly between two places along the fin, measured from its left end. What lies beyond the
// ends enters at the part that lies on the fin. FromM equal to ToM is a point.
type Source struct{ FromM, ToM, HeatW float64 }

// Line is a temperature along a fin, in cells of equal length.
type Line struct {
	CellM   float64
	XM, TC  []float64 // middles of the cells, from the left end; temperature of each
	LossW   float64   // what the fin gives to the air
	Newtons int       // steps the solution took
}

const (
	longestCellM = 0.002 // a quarter of the shortest board and less than a hundredth of the decay length of any bar
	fewestCells  = 50
	mostCells    = 4000 // beyond 8 m the cells grow instead
	mostNewtons  = 100
	newtonK      = 1e-9 // last step, relative to the temperature or 1 K
	stalledK     = 1e-6 // the same where rounding allows no better: short thick bars
)

// solve returns the steady temperature along the fin: central differences on cells of at most 2 mm (8 m and less),
// Newton steps on the loss, each a tridiagonal system. The heat of all sources leaves through loss, within rounding.
func (f fin) solve() (Line, error) {
	if err := f.check(); err != nil {
		return Line{}, err
	}
	line := newLine(f.LengthM)
	heatW := make([]float64, len(line.XM))
	for _, s := range f.Sources {
		line.overlap(s.FromM, s.ToM, func(i int, share float64) { heatW[i] += share * s.HeatW })
	}
	for i := range line.TC {
		line.TC[i] = f.StartC
	}
	if len(f.Near.TC) == len(line.TC) {
		copy(line.TC, f.Near.TC)
	}
	if err := f.settle(&line, heatW); err != nil {
		return Line{}, err
	}
	for i, t := range line.TC {
		wPerM, _ := f.Loss.At(t)
		line.LossW += wPerM * f.cellM(line, i)
	}
	return line, nil
}

func (f fin) check() error {
	switch {
	case !above0(f.LengthM):
		return fmt.Errorf("a fin needs a length above 0, not %g m", f.LengthM)
	case !above0(f.ConductionWM):
		return fmt.Errorf("conductivity times metal cross-section must be above 0, not %g W m/K", f.ConductionWM)
	case !finite(f.StartC, f.EndExtraM) || f.EndExtraM < 0:
		return errors.New("start temperature and end length must be finite")
	case f.Loss == nil:
		return errors.New("a fin needs a loss to the air")
	}
	for i, s := range f.Sources {
		if !finite(s.FromM, s.ToM, s.HeatW) || s.ToM < s.FromM {
			return fmt.Errorf("heat source %d is not a finite stretch and power", i+1)
		}
		if s.ToM < 0 || s.FromM > f.LengthM {
			return fmt.Errorf("heat source %d lies beyond the ends: %.4g to %.4g m on %.4g m", i+1, s.FromM, s.ToM,
				f.LengthM)
		}
	}
	return nil
}

func newLine(lengthM float64) Line {
	n := int(min(max(math.Ceil(lengthM/longestCellM), fewestCells), mostCells))
	l := Line{CellM: lengthM / float64(n), XM: make([]float64, n), TC: make([]float64, n)}
	for i := range l.XM {
		l.XM[i] = (float64(i) + 0.5) * l.CellM
	}
	return l
}

// overlap visits the cells between two places with the share of the stretch that each holds; the shares sum to 1.
func (l Line) overlap(fromM, toM float64, visit func(i int, share float64)) {
	n := len(l.XM)
	lengthM := float64(n) * l.CellM
	fromM, toM = math.Max(fromM, 0), math.Min(toM, lengthM)
	first := min(max(int(fromM/l.CellM), 0), n-1)
	if toM-fromM < 1e-6*l.CellM {
		visit(first, 1)
		return
	}
	for i := first; i < n && float64(i)*l.CellM < toM; i++ {
		low, high := float64(i)*l.CellM, float64(i+1)*l.CellM
		if i == n-1 {
			high = toM // rounding of the last edge
		}
		visit(i, math.Max(math.Min(high, toM)-math.Max(low, fromM), 0)/(toM-fromM))
	}
}

// meanC returns the mean temperature between two places, which is what a board there sits on. The empty line gives 0.
func (l Line) meanC(fromM, toM float64) float64 {
	var sum float64
	if len(l.XM) > 0 {
		l.overlap(fromM, toM, func(i int, share float64) { sum += share * l.TC[i] })
	}
	return sum
}

// hottestC returns the highest temperature within TieK and the first place that has it; zeros for the empty line.
func (l Line) hottestC() (tC, xM float64) {
	for i, t := range l.TC {
		if i == 0 || t > tC+TieK {
			tC, xM = t, l.XM[i]
		}
	}
	return tC, xM
}

// cellM returns the length of outline that belongs to cell i.
func (f fin) cellM(l Line, i int) float64 {
	length := l.CellM
	if i == 0 {
		length += f.EndExtraM
	}
	if i == len(l.XM)-1 {
		length += f.EndExtraM
	}
	return length
}

// settle moves the line's temperatures to where every cell's heat balances: each step solves what the cells lack over
// how fast that changes, a tridiagonal system whose diagonal outweighs its neighbours.
func (f fin) settle(l *Line, heatW []float64) error {
	n, coupling, last := len(l.XM), f.ConductionWM/l.CellM, math.Inf(1)
	lower, diagonal, upper, lack := make([]float64, n-1), make([]float64, n), make([]float64, n-1), make([]float64, n)
	step := mat.NewVecDense(n, nil)
	for l.Newtons = 1; l.Newtons <= mostNewtons; l.Newtons++ {
		for i, t := range l.TC {
			wPerM, wPerMK := f.Loss.At(t)
			cellM := f.cellM(*l, i)
			lack[i], diagonal[i] = heatW[i]-wPerM*cellM, wPerMK*cellM
			for _, k := range []int{i - 1, i + 1} {
				if k >= 0 && k < n {
					lack[i] += coupling * (l.TC[k] - t)
					diagonal[i] += coupling
				}
			}
			if i > 0 {
				lower[i-1], upper[i-1] = -coupling, -coupling
			}
		}
		if err := mat.NewTridiag(n, lower, diagonal, upper).SolveVecTo(step, false, mat.NewVecDense(n, lack)); err != nil {
			return errors.New("the temperature along the bar grows beyond all bounds")
		}
		var worst float64
		for i := range l.TC {
			l.TC[i] += step.AtVec(i)
			worst = math.Max(worst, math.Abs(step.AtVec(i))/math.Max(1, math.Abs(l.TC[i])))
		}
		if !finite(worst) {
			return errors.New("the temperature along the bar grows beyond all bounds")
		}
		if worst < newtonK || worst < stalledK && worst >= last/2 {
			return nil
		}
		last = worst
	}
	return fmt.Errorf("the temperature along the bar does not settle within %d steps", mostNewtons)
}

func finite(values ...float64) bool {
	return !slices.ContainsFunc(values, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}

func above0(x float64) bool { return x > 0 && finite(x) }
