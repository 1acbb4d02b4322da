package chart

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Point is one candidate. Frontier: none is better in both values. Own: the scene as it stands. Met: it meets the goals.
type Point struct {
	X, Y               float64
	Label              string
	Frontier, Own, Met bool
}

// Scatter is the design chart: a mark for each candidate, the frontier joined by a stepped line, the goals as lines and
// the region that meets them shaded. More is better along both axes.
type Scatter struct {
	Title, Subtitle string
	XLabel, YLabel  string
	Points          []Point
	GoalX, GoalY    float64 // 0: none
	Notes           []string
	Footer          string
	PixelFactor     float64 // 0 is 1; 2 for a sharper picture
}

// The looks of a design chart, in points.
const (
	scatterHeight = 700.0
	frontierWidth = 1.6
	plainRadius   = 4.0
	frontRadius   = 5.0
	ownRadius     = 7.5
	fewPoints     = 14 // as many are all labelled
	crowd         = 200
	crowdRadius   = 2.8 // of plain marks from crowd points on
	regionWidth   = 14.0
)

// Draw draws the chart on a page of its own, 1400 points wide. Points without two finite values are left out and
// counted in a note.
func (s Scatter) Draw() (*style.Canvas, error) {
	t, err := style.NewTypesetter(s.PixelFactor)
	if err != nil {
		return nil, err
	}
	all := len(s.Points)
	s.Points = s.sound()
	notes := append([]string(nil), s.Notes...)
	if left := all - len(s.Points); left > 0 {
		notes = append(notes, fmt.Sprintf("Not shown: %d of %d candidates, which have no value.", left, all))
	}
	chart := fig.Block{HeightPt: scatterHeight, Draw: s.chart}
	return finishPage(t, pageWords{s.Title, s.Subtitle, notes, s.Footer}, []fig.Block{chart, legend(t, s.samples(), pageText)})
}

func (s Scatter) sound() []Point {
	var kept []Point
	for _, p := range s.Points {
		if finite(p.X, p.Y) {
			kept = append(kept, p)
		}
	}
	return kept
}

// goals tells whether there is anything to be met.
func (s Scatter) goals() bool { return s.GoalX > 0 || s.GoalY > 0 }

// glyph returns a point's mark.
func (s Scatter) glyph(p Point) draw.GlyphStyle {
	g := draw.GlyphStyle{Color: softBlue, Radius: plainRadius, Shape: disc}
	if len(s.Points) >= crowd {
		g.Radius = crowdRadius
	}
	if p.Frontier {
		g.Color, g.Radius = deepBlue, frontRadius
	}
	if s.goals() && !p.Met {
		g.Shape = ring
	}
	if p.Own {
		g.Color, g.Radius, g.Shape = warm, ownRadius, diamond
		if s.goals() && !p.Met {
			g.Shape = hollowDiamond
		}
	}
	return g
}

// samples returns the legend: the kinds of marks that occur.
func (s Scatter) samples() []sample {
	var list []sample
	kinds := []struct {
		text string
		is   func(Point) bool
	}{
		{"candidate", func(p Point) bool { return !s.goals() && !p.Frontier && !p.Own }},
		{"meets the goal", func(p Point) bool { return s.goals() && p.Met && !p.Frontier && !p.Own }},
		{"misses the goal", func(p Point) bool { return s.goals() && !p.Met && !p.Frontier && !p.Own }},
		{"on the frontier: none is better in both", func(p Point) bool { return !s.goals() && p.Frontier && !p.Own }},
		{"on the frontier (none is better in both), meets the goal", func(p Point) bool { return s.goals() && p.Frontier && p.Met && !p.Own }},
		{"on the frontier, misses the goal", func(p Point) bool { return s.goals() && p.Frontier && !p.Met && !p.Own }},
		{"the scene as it stands", func(p Point) bool { return p.Own }},
	}
	for _, k := range kinds {
		for _, p := range s.Points {
			if k.is(p) {
				list = append(list, sampleOfMark(k.text, s.glyph(p)))
				break
			}
		}
	}
	if s.goals() {
		list = append(list, sampleOfRegion(s.regionText()))
	}
	return list
}

func (s Scatter) regionText() string {
	if s.GoalX > 0 && s.GoalY > 0 {
		return "both goals met"
	}
	return "goal met"
}

// ranges returns what the axes show: all points and the goals.
func (s Scatter) ranges() (x, y interval) {
	xs, ys := make([]float64, 0, len(s.Points)+1), make([]float64, 0, len(s.Points)+1)
	for _, p := range s.Points {
		xs, ys = append(xs, p.X), append(ys, p.Y)
	}
	if s.GoalX > 0 {
		xs = append(xs, s.GoalX)
	}
	if s.GoalY > 0 {
		ys = append(ys, s.GoalY)
	}
	x, _ = around(xs...)
	y, _ = around(ys...)
	return x.notBelow(0), y.notBelow(0)
}

func (s Scatter) chart(c *style.Canvas, box style.Box) {
	x, y := s.ranges()
	goalX, goalY := "goal "+style.FourDigits(s.GoalX), "goal "+style.FourDigits(s.GoalY)
	box.Right -= c.Width(goalY, style.LabelFont) + 14
	a := newAxes(c, box, x, y)
	a.nameAbove = markRow
	a.canvas.Max.Y -= markRow
	a.name(s.XLabel, s.YLabel)
	s.shade(a)
	a.grid()
	s.goalLines(a)
	s.frontier(a)
	s.points(a)
	frame := a.draw(len(s.Points) == 0)
	if s.GoalX > 0 {
		at := style.Pt(a.place(s.GoalX, 0).X, frame.Top-5)
		c.TryWrite(style.Text{Text: goalX, At: at, Anchor: style.BottomMiddle, Font: style.LabelFont})
	}
	if s.GoalY > 0 {
		at := style.Pt(frame.Right+8, a.place(0, s.GoalY).Y)
		c.TryWrite(style.Text{Text: goalY, At: at, Anchor: style.MiddleLeft, Font: style.LabelFont})
	}
	s.labels(a)
}

// shade adds the region that meets the goals.
func (s Scatter) shade(a *axes) {
	if !s.goals() {
		return
	}
	p := a.plot
	left, bottom := math.Max(s.GoalX, p.X.Min), math.Max(s.GoalY, p.Y.Min)
	a.area(plotter.XYs{{X: left, Y: bottom}, {X: p.X.Max, Y: bottom}, {X: p.X.Max, Y: p.Y.Max}, {X: left, Y: p.Y.Max}}, region)
}

func (s Scatter) goalLines(a *axes) {
	p := a.plot
	if s.GoalX != 0 {
		a.line(plotter.XYs{{X: s.GoalX, Y: p.Y.Min}, {X: s.GoalX, Y: p.Y.Max}}, limitLine)
	}
	if s.GoalY != 0 {
		a.line(plotter.XYs{{X: p.X.Min, Y: s.GoalY}, {X: p.X.Max, Y: s.GoalY}}, limitLine)
	}
}

// front returns the frontier's places from left to right.
func (s Scatter) front() plotter.XYs {
	var front plotter.XYs
	for _, p := range s.Points {
		if p.Frontier {
			front = append(front, plotter.XY{X: p.X, Y: p.Y})
		}
	}
	sort.SliceStable(front, func(i, j int) bool {
		return front[i].X < front[j].X || front[i].X == front[j].X && front[i].Y > front[j].Y
	})
	return front
}

// frontier adds the frontier as steps: just right of a point, the next one's height is the best there is.
func (s Scatter) frontier(a *axes) {
	if line := a.line(s.front(), draw.LineStyle{Color: deepBlue, Width: frontierWidth}); line != nil {
		line.StepStyle = plotter.PreStep
	}
}

// points adds the marks: the plain ones first, then the frontier, then the scene's own.
func (s Scatter) points(a *axes) {
	for rank := range 3 {
		var list []Point
		var places plotter.XYs
		for _, p := range s.Points {
			if p.rank() == rank {
				list, places = append(list, p), append(places, plotter.XY{X: p.X, Y: p.Y})
			}
		}
		a.marks(places, func(i int) draw.GlyphStyle { return s.glyph(list[i]) })
	}
}

func (p Point) rank() int {
	switch {
	case p.Own:
		return 2
	case p.Frontier:
		return 1
	}
	return 0
}
