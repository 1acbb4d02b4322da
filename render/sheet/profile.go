package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fathomlux/render/chart"
	"fathomlux/render/style"
)

const (
	mostProfiles  = 8 // more candidates than this share a chart of the best
	bestProfiles  = 6
	profileHeight = 400.0
)

// best returns which candidates have a profile: all, or of many those with the highest uniformity, candidates that
// meet the goal before the others, in the sheet's order.
func (s Sheet) best() []int {
	var order []int
	for i := range s.Candidates {
		order = append(order, i)
	}
	if len(order) <= mostProfiles {
		return order
	}
	met := map[bool]int{true: 1}
	slices.SortStableFunc(order, func(i, j int) int { // a value that is none is below all others
		a, b := s.Candidates[i], s.Candidates[j]
		return cmp.Or(met[b.Goal.Met]-met[a.Goal.Met],
			cmp.Compare(b.Light(s.Quantity).MinOverMean, a.Light(s.Quantity).MinOverMean))
	})
	order = order[:bestProfiles]
	slices.Sort(order)
	return order
}

func (s Sheet) profiles() (c chart.Chart, title string) {
	shown := s.best()
	from := map[bool]string{false: "from the left", true: "from the front"}[s.Candidates[0].upright()]
	if differ(s, Candidate.upright) {
		from = "from the left or the front, along the longer side"
	}
	p := chart.Panel{X: chart.Axis{Label: from + ", " + s.Units.Name(), Tight: true},
		Y: chart.Axis{Label: s.Quantity.Name() + ", " + s.Quantity.Unit(), Zero: true}}
	if level := s.goalLevel(); level > 0 {
		p.Limits = []chart.Limit{{At: level, Label: "goal " + style.FourDigits(level)}}
	}
	for k, i := range shown {
		p.X.High = math.Max(p.X.High, s.Candidates[i].longM()/s.Units.Metres())
		p.Series = append(p.Series, s.lines(k, i)...)
	}
	title = "Along the tank: mean over the width; thin, in the same colour: lowest over the width."
	if len(shown) < len(s.Candidates) {
		which := "with the highest uniformity"
		if s.goalAsked() {
			which += ", those that meet the goal first"
		}
		title += fmt.Sprintf(" Shown are the %d of %d candidates %s; the table has all.", len(shown), len(s.Candidates),
			which)
	}
	return chart.Chart{HeightPt: profileHeight, Panels: []chart.Panel{p}}, title
}

// upright tells whether the candidate's long axis is y, and longM how long it is.
func (c Candidate) upright() bool { return c.Scene.Tank.WidthM > c.Scene.Tank.LengthM }

func (c Candidate) longM() float64 { return math.Max(c.Scene.Tank.LengthM, c.Scene.Tank.WidthM) }

// lines returns the k-th profile, of a candidate, along its longer side: the mean and the lowest of the cells across
// it that no obstacle fills.
func (s Sheet) lines(k, candidate int) []chart.Series {
	c := s.Candidates[candidate]
	grid, values := c.Plane.Field.Grid, s.Quantity.Drawn(c.Plane.Field)
	n, across, along, aside := grid.NX, grid.NY, 1, grid.NX // steps of the index
	if c.upright() {
		n, across, along, aside = across, n, aside, along
	}
	pen, _ := chart.Look(k, 2)
	mean := chart.Series{Name: s.name(candidate), Pen: pen}
	pen.Width = 1
	low := chart.Series{Pen: pen}
	for i := range n {
		sum, count, least := 0.0, 0, math.Inf(1)
		for j := range across {
			if v := values[i*along+j*aside]; v-v == 0 {
				sum, count, least = sum+v, count+1, math.Min(least, v)
			}
		}
		x := (float64(i) + 0.5) / float64(n) * c.longM() / s.Units.Metres()
		mean.X, mean.Y = append(mean.X, x), append(mean.Y, sum/float64(count)) // no number where nothing is left
		low.X, low.Y = append(low.X, x), append(low.Y, least)
	}
	return []chart.Series{low, mean}
}
