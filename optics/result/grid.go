package result

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/scene/space"
)

// niceStepsMM are the grid steps that FineGrid chooses among.
var niceStepsMM = []float64{1, 2, 2.5, 5, 10, 20, 25, 50, 100, 200, 250, 500}

// fineCells is the number of cells that FineGrid stays below: enough that a tank's corners are resolved to a hundredth
// of its length, few enough for a picture within a fraction of a second.
const fineCells = 25000

// FineStepM returns the step that FineGrid takes for a plan of the given sides, in metres.
func FineStepM(lengthM, widthM float64) float64 {
	for _, mm := range niceStepsMM {
		if lengthM*widthM/(mm*mm*1e-6) <= fineCells {
			return mm / 1000
		}
	}
	return niceStepsMM[len(niceStepsMM)-1] / 1000
}

// NewGrid returns the grid whose cells fill the plan and are as near to stepM by stepM as whole numbers of cells allow.
func NewGrid(lengthM, widthM, stepM float64) Grid {
	nx := max(1, int(math.Round(lengthM/stepM)))
	ny := max(1, int(math.Round(widthM/stepM)))
	return Grid{NX: nx, NY: ny, StepXM: lengthM / float64(nx), StepYM: widthM / float64(ny)}
}

// standardSpacingM returns the largest spacing between the points of a measurement grid for a side of sideM metres:
// p = 0.2 * 5^log10(d), at most 10 m. Source: EN 12464-1, after Stockmar 1992. The standard's printed table
// is coarser below 1 m (0.15 m for 0.4 m, where the formula gives 0.105 m); the formula is what counts here.
func standardSpacingM(sideM float64) float64 { return math.Min(10, 0.2*math.Pow(5, math.Log10(sideM))) }

// StandardGrid returns the measurement grid of the lighting standards: spacing after the longer side, or after the
// shorter one where the plan is at least twice as long as wide; cells with an aspect between 0.5 and 2.
// Source: EN 12464-1.
func StandardGrid(lengthM, widthM float64) Grid {
	long, short := math.Max(lengthM, widthM), math.Min(lengthM, widthM)
	side := long
	if long >= 2*short {
		side = short
	}
	p := standardSpacingM(side)
	nx := max(1, int(math.Ceil(lengthM/p-1e-9)))
	ny := max(1, int(math.Ceil(widthM/p-1e-9)))
	for lengthM/float64(nx) > 2*widthM/float64(ny) {
		nx++
	}
	for widthM/float64(ny) > 2*lengthM/float64(nx) {
		ny++
	}
	return Grid{NX: nx, NY: ny, StepXM: lengthM / float64(nx), StepYM: widthM / float64(ny), Points: true}
}

// Between interpolates the values of cells, which hold at their middles, at a place on the plan; beyond the outermost
// middles it is theirs.
func (g Grid) Between(values []float64, xM, yM float64) float64 {
	at := func(v float64, n int) (low, high int, share float64) {
		v = min(max(v-0.5, 0), float64(n-1))
		low = int(v)
		return low, min(low+1, n-1), v - float64(low)
	}
	l, r, u := at(xM/g.StepXM, g.NX)
	b, t, v := at(yM/g.StepYM, g.NY)
	b, t = b*g.NX, t*g.NX
	return (values[b+l]*(1-u)+values[b+r]*u)*(1-v) + (values[t+l]*(1-u)+values[t+r]*u)*v
}

// Solid is the closed share of each cell of a grid, by its index: 0 for a cell that counts whole, 1 for one whose
// middle lies inside an obstacle or that lies outside the tank, for which no light is asked, and between for one that
// the tank's outline cuts, which counts by the area that is left. It is nil where all cells count whole.
type Solid []float64

// Closed tells whether nothing of a cell counts.
func (s Solid) Closed(i int) bool { return s != nil && s[i] >= 1 }

// Open is the share of a cell that counts.
func (s Solid) Open(i int) float64 {
	if s == nil {
		return 1
	}
	return 1 - s[i]
}

// mostly tells whether at least half of a cell counts: the lowest and highest values are of such cells alone, since a
// sliver at an outline meets few photons.
func (s Solid) mostly(i int) bool { return s.Open(i) >= 0.5 }

// cut tells whether there are cells of which a part counts.
func (s Solid) cut() bool {
	return slices.ContainsFunc(s, func(closed float64) bool { return closed > 0 && closed < 1 })
}

// Within closes, beside what is closed, the cells whose middle lies outside an area; of an area between the middles of
// cells the nearest row or column stays.
func (g Grid) Within(a space.Area, solid Solid) Solid {
	if a == (space.Area{}) {
		return solid
	}
	fromX, toX := cellsWithin(a.FromXM, a.ToXM, g.NX, g.StepXM)
	fromY, toY := cellsWithin(a.FromYM, a.ToYM, g.NY, g.StepYM)
	out := make(Solid, g.Cells())
	for i := range out {
		x, y := i%g.NX, i/g.NX
		out[i] = 1 - solid.Open(i)
		if x < fromX || x > toX || y < fromY || y > toY {
			out[i] = 1
		}
	}
	return out
}

// cellsWithin returns the first and the last of n cells of stepM whose middles lie within a stretch, both ends
// included.
func cellsWithin(fromM, toM float64, n int, stepM float64) (first, last int) {
	const slack = 1e-6 // of a cell: ends that lie on a middle do so but for rounding
	first = int(math.Ceil(fromM/stepM - 0.5 - slack))
	last = int(math.Floor(toM/stepM - 0.5 + slack))
	if first > last {
		first = int((fromM + toM) / 2 / stepM)
		last = first
	}
	return min(max(first, 0), n-1), min(max(last, 0), n-1)
}

// Values returns those of the values of which anything counts, in order, and their weights: values itself where all do,
// and no weights where each counts whole.
func (s Solid) Values(values []float64) (open, weights []float64) {
	if s == nil {
		return values, nil
	}
	cut := s.cut()
	open = make([]float64, 0, len(values))
	for i, v := range values {
		if !s.Closed(i) {
			open = append(open, v)
			if cut {
				weights = append(weights, s.Open(i))
			}
		}
	}
	return open, weights
}

// Share returns the closed share of the cells, 0 to 1.
func (s Solid) Share() float64 {
	if len(s) == 0 {
		return 0
	}
	return floats.Sum(s) / float64(len(s))
}
