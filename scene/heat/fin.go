package heat

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// fin is a rod or bar that conducts heat along itself and gives it to the air from its outline. Across itself it has
// one temperature: the way from under a board to the far side of the metal is left out.
type fin struct {
	ConductionWM float64 // conductivity times metal cross-section, W m/K
	// EndExtraM is the length of outline that each end adds to its last cell, for what the cut face gives off: its metal
	// cross-section over its perimeter. Source: the corrected length of the adiabatic tip, D. R. Harper, W. B. Brown 1922,
	// NACA report 158; Incropera et al., section 3.6.
	EndExtraM float64
	Loss      loss
	Sources   []source
}

// source is heat that enters evenly between two places along the fin, measured from its left end. What lies beyond the
// ends enters at the part that lies on the fin. FromM equal to ToM is a point.
type source struct{ FromM, ToM, HeatW float64 }

// Line is a temperature along a fin, in cells of equal length.
type Line struct {
	CellM  float64
	XM, TC []float64 // middles of the cells, from the left end; temperature of each
	LossW  float64   // what the fin gives to the air
}

const (
	longestCellM = 0.002 // a quarter of the shortest board and less than a hundredth of the decay length of any bar
	fewestCells  = 50
	mostCells    = 4000 // beyond 8 m the cells grow instead
	mostNewtons  = 100
	newtonK      = 1e-9 // last step, relative to the temperature or 1 K
	stalledK     = 1e-6 // the same where rounding allows no better: short thick bars
)

// newLine returns a line of one temperature, with cells of at most 2 mm (8 m and less).
func newLine(lengthM, tC float64) Line {
	n := int(min(max(math.Ceil(lengthM/longestCellM), fewestCells), mostCells))
	l := Line{CellM: lengthM / float64(n), XM: make([]float64, n), TC: make([]float64, n)}
	for i := range l.XM {
		l.XM[i], l.TC[i] = (float64(i)+0.5)*l.CellM, tC
	}
	return l
}

// solve returns the steady temperature along the fin, as from a first guess: central differences on the line's cells,
// Newton steps on the loss. The heat of all sources leaves through it, within rounding.
func (f fin) solve(guess Line) (Line, error) {
	line := guess
	line.TC, line.LossW = slices.Clone(guess.TC), 0
	n := len(line.XM)
	heatW, outlineM := make([]float64, n), slices.Repeat([]float64{line.CellM}, n)
	outlineM[0] += f.EndExtraM
	outlineM[n-1] += f.EndExtraM
	for _, s := range f.Sources {
		line.overlap(s.FromM, s.ToM, func(i int, share float64) { heatW[i] += share * s.HeatW })
	}
	last := math.Inf(1)
	for range mostNewtons {
		worst, err := f.newton(line, heatW, outlineM)
		if err != nil || math.IsNaN(worst) || math.IsInf(worst, 0) {
			break
		}
		if worst < newtonK || worst < stalledK && worst >= last/2 {
			for i, t := range line.TC {
				wPerM, _ := f.Loss(t)
				line.LossW += wPerM * outlineM[i]
			}
			return line, nil
		}
		last = worst
	}
	return Line{}, fmt.Errorf("the temperature along the bar does not settle within %d steps, or grows beyond all bounds",
		mostNewtons)
}

// newton moves the line's temperatures, by the heat and the length of outline of each cell, towards where every cell's
// heat balances: what the cells lack over how fast that changes, a tridiagonal system whose diagonal outweighs its
// neighbours. worst is the largest move, relative to the temperature or 1 K.
func (f fin) newton(l Line, heatW, outlineM []float64) (worst float64, err error) {
	n, coupling := len(l.XM), f.ConductionWM/l.CellM
	beside := slices.Repeat([]float64{-coupling}, n-1)
	diagonal, lack := make([]float64, n), make([]float64, n)
	for i, t := range l.TC {
		wPerM, wPerMK := f.Loss(t)
		lack[i], diagonal[i] = heatW[i]-wPerM*outlineM[i], wPerMK*outlineM[i]
		for _, k := range []int{i - 1, i + 1} {
			if k >= 0 && k < n {
				lack[i] += coupling * (l.TC[k] - t)
				diagonal[i] += coupling
			}
		}
	}
	step := mat.NewVecDense(n, nil)
	err = mat.NewTridiag(n, beside, diagonal, slices.Clone(beside)).SolveVecTo(step, false, mat.NewVecDense(n, lack))
	for i := range l.TC {
		l.TC[i] += step.AtVec(i)
		worst = math.Max(worst, math.Abs(step.AtVec(i))/math.Max(1, math.Abs(l.TC[i])))
	}
	return worst, err
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

// meanC returns the mean temperature between two places, which is what a board there sits on.
func (l Line) meanC(fromM, toM float64) (sum float64) {
	l.overlap(fromM, toM, func(i int, share float64) { sum += share * l.TC[i] })
	return sum
}

// hottestC returns the highest temperature within TieK and the first place that has it.
func (l Line) hottestC() (tC, xM float64) {
	for i, t := range l.TC {
		if i == 0 || t > tC+TieK {
			tC, xM = t, l.XM[i]
		}
	}
	return tC, xM
}
