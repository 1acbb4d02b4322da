package render

import (
	"context"
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Sweep draws the pictures of a sweep: the design chart of mean against min/mean, and for two variables min/mean over both.
func Sweep(ctx context.Context, s *result.Sweep, sc *scene.Scene, look Look, names []string, workers int) ([]Picture, error) {
	list := []drawing{designDrawing(s, sc, look, names)}
	if len(s.Axes) == 2 {
		list = append(list, surfaceDrawing(s, sc, look))
	}
	return finish(ctx, list, look, workers)
}

// designDrawing prepares the chart of mean against min/mean; names are the candidates' labels.
func designDrawing(s *result.Sweep, sc *scene.Scene, look Look, names []string) drawing {
	front := map[int]bool{}
	for _, i := range s.Frontier {
		front[i] = true
	}
	c := chart.Scatter{Title: s.Title, Subtitle: fmt.Sprintf("%d candidates on the plane %q", len(s.Candidates), s.Plane),
		XLabel: "mean " + s.Shown.Name() + ", " + s.Shown.Unit(), YLabel: "min/mean of " + s.Shown.Name(), GoalX: s.GoalLevel, GoalY: sc.Goal.Uniformity, Notes: verdictNotes(s), PixelFactor: look.PixelFactor,
		Footer: "fathomlux " + look.Version + ", engine direct, " + s.Junctions.Words() + "; candidates that cannot be mounted or get too hot are left out"}
	for _, i := range bestFirst(s) { // labels are placed in this order, as long as there is room
		one := s.Candidates[i]
		if !one.Usable() {
			continue
		}
		v := one.Light(s.Shown)
		p := chart.Point{X: v.Mean, Y: v.MinOverMean, Frontier: front[i], Met: one.Met}
		if front[i] || i == s.Best {
			p.Label = names[i]
		}
		c.Points = append(c.Points, p)
	}
	own := s.Own.Light(s.Shown)
	c.Points = append(c.Points, chart.Point{X: own.Mean, Y: own.MinOverMean, Own: true, Met: s.Own.Met, Label: "the scene as it is"})
	return drawing{name: "design-chart", title: s.Title + ", sweep", draw: c.Draw}
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

// surfaceDrawing prepares min/mean over two variables.
func surfaceDrawing(s *result.Sweep, sc *scene.Scene, look Look) drawing {
	x, y := inUnits(s.Axes[0], look.Units), inUnits(s.Axes[1], look.Units)
	c := chart.Surface{Title: s.Title, Subtitle: fmt.Sprintf("min/mean of %s on the plane %q", s.Shown.Name(), s.Plane), XLabel: axisLabel(x), YLabel: axisLabel(y), ZLabel: "min/mean",
		X: shown(x), Y: shown(y), Goal: sc.Goal.Uniformity, PixelFactor: look.PixelFactor, Notes: verdictNotes(s),
		Footer: "fathomlux " + look.Version + ", engine direct, " + s.Junctions.Words() + "; grey: cannot be mounted or computed, or too hot"}
	c.Z = make([]float64, len(c.X)*len(c.Y))
	for i, one := range s.Candidates {
		ix, iy := i/len(c.Y), i%len(c.Y)
		z := math.NaN()
		if one.Usable() {
			z = one.Light(s.Shown).MinOverMean
		}
		c.Z[ix+iy*len(c.X)] = z
	}
	c.Own = &[2]float64{s.Own.Values[0] * x.Factor, s.Own.Values[1] * y.Factor}
	if s.Best >= 0 {
		best := s.Candidates[s.Best].Values
		c.Best = &[2]float64{best[0] * x.Factor, best[1] * y.Factor}
	}
	return drawing{name: "two-variables", title: s.Title + ", sweep", draw: c.Draw}
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
