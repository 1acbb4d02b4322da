package render

import (
	"cmp"
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Sweep draws the pictures of a sweep: the design chart of mean against uniformity, and for two variables the
// uniformity over both.
func Sweep(ctx context.Context, s *result.Sweep, sc *scene.Scene, look Look, names []string, workers int) ([]Picture,
	error) {
	list := []drawing{designDrawing(s, sc, look, names)}
	if len(s.Axes) == 2 {
		list = append(list, surfaceDrawing(s, sc, look))
	}
	return finish(ctx, list, look, workers)
}

// The colours of candidates.
var (
	plainColour = color.NRGBA{R: 108, G: 128, B: 160, A: 255}
	ownColour   = style.SeriesPen(1, 0).Colour
)

// designDrawing prepares the chart of mean against uniformity; names are the candidates' labels.
func designDrawing(s *result.Sweep, sc *scene.Scene, look Look, names []string) drawing {
	goalX, goalY := s.GoalLevel, sc.Goal.Uniformity
	asked := goalX > 0 || goalY > 0
	kinds := candidateKinds(asked)
	add := func(kind int, met bool, v result.Statistics, label string) {
		if kind = 2 * kind; met || !asked {
			kind++
		}
		k := &kinds[kind]
		k.X, k.Y, k.Labels = append(k.X, v.Mean), append(k.Y, v.MinOverMean), append(k.Labels, label)
	}
	front := chart.Series{Pen: style.SeriesPen(0, 1.6), Steps: true}
	for _, i := range bestFirst(s) { // labels are placed in this order, as long as there is room
		one, kind, label := s.Candidates[i], 0, ""
		if !one.Usable() {
			continue
		}
		if slices.Contains(s.Frontier, i) {
			kind = 1
		}
		if kind == 1 || i == s.Best {
			label = names[i]
		}
		add(kind, one.Met, one.Light(s.Shown), label)
	}
	for _, i := range frontierByMean(s) {
		front.X, front.Y = append(front.X, s.Candidates[i].Light(s.Shown).Mean),
			append(front.Y, s.Candidates[i].Light(s.Shown).MinOverMean)
	}
	add(2, s.Own.Met, s.Own.Light(s.Shown), "the scene as it is")
	panel := chart.Panel{
		X: chart.Axis{Label: "mean " + s.Shown.Name() + ", " + s.Shown.Unit()},
		Y: chart.Axis{Label: "uniformity U0 (min/mean) of " + s.Shown.Name()},
		Series: append([]chart.Series{front}, slices.DeleteFunc(kinds,
			func(k chart.Series) bool { return len(k.X) == 0 })...),
	}
	inf := math.Inf(1)
	met := chart.Area{Name: "goal met", X: []float64{-inf, inf, inf, -inf}, Y: []float64{-inf, -inf, inf, inf}}
	if goalX > 0 {
		met.X[0], met.X[3] = goalX, goalX
		panel.Limits = append(panel.Limits, chart.Limit{At: goalX, Label: "goal " + style.FourDigits(goalX), Upright: true})
	}
	if goalY > 0 {
		met.Y[0], met.Y[1] = goalY, goalY
		panel.Limits = append(panel.Limits, chart.Limit{At: goalY, Label: "goal " + style.FourDigits(goalY)})
	}
	if asked {
		panel.Areas = append(panel.Areas, met)
	}
	c := chart.Chart{HeightPt: 700, Panels: []chart.Panel{panel}, Page: look.page(s.Title,
		fmt.Sprintf("%d candidates on the plane %q", len(s.Candidates), s.Plane),
		", engine direct, "+s.Junctions.Words()+"; candidates that cannot be mounted or get too hot are left out",
		verdictNotes(s)...)}
	return drawing{"design-chart", c}
}

// candidateKinds are the kinds of marks, each first for those that miss the goal, then for those that meet it: hollow
// and full.
func candidateKinds(asked bool) []chart.Series {
	words := []string{"misses the goal", "meets the goal", "on the frontier (none is better in both), misses the goal",
		"on the frontier (none is better in both), meets the goal", "the scene as it is", "the scene as it is"}
	if !asked {
		words[1], words[3] = "candidate", "on the frontier: none is better in both"
	}
	var kinds []chart.Series
	for i, name := range words {
		k := chart.Series{Name: name, Mark: chart.Ring, Radius: []float64{4, 5, 7}[i/2],
			Pen: style.Pen{Colour: plainColour}}
		switch {
		case i >= 4:
			k.Mark, k.Pen.Colour = chart.Square, ownColour
		case i >= 2:
			k.Pen.Colour = style.SeriesPen(0, 0).Colour
		}
		if i%2 == 1 {
			k.Mark-- // full
		}
		kinds = append(kinds, k)
	}
	return kinds
}

// frontierByMean lists the frontier's candidates by their means.
func frontierByMean(s *result.Sweep) []int {
	return slices.SortedStableFunc(slices.Values(s.Frontier), func(a, b int) int {
		return cmp.Compare(s.Candidates[a].Light(s.Shown).Mean, s.Candidates[b].Light(s.Shown).Mean)
	})
}

// verdictNotes are the verdict, and what it leaves out.
func verdictNotes(s *result.Sweep) []string {
	notes := []string{s.Verdict}
	if words := s.Bounced.Words(); words != "" {
		notes = append(notes, words)
	}
	return notes
}

// bestFirst lists the candidates, the best before all others.
func bestFirst(s *result.Sweep) []int {
	var list []int
	if s.Best >= 0 {
		list = append(list, s.Best)
	}
	for i := range s.Candidates {
		if i != s.Best {
			list = append(list, i)
		}
	}
	return list
}

// surfaceDrawing prepares the uniformity over two variables.
func surfaceDrawing(s *result.Sweep, sc *scene.Scene, look Look) drawing {
	x, y := inUnits(s.Axes[0], look.Units), inUnits(s.Axes[1], look.Units)
	f := &chart.Field{Name: "uniformity U0 (min/mean)", X: shown(x), Y: shown(y), Goal: sc.Goal.Uniformity}
	f.Z = make([]float64, len(f.X)*len(f.Y))
	for i, one := range s.Candidates {
		ix, iy := i/len(f.Y), i%len(f.Y)
		z := math.NaN()
		if one.Usable() {
			z = one.Light(s.Shown).MinOverMean
		}
		f.Z[ix+iy*len(f.X)] = z
	}
	panel := chart.Panel{X: chart.Axis{Label: axisLabel(x)}, Y: chart.Axis{Label: axisLabel(y)}, Field: f}
	mark := func(name string, mark chart.Mark, values []float64) {
		if !f.Shows(values[0]*x.Factor, values[1]*y.Factor) {
			return
		}
		panel.Series = append(panel.Series, chart.Series{Name: name, X: []float64{values[0] * x.Factor},
			Y:    []float64{values[1] * y.Factor},
			Mark: mark, Radius: 20, Pen: style.Pen{Colour: ownColour}})
	}
	if s.Best >= 0 {
		mark("best of the sweep", chart.Ring, s.Candidates[s.Best].Values)
	}
	mark("the scene as it is", chart.Square, s.Own.Values)
	c := chart.Chart{HeightPt: 640, Panels: []chart.Panel{panel}, Page: look.page(s.Title,
		fmt.Sprintf("uniformity U0 (min/mean) of %s on the plane %q", s.Shown.Name(), s.Plane),
		", engine direct, "+s.Junctions.Words()+"; grey: cannot be mounted or computed, or too hot; heavy line: the goal",
		verdictNotes(s)...)}
	return drawing{"two-variables", c}
}

// inUnits is an axis of lengths as people see them.
func inUnits(a result.Axis, u style.Units) result.Axis {
	if a.Unit == style.Metric.Name() {
		a.Unit, a.Factor = u.Name(), 1/u.Metres()
	}
	return a
}

func axisLabel(a result.Axis) string {
	if a.Unit == "" {
		return a.Name
	}
	return a.Name + ", " + a.Unit
}

func shown(a result.Axis) []float64 {
	out := make([]float64, len(a.Values))
	for i, v := range a.Values {
		out[i] = v * a.Factor
	}
	return out
}
