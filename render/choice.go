package render

import (
	"cmp"
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/sheet"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// Sweep draws the pictures of a sweep: the design chart of mean against uniformity, for one variable the light over it,
// and for two the uniformity over both.
func Sweep(ctx context.Context, s *result.Sweep, sc *scene.Scene, look Look, workers int) ([]Picture, error) {
	list := []drawing{designDrawing(s, sc, look)}
	switch len(s.Axes) {
	case 1:
		list = append(list, curvesDrawing(s, sc, look))
	case 2:
		list = append(list, surfaceDrawing(s, sc, look))
	}
	return finish(ctx, list, look, workers)
}

// The colours of candidates.
var (
	plainColour = color.NRGBA{R: 108, G: 128, B: 160, A: 255}
	ownColour   = style.SeriesPen(1, 0).Colour
)

// sweepDrawing is a chart of a sweep with the words around it; footer says what the chart leaves out.
func sweepDrawing(name string, s *result.Sweep, look Look, heightPt float64, panels []chart.Panel,
	subtitle, footer string) drawing {
	notes := []string{s.Verdict.Sentence(look.Units)}
	return drawing{name, chart.Chart{HeightPt: heightPt, Panels: panels, Page: look.page(s.Title,
		fmt.Sprintf("%s on the plane %q", subtitle, s.Plane), ", "+s.Junctions.Words()+"; "+footer, notes...)}}
}

// designDrawing prepares the chart of mean against uniformity.
func designDrawing(s *result.Sweep, sc *scene.Scene, look Look) drawing {
	asked := s.Own.Goal.Asked || s.Own.Goal.Level > 0 || sc.Goal.Uniformity > 0
	kinds := candidateKinds(asked)
	add := func(kind int, c *result.Candidate, label string) {
		if kind *= 2; c.Goal.Met || !asked {
			kind++
		}
		k, v := &kinds[kind], c.Light(s.Shown)
		k.X, k.Y, k.Labels = append(k.X, v.Mean), append(k.Y, v.MinOverMean), append(k.Labels, label)
	}
	for k := range s.Candidates { // labels are placed in this order, as long as there is room: the best goes first
		i := (k + max(s.Best, 0)) % len(s.Candidates)
		one, kind, label := &s.Candidates[i], 0, ""
		if slices.Contains(s.Frontier, i) {
			kind, label = 1, one.Name
		}
		if i == s.Best {
			label = one.Name
		}
		if one.Usable() {
			add(kind, one, label)
		}
	}
	add(2, &s.Own, s.Own.Name)
	front := chart.Series{Pen: style.SeriesPen(0, 1.6), Steps: true}
	for _, i := range s.Frontier {
		v := s.Candidates[i].Light(s.Shown)
		front.X, front.Y = append(front.X, v.Mean), append(front.Y, v.MinOverMean)
	}
	panel := chart.Panel{
		X: chart.Axis{Label: "mean " + s.Shown.Name() + ", " + s.Shown.Unit()},
		Y: chart.Axis{Label: "uniformity U0 (min/mean) of " + s.Shown.Name()},
		Series: append([]chart.Series{front}, slices.DeleteFunc(kinds,
			func(k chart.Series) bool { return len(k.X) == 0 })...),
	}
	if asked {
		markGoal(&panel, s.Own.Goal.Level, sc.Goal.Uniformity)
		g := sc.Goal
		if len(g.Others) > 0 || g.MostLx+g.MostPPFD+g.MostDLI+g.LowestLx+g.LowestPPFD+g.HighestLx+g.HighestPPFD > 0 {
			panel.Areas = nil // mean and uniformity alone do not tell where it is met
		}
	}
	return sweepDrawing("design-chart", s, look, 700, []chart.Panel{panel},
		fmt.Sprintf("%d candidates", len(s.Candidates)), "candidates that cannot be mounted or get too hot are left out")
}

// markGoal marks where a goal is met, from a mean and a uniformity on; 0 where it asks for none.
func markGoal(p *chart.Panel, mean, uniformity float64) {
	left, low, inf := math.Inf(-1), math.Inf(-1), math.Inf(1)
	if mean > 0 {
		left = mean
		p.Limits = append(p.Limits, chart.Limit{At: mean, Label: "goal " + style.FourDigits(mean), Upright: true})
	}
	if uniformity > 0 {
		low = uniformity
		p.Limits = append(p.Limits, chart.Limit{At: uniformity, Label: "goal " + style.FourDigits(uniformity)})
	}
	p.Areas = []chart.Area{{Name: "goal met", X: []float64{left, inf, inf, left}, Y: []float64{low, low, inf, inf}}}
}

// candidateKinds are the kinds of marks, each first for those that miss the goal, then for those that meet it: hollow
// and full.
func candidateKinds(asked bool) (kinds []chart.Series) {
	words := []string{"misses the goal", "meets the goal", "on the frontier (none is better in both), misses the goal",
		"on the frontier (none is better in both), meets the goal", "the scene as it is", "the scene as it is"}
	if !asked {
		words[1], words[3] = "candidate", "on the frontier: none is better in both"
	}
	colours := []color.NRGBA{plainColour, style.SeriesPen(0, 0).Colour, ownColour}
	marks := []fig.Mark{fig.Ring, fig.Disc, fig.Ring, fig.Disc, fig.Square, fig.FullSquare}
	for i, name := range words {
		kinds = append(kinds, chart.Series{Name: name, Mark: marks[i], Radius: []float64{4, 5, 7}[i/2],
			Pen: style.Pen{Colour: colours[i/2]}})
	}
	return kinds
}

// surfaceDrawing prepares the uniformity over two variables.
func surfaceDrawing(s *result.Sweep, sc *scene.Scene, look Look) drawing {
	xLabel, x := shown(s.Axes[0], look.Units, s.Axes[0].Values...)
	yLabel, y := shown(s.Axes[1], look.Units, s.Axes[1].Values...)
	rising := func(list []float64) []float64 { return slices.Compact(slices.Sorted(slices.Values(list))) }
	f := &chart.Field{Name: "uniformity U0 (min/mean)", X: rising(x), Y: rising(y), Goal: sc.Goal.Uniformity}
	f.Z = make([]float64, len(f.X)*len(f.Y))
	for i, one := range s.Candidates {
		z := math.NaN()
		if one.Usable() {
			z = one.Light(s.Shown).MinOverMean
		}
		f.Z[slices.Index(f.X, x[i/len(y)])+slices.Index(f.Y, y[i%len(y)])*len(f.X)] = z
	}
	panel := chart.Panel{X: chart.Axis{Label: xLabel}, Y: chart.Axis{Label: yLabel}, Field: f}
	mark := func(name string, mark fig.Mark, values []float64) {
		_, atX := shown(s.Axes[0], look.Units, values[0])
		_, atY := shown(s.Axes[1], look.Units, values[1])
		if f.Shows(atX[0], atY[0]) {
			panel.Series = append(panel.Series, chart.Series{Name: name, X: atX, Y: atY, Mark: mark, Radius: 20,
				Pen: style.Pen{Colour: ownColour}})
		}
	}
	if s.Best >= 0 {
		mark("best of the sweep", fig.Ring, s.Candidates[s.Best].Values)
	}
	mark(s.Own.Name, fig.Square, s.Own.Values)
	return sweepDrawing("two-variables", s, look, 640, []chart.Panel{panel}, "uniformity U0 (min/mean) of "+s.Shown.Name(),
		"grey: cannot be mounted or computed, or too hot; heavy line: the goal")
}

// curvesDrawing prepares the mean, the dimmest place and the uniformity over one variable.
func curvesDrawing(s *result.Sweep, sc *scene.Scene, look Look) drawing {
	label, x := shown(s.Axes[0], look.Units, s.Axes[0].Values...)
	_, own := shown(s.Axes[0], look.Units, s.Own.Values...)
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(x[i], x[j]) })
	figures := []func(result.Statistics) float64{
		func(v result.Statistics) float64 { return v.Mean }, func(v result.Statistics) float64 { return v.Min },
		func(v result.Statistics) float64 { return v.MinOverMean }}
	names := []string{"mean", "dimmest place", "uniformity U0 (min/mean)"}
	panels := []chart.Panel{{X: chart.Axis{Label: label},
		Y: chart.Axis{Label: s.Shown.Name() + ", " + s.Shown.Unit(), Zero: true}},
		{X: chart.Axis{Label: label}, Y: chart.Axis{Label: names[2] + " of " + s.Shown.Name(), Zero: true}}}
	var marks [2][2]chart.Series // by panel: the scene as it is, and the best
	for k, figure := range figures {
		pen, mark := chart.Look(k, 1.8)
		line := chart.Series{Name: names[k], Pen: pen, Mark: mark}
		at := &marks[k/2]
		at[0].X, at[0].Y = append(at[0].X, own...), append(at[0].Y, figure(s.Own.Light(s.Shown)))
		for _, i := range order {
			c, y := &s.Candidates[i], math.NaN()
			if c.Usable() {
				y = figure(c.Light(s.Shown))
			}
			line.X, line.Y = append(line.X, x[i]), append(line.Y, y)
			if i == s.Best {
				at[1].X, at[1].Y = append(at[1].X, x[i]), append(at[1].Y, y)
			}
		}
		panels[k/2].Series = append(panels[k/2].Series, line)
	}
	for k := range panels {
		for i, of := range []chart.Series{{Name: s.Own.Name, Mark: fig.Square, Radius: 7},
			{Name: "best of the sweep", Mark: fig.Ring, Radius: 9}} {
			if of.X, of.Y = marks[k][i].X, marks[k][i].Y; len(of.X) > 0 {
				of.Pen = style.Pen{Colour: ownColour}
				panels[k].Series = append(panels[k].Series, of)
			}
		}
	}
	for k, goal := range []float64{s.Own.Goal.Level, sc.Goal.Uniformity} {
		if goal > 0 {
			panels[k].Limits = []chart.Limit{{At: goal, Label: "goal " + style.FourDigits(goal)}}
		}
	}
	return sweepDrawing("curves", s, look, 560, panels, "mean, dimmest place and uniformity over "+s.Axes[0].Name,
		"gaps: cannot be mounted or computed, or too hot")
}

// shown is an axis as people see it: its label, and what it shows of some values.
func shown(a result.Axis, u style.Units, values ...float64) (label string, list []float64) {
	for _, v := range values {
		one, name := a.In(v, u)
		name = strings.Replace(name, "deg", "\u00b0", 1) // which is for files
		label, list = strings.TrimSuffix(a.Name+", "+name, ", "), append(list, one)
	}
	return label, list
}

// Compare draws the contact sheet of a comparison under a file name. Title, notes and what is special in the footer are
// the sheet's.
func Compare(ctx context.Context, name string, s sheet.Sheet, look Look) ([]Picture, error) {
	where := fmt.Sprintf("plane %q", s.CommonPlane())
	if s.CommonPlane() == "" {
		where = "plane that each is judged by, named below its map"
	}
	s.Page = look.page(s.Title, s.Quantity.Name()+" of the "+where, s.Footer+"; one scale for all", s.Notes...)
	return finish(ctx, []drawing{{name, s}}, look, 1)
}

// kindsDrawing prepares the sheet of the light by spectrum on one plane: the PPFD of each, or their shares of the
// photons.
func kindsDrawing(m *result.Map, sc *scene.Scene, look Look, q result.Quantity) drawing {
	s := sheet.Sheet{Quantity: q, RowHead: "spectrum", Columns: []string{"modules", "mean PPFD", "min", "max",
		"least share", "greatest share"}}
	name, subtitle := "kinds", "PPFD of each"
	if q == result.Share {
		name, s.Scale = "shares", style.NewScale(0, 100)
		subtitle = "share of the photons; where it changes across the plane, patches of colour are seen"
	}
	s.Page = mapPage(m, look, fmt.Sprintf("light by spectrum on the plane %q: %s", m.KindsPlane, subtitle))
	s.Page.Notes = nil
	for _, k := range m.Kinds {
		c := sheet.Candidate{Candidate: result.Candidate{Name: k.Name, PPFD: k.PPFD}, Scene: sc, Spectrum: k.Name,
			Plane: &result.Plane{Name: m.KindsPlane, Field: k.Field},
			Figures: []string{fmt.Sprint(k.Modules), unit.Figure(k.PPFD.Mean, 1), unit.Figure(k.PPFD.Min, 1),
				unit.Figure(k.PPFD.Max, 1), fmt.Sprintf("%.0f %%", 100*k.Shares.Min), fmt.Sprintf("%.0f %%", 100*k.Shares.Max)}}
		if q == result.Share {
			c.Plane.Field.PPFD = make([]float64, len(k.Share))
			for i, v := range k.Share {
				c.Plane.Field.PPFD[i] = 100 * v
			}
			c.PPFD = k.Shares
		}
		s.Candidates = append(s.Candidates, c)
	}
	return drawing{name, s}
}
