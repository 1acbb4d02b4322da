package chart

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Line is a named series. Places where X or Y is not finite are gaps. Low, where it is not empty, is a thin companion
// of the same look, such as the lowest value where Y is the mean.
type Line struct {
	Name string
	X, Y []float64
	Low  []float64

	Plain bool // no marks along it, where dots would be taken for them
}

// Mark is a place on the x axis, drawn as a tick at the frame's upper edge.
type Mark struct {
	X     float64
	Label string
}

// Limit is a value on the y axis that lines are held against.
type Limit struct {
	Y     float64
	Label string
}

// Lines is a chart of several series over one variable.
type Lines struct {
	Title, Subtitle string
	XLabel, YLabel  string
	Lines           []Line
	Dots            []Dots
	Marks           []Mark
	Limits          []Limit
	LowNote         string  // what the thin companions are
	From, To        float64 // of the x axis; To not above From: as far as the lines reach
	FromZero        bool    // the y axis starts at 0 where no value is below
	Notes           []string
	Footer          string
	HeightPt        float64 // of the chart without its legend; 0: the usual
	PixelFactor     float64 // 0 is 1; 2 for a sharper picture
}

// The looks of a lines chart, in points.
const (
	linesHeight  = 520.0
	lineWidth    = 2.0
	lowWidth     = 1.0
	markRadius   = 4.0
	markApart    = 150.0 // between the marks on one line
	nameGap      = 16.5  // between names at the right edge
	nameLead     = 30.0  // for the leaders to them
	widestMargin = 330.0
	markRow      = 18.0
	markTick     = 9.0
)

// Draw draws the chart on a page of its own, 1400 points wide. It refuses series whose x and y differ in number; a chart
// without any value says so.
func (l Lines) Draw() (*style.Canvas, error) {
	t, err := style.NewTypesetter(l.PixelFactor)
	if err != nil {
		return nil, err
	}
	blocks, err := l.Blocks(t, pageText)
	if err != nil {
		return nil, err
	}
	return finishPage(t, pageWords{l.Title, l.Subtitle, l.Notes, l.Footer}, blocks)
}

// Blocks returns the chart, and the legend that belongs to it, as strips of a page whose text is widthPt wide.
func (l Lines) Blocks(t *style.Typesetter, widthPt float64) ([]fig.Block, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	if l.HeightPt <= 0 {
		l.HeightPt = linesHeight
	}
	direct := float64(len(l.names()))*nameGap <= l.HeightPt-axisLabelRoom-markRow-60
	return []fig.Block{
		{HeightPt: l.HeightPt, Draw: func(c *style.Canvas, box style.Box) { l.chart(c, box, direct) }},
		legend(t, l.samples(direct), widthPt),
	}, nil
}

func (l Lines) check() error {
	for i, line := range l.Lines {
		if len(line.X) != len(line.Y) || len(line.Low) > 0 && len(line.Low) != len(line.X) {
			return fmt.Errorf("chart: line %d has %d places, %d values and %d low values; they must be as many",
				i+1, len(line.X), len(line.Y), len(line.Low))
		}
	}
	for i, d := range l.Dots {
		if len(d.X) != len(d.Y) || len(d.From) > 0 && len(d.From) != len(d.X) {
			return fmt.Errorf("chart: dots %d have %d places, %d values and %d feet; they must be as many", i+1, len(d.X), len(d.Y), len(d.From))
		}
	}
	return nil
}

// samples returns the legend: of every line where their names do not stand at the lines, and of the thin ones.
func (l Lines) samples(direct bool) []sample {
	var list []sample
	low := false
	for i, line := range l.Lines {
		look := lookOf(i)
		if !direct && line.Name != "" {
			list = append(list, sampleOfLine(line.Name, look.line(lineWidth), look.glyph(markRadius)))
		}
		low = low || len(line.Low) > 0
	}
	for _, d := range l.Dots {
		if d.Name != "" {
			list = append(list, sampleOfMark(d.Name, lookOf(d.Line).glyph(dotRadius)))
		}
	}
	if low && l.LowNote != "" {
		list = append(list, sampleOfLine(l.LowNote, draw.LineStyle{Color: style.SoftInk, Width: lowWidth}, draw.GlyphStyle{}))
	}
	return list
}

// ranges returns what the axes show.
func (l Lines) ranges() (x, y interval, ok bool) {
	var xs, ys []float64
	for _, line := range l.Lines {
		for i := range line.X {
			if finite(line.X[i], line.Y[i]) {
				xs, ys = append(xs, line.X[i]), append(ys, line.Y[i])
			}
			if len(line.Low) > 0 && finite(line.X[i], line.Low[i]) {
				ys = append(ys, line.Low[i])
			}
		}
	}
	for _, d := range l.Dots {
		for i := range d.X {
			if finite(d.X[i], d.Y[i]) {
				xs, ys = append(xs, d.X[i]), append(ys, d.Y[i])
			}
		}
	}
	low, high, ok := style.Range(xs)
	if x = (interval{low, high}); !(high > low) {
		x, _ = around(xs...)
	}
	if l.To > l.From && finite(l.From, l.To) {
		x = interval{math.Min(l.From, x.low), math.Max(l.To, x.high)}
		if !ok {
			x = interval{l.From, l.To}
		}
	}
	for _, limit := range l.Limits {
		ys = append(ys, limit.Y)
	}
	lowest, _, _ := style.Range(ys)
	if l.FromZero && lowest >= 0 {
		y, _ = around(append(ys, 0)...)
		return x, y.notBelow(0), ok
	}
	y, _ = around(ys...)
	return x, y, ok
}

func finite(values ...float64) bool {
	for _, v := range values {
		if v-v != 0 {
			return false
		}
	}
	return true
}

// chart draws the chart into a box.
func (l Lines) chart(c *style.Canvas, box style.Box, direct bool) {
	x, y, ok := l.ranges()
	inner := box
	inner.Right -= l.margin(c, direct)
	if len(l.Marks) > 0 {
		inner.Top += markRow
	}
	a := newAxes(c, inner, x, y)
	if len(l.Marks) > 0 {
		a.nameAbove = markRow
	}
	a.name(l.XLabel, l.YLabel)
	a.grid()
	for i, line := range l.Lines {
		a.series(line, lookOf(i), float64(i)/float64(len(l.Lines)))
	}
	for _, d := range l.Dots {
		a.dots(d)
	}
	a.limits(l.Limits)
	frame := a.draw(!ok)
	l.marks(a, frame)
	l.writeNames(a, frame, direct)
}

// series adds a line with its companion. Marks stand at equal distances along x; phase shifts them, 0 to 1.
func (a *axes) series(line Line, l look, phase float64) {
	for _, part := range runs(line.X, line.Low) {
		a.line(part, l.line(lowWidth))
	}
	for _, part := range runs(line.X, line.Y) {
		a.line(part, l.line(lineWidth))
		if line.Plain {
			continue
		}
		n := max(1, int(float64(a.canvas.Max.X-a.canvas.Min.X)/markApart))
		every := (a.plot.X.Max - a.plot.X.Min) / float64(n)
		if p, err := plotter.NewScatter(along(part, every, a.plot.X.Min+phase*every)); err == nil {
			p.GlyphStyle = l.glyph(markRadius)
			a.plot.Add(p)
		}
	}
}

// runs cuts a series at its gaps.
func runs(x, y []float64) []plotter.XYs {
	var all []plotter.XYs
	var run plotter.XYs
	for i := range y {
		if finite(x[i], y[i]) {
			run = append(run, plotter.XY{X: x[i], Y: y[i]})
		} else if len(run) > 0 {
			all, run = append(all, run), nil
		}
	}
	if len(run) > 0 {
		all = append(all, run)
	}
	return all
}

// along returns the places on a line at first, first+every and so on, where x rises; at least its first point.
func along(line plotter.XYs, every, first float64) plotter.XYs {
	var places plotter.XYs
	for i := 1; i < len(line); i++ {
		p, q := line[i-1], line[i]
		for k := math.Ceil((p.X - first) / every); p.X < q.X && first+k*every < q.X; k++ {
			t := (first + k*every - p.X) / (q.X - p.X)
			places = append(places, plotter.XY{X: first + k*every, Y: p.Y + t*(q.Y-p.Y)})
		}
	}
	if len(places) == 0 {
		places = append(places, line[0])
	}
	return places
}

// limitLine is the pen of what values are held against.
var limitLine = draw.LineStyle{Color: style.Ink, Width: 1.2, Dashes: []vg.Length{7, 5}}

// limits adds the limit lines.
func (a *axes) limits(list []Limit) {
	for _, limit := range list {
		a.line(plotter.XYs{{X: a.plot.X.Min, Y: limit.Y}, {X: a.plot.X.Max, Y: limit.Y}}, limitLine)
	}
}

// marks draws the ticks at the upper edge with their labels, thinned out where they would meet.
func (l Lines) marks(a *axes, frame style.Box) {
	var labels []style.Text
	for _, m := range l.Marks {
		if !finite(m.X) || m.X < a.plot.X.Min || m.X > a.plot.X.Max {
			continue
		}
		x := a.place(m.X, 0).X
		a.page.Line(style.Pt(x, frame.Top), style.Pt(x, frame.Top+markTick), style.Pen{Width: 2, Colour: style.Ink})
		labels = append(labels, style.Text{
			Text: a.page.Shorten(m.Label, style.LabelFont, 120), At: style.Pt(x, frame.Top-5),
			Anchor: style.BottomMiddle, Font: style.LabelFont, Colour: style.SoftInk,
		})
	}
	sort.SliceStable(labels, func(i, j int) bool { return labels[i].At.X < labels[j].At.X })
	for _, label := range a.page.Thinned(labels) {
		a.page.TryWrite(label)
	}
}
