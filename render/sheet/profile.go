package sheet

import (
	"fmt"
	"math"
	"sort"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
)

const (
	mostProfiles  = 8 // more candidates than this share a chart of the best
	bestProfiles  = 6
	profileHeight = 400.0
)

// best returns which candidates have a profile: all, or of many those that are the evenest, candidates that meet the goal
// before the others, in the sheet's order.
func (s Sheet) best() []int {
	order := make([]int, len(s.Candidates))
	for i := range order {
		order[i] = i
	}
	if len(order) <= mostProfiles {
		return order
	}
	sort.SliceStable(order, func(i, j int) bool {
		a, b := s.Candidates[order[i]], s.Candidates[order[j]]
		if s.GoalAsked && a.Met != b.Met {
			return a.Met
		}
		return evenness(a) > evenness(b)
	})
	order = order[:bestProfiles]
	sort.Ints(order)
	return order
}

// evenness is min/mean, below all others where it is no number.
func evenness(c Candidate) float64 {
	if math.IsNaN(c.Statistics.MinOverMean) {
		return math.Inf(-1)
	}
	return c.Statistics.MinOverMean
}

// profileTitle says what the lines are.
func (s Sheet) profileTitle(shown int) string {
	title := "Along the tank: mean over the width."
	if shown == len(s.Candidates) {
		return title
	}
	which := "with the highest min/mean"
	if s.GoalAsked {
		which += ", those that meet the goal first"
	}
	return fmt.Sprintf("%s Shown are the %d of %d candidates %s; the table has all.", title, shown, len(s.Candidates), which)
}

// upright tells whether the candidate's long axis is y.
func (c Candidate) upright() bool { return c.WidthM > c.LengthM }

// axisName says from where the profiles run.
func (s Sheet) axisName() string {
	upright, level := 0, 0
	for _, c := range s.Candidates {
		if c.upright() {
			upright++
		} else {
			level++
		}
	}
	from := "from the left or the front, along the longer side"
	switch {
	case upright == 0:
		from = "from the left"
	case level == 0:
		from = "from the front"
	}
	return from + ", " + s.Units.Name()
}

// line returns the candidate's profile along its longer side: the mean and the lowest of the cells across it that no
// obstacle fills.
func (s Sheet) line(i int) chart.Line {
	c := s.Candidates[i]
	grid, values := c.Field.Grid, s.Quantity.Drawn(c.Field)
	n, across, length := grid.NX, grid.NY, c.LengthM
	if c.upright() {
		n, across, length = grid.NY, grid.NX, c.WidthM
	}
	line := chart.Line{Name: s.name(i)}
	for k := range n {
		mean, low := over(across, func(j int) float64 { return values[cell(grid, c.upright(), k, j)] })
		line.X = append(line.X, (float64(k)+0.5)/float64(n)*length/s.Units.Metres())
		line.Y, line.Low = append(line.Y, mean), append(line.Low, low)
	}
	return line
}

// cell returns the index of the cell that is the k-th along and the j-th across.
func cell(g result.Grid, upright bool, k, j int) int {
	if upright {
		return k*g.NX + j
	}
	return j*g.NX + k
}

// over returns the mean and the lowest of n values, leaving out what is not finite; NaN where nothing is left.
func over(n int, value func(int) float64) (mean, low float64) {
	sum, count, low := 0.0, 0, math.Inf(1)
	for j := range n {
		if v := value(j); v-v == 0 {
			sum, count, low = sum+v, count+1, math.Min(low, v)
		}
	}
	if count == 0 {
		return math.NaN(), math.NaN()
	}
	return sum / float64(count), low
}
