package result

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Summarise computes the statistics of values; goal is the value that ShareAboveGoal counts from, 0 for none.
// The coefficient of variation is the population form, percentiles interpolate linearly between ranks.
// Source: EN 12665 for the two ratios (U0 = min/mean; min/max is often called diversity).
func Summarise(values []float64, goal float64) Statistics { return summarise(values, nil, goal) }

// summarise is Summarise of values that stand for areas, all for the same one where there are no weights.
func summarise(values, weights []float64, goal float64) Statistics {
	s := extremes(values, weights)
	if len(values) == 0 {
		return s
	}
	sorted, ordered := slices.Clone(values), slices.Clone(weights)
	if weights == nil {
		slices.Sort(sorted)
	} else {
		stat.SortWeighted(sorted, ordered)
	}
	s.P05, s.P95 = quantile(sorted, ordered, 0.05), quantile(sorted, ordered, 0.95)
	if s.Mean > 0 {
		s.CV = math.Sqrt(math.Max(stat.PopVariance(values, weights), 0)) / s.Mean
	}
	if goal > 0 {
		below, _ := slices.BinarySearch(sorted, goal)
		s.ShareAboveGoal = float64(len(sorted)-below) / float64(len(sorted))
		if weights != nil {
			s.ShareAboveGoal = floats.Sum(ordered[below:]) / floats.Sum(ordered)
		}
	}
	return s
}

// quantile is Percentile of values that stand for areas: each has its rank in the middle of its own.
func quantile(sorted, weights []float64, p float64) float64 {
	if weights == nil {
		return Percentile(sorted, p)
	}
	n := len(sorted)
	at, rank := p*(floats.Sum(weights)-(weights[0]+weights[n-1])/2), 0.0
	for i := range n - 1 {
		next := rank + (weights[i]+weights[i+1])/2
		if at <= next {
			return sorted[i] + (at-rank)/(next-rank)*(sorted[i+1]-sorted[i])
		}
		rank = next
	}
	return sorted[n-1]
}

// Percentile returns the value at share p of the way from the first to the last of sorted values.
func Percentile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := min(int(at), max(0, len(sorted)-2))
	return sorted[i] + (at-float64(i))*(sorted[min(i+1, len(sorted)-1)]-sorted[i])
}

// areaM is the side of the squares whose means a lowest value is the lowest of, about, where cells are smaller: it
// then hardly depends on the cells. Common practice, no published source: the size of a sensor's face.
const areaM = 0.01

// Summarise is Summarise of the open cells of a grid, with the lowest mean over squares of about areaM as the lowest
// value.
func (g Grid) Summarise(values []float64, solid Solid, goal float64) Statistics {
	open, weights := solid.Values(values)
	return g.withLowest(summarise(open, weights, goal), values, solid)
}

// Extremes is Summarise without percentiles and variation, for thousands of candidates: mean, min, max and the two
// ratios, which are 0 where they cannot be told.
func (g Grid) Extremes(values []float64, solid Solid) Statistics {
	return g.withLowest(extremes(solid.Values(values)), values, solid)
}

// withLowest puts in the lowest mean over squares.
func (g Grid) withLowest(s Statistics, values []float64, solid Solid) Statistics {
	if squares := g.squares(); squares != g {
		means, closed := g.means(squares, values, solid)
		s = s.withMin(min(extremes(closed.Values(means)).Min, s.Max))
	}
	return s
}

// squares returns the grid of squares of about areaM that cells fill, the grid itself where its cells are as large.
func (g Grid) squares() Grid {
	along := func(n int, stepM float64) int {
		if cells := math.Round(areaM / stepM); cells > 1 && !g.Points {
			return max(1, int(math.Round(float64(n)/cells)))
		}
		return n
	}
	nx, ny := along(g.NX, g.StepXM), along(g.NY, g.StepYM)
	if nx == g.NX && ny == g.NY {
		return g
	}
	return Grid{NX: nx, NY: ny, StepXM: g.StepXM * float64(g.NX) / float64(nx),
		StepYM: g.StepYM * float64(g.NY) / float64(ny)}
}

// means returns the means of values over squares, and their closed shares; without an outline that cuts cells, a square
// with any open cell counts whole.
func (g Grid) means(squares Grid, values []float64, solid Solid) (means []float64, closed Solid) {
	means, areas := make([]float64, squares.Cells()), make([]float64, squares.Cells())
	cells := make([]float64, squares.Cells())
	for i, v := range values {
		at := i/g.NX*squares.NY/g.NY*squares.NX + i%g.NX*squares.NX/g.NX
		cells[at]++
		if open := solid.Open(i); open > 0 {
			means[at], areas[at] = means[at]+float64(open*v), areas[at]+open
		}
	}
	if solid != nil {
		closed = make(Solid, len(means))
	}
	cut := solid.cut()
	for i, area := range areas {
		switch {
		case area == 0:
			closed[i] = 1
			continue
		case cut:
			closed[i] = 1 - area/cells[i]
		}
		means[i] /= area
	}
	return means, closed
}

// Squares returns the field in squares of about areaM, itself where its cells are as large.
func (f Field) Squares() Field {
	squares := f.Grid.squares()
	if squares == f.Grid {
		return f
	}
	to := Field{Grid: squares}
	to.Illuminance, to.Solid = f.Grid.means(squares, f.Illuminance, f.Solid)
	to.PPFD, _ = f.Grid.means(squares, f.PPFD, f.Solid)
	return to
}

// Spots returns where the field's lowest and highest values of a quantity are, among its open cells.
func (f Field) Spots(q Quantity) (lowest, highest Spot) {
	values, low, high := Of(q, f.Illuminance, f.PPFD), -1, -1
	for i, v := range values {
		if !f.Solid.mostly(i) {
			continue
		}
		if low < 0 || v < values[low] {
			low = i
		}
		if high < 0 || v > values[high] {
			high = i
		}
	}
	if low < 0 {
		return lowest, highest
	}
	at := func(i int) Spot { return Spot{f.Grid.CentreX(i % f.Grid.NX), f.Grid.CentreY(i / f.Grid.NX)} }
	return at(low), at(high)
}

// LowestM is the larger side of the squares, or cells, whose means a lowest value is the lowest of, in metres; 0 where
// it is that of points.
func (g Grid) LowestM() float64 {
	if g.Points {
		return 0
	}
	squares := g.squares()
	return max(squares.StepXM, squares.StepYM)
}

// withMin puts in a lowest value, and the ratios.
func (s Statistics) withMin(lowest float64) Statistics {
	s.Min, s.MinOverMean, s.MinOverMax = lowest, 0, 0
	if s.Mean > 0 {
		s.MinOverMean = lowest / s.Mean
	}
	if s.Max > 0 {
		s.MinOverMax = lowest / s.Max
	}
	return s
}

// extremes are those of some values, the lowest and the highest of those that weigh half at least where there are any.
func extremes(values, weights []float64) (s Statistics) {
	if len(values) == 0 {
		return s
	}
	if weights != nil {
		s.Mean = stat.Mean(values, weights)
		if some := heavy(values, weights); len(some) > 0 {
			values = some
		}
		s.Max = slices.Max(values)
		return s.withMin(slices.Min(values))
	}
	s.Min, s.Max = values[0], values[0]
	for _, v := range values {
		s.Mean += v
		s.Min, s.Max = min(s.Min, v), max(s.Max, v)
	}
	s.Mean /= float64(len(values))
	return s.withMin(s.Min)
}

// heavy are the values that weigh half at least.
func heavy(values, weights []float64) (list []float64) {
	for i, v := range values {
		if weights[i] >= 0.5 {
			list = append(list, v)
		}
	}
	return list
}

// Scaled returns the statistics of the same field with all values times factor, which is above 0. ShareAboveGoal is not
// carried over, for it depends on the values one by one.
func (s Statistics) Scaled(factor float64) Statistics {
	s.Mean, s.Min, s.Max = s.Mean*factor, s.Min*factor, s.Max*factor
	s.P05, s.P95 = s.P05*factor, s.P95*factor
	if factor != 1 {
		s.ShareAboveGoal = 0
	}
	return s
}
