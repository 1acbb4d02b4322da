package heat

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"fathomlux/scene/parts"
)

// Bar is the outline of a long horizontal bar in still air and surroundings of one temperature.
//
// Its two sides are vertical plates of its height, its top a horizontal plate hot side up, its underside (the emitting
// face) one hot side down, both with half the width as their length. Perimeter beyond 2 (width + height) are grooves
// and fins: it gives heat to the air as the sides do, each fin at the bar's own temperature (a fin of 2 mm aluminium
// and 20 mm depth stays within 1 %), but does not radiate, as it faces metal of the same temperature. With less
// perimeter, all faces count in proportion. Tilt is left out: it turns some underside into side and some top away from
// up, which changes the sum by a few per cent. Boards and optics on the underside are taken as bare metal, and draught
// as absent: it cools.
type Bar struct {
	parts.Profile
	AirC float64
}

type face struct {
	name         string // of one whose formula has a published range
	widthM       float64
	lengthM      float64 // see body
	nusselt      func(flow) float64
	lowest, most float64 // Rayleigh numbers at which the formula was measured; 0 and 0 where it holds for all here
}

// faces are sides, top, underside and grooves.
func (b Bar) faces() [4]face {
	boxM := 2 * (b.WidthM + b.HeightM)
	share := math.Min(b.PerimeterM/boxM, 1) // of the box around the bar, which the air reaches
	return [4]face{
		{"", share * 2 * b.HeightM, b.HeightM, flow.vertical, 0, 0},
		{"top", share * b.WidthM, b.WidthM / 2, flow.hotSideUp, 1e4, 1e11},
		{"underside", share * b.WidthM, b.WidthM / 2, flow.hotSideDown, 1e5, 1e10},
		{"", math.Max(b.PerimeterM-boxM, 0), b.HeightM, flow.vertical, 0, 0},
	}
}

// barLoss is the heat that a metre of bar gives off, W/m.
type barLoss struct {
	FacesW     [4]float64 // by convection, in the order of faces
	RadiationW float64
	rayleigh   [4]float64
}

func (l barLoss) totalW() float64 {
	return l.FacesW[0] + l.FacesW[1] + l.FacesW[2] + l.FacesW[3] + l.RadiationW
}

// lossPerM returns the heat that a metre of the bar gives off at surfaceC; all of it is negative where the air is
// warmer. It refuses where the film leaves the table of air.
func (b Bar) lossPerM(surfaceC float64) (l barLoss, err error) {
	film, err := airAt((surfaceC + b.AirC) / 2)
	if err != nil {
		return l, err
	}
	body := body{SurfaceC: surfaceC, AirC: b.AirC, Air: film}
	faces := b.faces()
	for i, f := range faces {
		body.LengthM = f.lengthM
		flow := body.flow()
		l.FacesW[i], l.rayleigh[i] = body.wPerM2K(f.nusselt(flow))*f.widthM*(surfaceC-b.AirC), flow.Rayleigh
	}
	l.RadiationW = (faces[0].widthM + faces[1].widthM + faces[2].widthM) * body.radiationWPerM2(b.Emissivity)
	return l, nil
}

// Stretch is a face of a bar whose formula is used outside the Rayleigh numbers at which it was measured.
type Stretch struct {
	Face                   string
	Rayleigh, Lowest, Most float64
	Share                  float64 // of the bar's heat that this face gives to the air, by the same formula
}

// Stretched returns the faces whose formulas are stretched at surfaceC.
func (b Bar) Stretched(surfaceC float64) (list []Stretch) {
	loss, err := b.lossPerM(surfaceC)
	if err != nil || surfaceC <= b.AirC {
		return nil
	}
	for i, f := range b.faces() {
		if ra := loss.rayleigh[i]; f.name != "" && (ra < f.lowest || ra > f.most) {
			list = append(list, Stretch{f.name, ra, f.lowest, f.most, loss.FacesW[i] / loss.totalW()})
		}
	}
	return list
}

// loss tells how much heat a metre of bar gives off at tC, W/m, and how that grows with the temperature, W/m/K.
// It must rise with the temperature.
type loss func(tC float64) (wPerM, wPerMK float64)

// tableStepK is the step of a bar's tabulated loss. Read linearly, one and a quarter power is met within 1 % from 1 K
// on and within 1e-4 from 10 K on.
const tableStepK = 0.5

// loss returns a table of the bar's loss in steps above the temperature of the air, so that a thousand cells can ask
// for it again and again. Each step is worked out when it is first asked for; one goroutine alone may ask. Beyond its
// end the last slope goes on; below the air the bar takes up what it would give off above.
func (b Bar) loss() (loss, error) {
	if _, err := b.lossPerM(b.AirC); err != nil {
		return nil, err
	}
	table := make([]float64, int((hottestSurfaceC(b.AirC)-b.AirC)/tableStepK))
	step := func(i int) float64 {
		if i > 0 && table[i] == 0 {
			l, _ := b.lossPerM(b.AirC + float64(i)*tableStepK) // both ends lie in the table of air
			table[i] = l.totalW()
		}
		return table[i]
	}
	return func(tC float64) (wPerM, wPerMK float64) {
		rise := math.Abs(tC - b.AirC)
		i := min(int(math.Min(rise/tableStepK, 1e6)), len(table)-2)
		low := step(i)
		wPerMK = (step(i+1) - low) / tableStepK
		return math.Copysign(low+wPerMK*(rise-float64(i)*tableStepK), tC-b.AirC), wPerMK
	}, nil
}

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
