package chart

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The labels of limits, in points.
const (
	limitGap    = 8.0
	widestLimit = 240.0
)

var (
	gridLine  = color.NRGBA{R: 226, G: 227, B: 228, A: 255}
	region    = color.NRGBA{R: 214, G: 232, B: 224, A: 255} // areas
	limitLine = draw.LineStyle{Color: style.Ink, Width: 1.2, Dashes: []vg.Length{7, 5}}
	goalPen   = style.Pen{Width: 2.2, Colour: style.Ink}
	shapes    = [...]draw.GlyphDrawer{nil, draw.CircleGlyph{}, draw.RingGlyph{}, draw.BoxGlyph{}, draw.SquareGlyph{},
		draw.PyramidGlyph{},
		draw.TriangleGlyph{}, draw.PlusGlyph{}, draw.CrossGlyph{}}
)

// draw draws the panel into a box.
func (p Panel) draw(page *style.Canvas, box style.Box) {
	var xs, ys []float64
	for _, s := range p.Series {
		for i, x := range s.X {
			if finite(x, s.Y[i]) {
				xs, ys = append(xs, x), append(ys, s.Y[i])
			}
		}
	}
	for _, l := range p.Limits {
		if l.Upright {
			xs = append(xs, l.At)
		} else {
			ys = append(ys, l.At)
		}
	}
	if f := p.Field; f != nil {
		p.X.Tight, p.Y.Tight, p.X.At, p.Y.At = true, true, f.X, f.Y
		xs, ys = edges(f.X), edges(f.Y)
	}
	box.Right -= p.limitRoom(page.Typesetter)
	a := newAxes(page, box, p.X, p.Y)
	var someX, someY bool
	a.plot.X.Min, a.plot.X.Max, someX = p.X.around(xs)
	a.plot.Y.Min, a.plot.Y.Max, someY = p.Y.around(ys)
	if p.Field != nil {
		p.Field.add(a)
	}
	for _, one := range p.Areas {
		one.add(a)
	}
	for _, l := range p.Limits {
		l.add(a)
	}
	for _, s := range p.Series {
		s.add(a)
	}
	a.draw()
	if !someX || !someY {
		page.Write(style.Text{Text: "no values", At: a.frame.Centre(), Anchor: style.Middle, Font: style.TextFont,
			Colour: style.SoftInk})
	}
	p.write(a)
}

// write writes what stands on the chart: ticks at the upper edge, labels of marks and limits, values of cells.
func (p Panel) write(a *axes) {
	p.writeTicks(a)
	for _, s := range p.Series {
		if p.Field == nil {
			s.claim(a)
		}
	}
	p.writeLimits(a)
	seen := map[style.Point]int{}
	for i := len(p.Series) - 1; i >= 0; i-- { // the highest layer first
		p.Series[i].count(a, seen)
	}
	for i := len(p.Series) - 1; i >= 0; i-- {
		p.Series[i].write(a, seen)
	}
	if p.Field != nil {
		p.Field.write(a)
	}
}

// writeTicks draws the ticks at the upper edge with their labels, thinned out where they would meet.
func (p Panel) writeTicks(a *axes) {
	var labels []style.Text
	for _, m := range p.Ticks {
		if !(m.X >= a.plot.X.Min && m.X <= a.plot.X.Max) {
			continue
		}
		at := style.Pt(a.place(m.X, a.plot.Y.Max).X, a.frame.Top)
		a.page.Line(at, style.Pt(at.X, at.Y+9), style.Pen{Width: 2, Colour: style.Ink})
		a.page.Claim(style.Box{Left: at.X - 1, Right: at.X + 1, Top: at.Y, Bottom: at.Y + 9})
		labels = append(labels, style.Text{Text: a.page.Shorten(m.Label, style.LabelFont, 120), At: style.Pt(at.X, at.Y-5),
			Anchor: style.BottomMiddle, Font: style.LabelFont, Colour: style.SoftInk})
	}
	sort.SliceStable(labels, func(i, j int) bool { return labels[i].At.X < labels[j].At.X })
	for _, label := range a.page.Thinned(labels) {
		a.page.TryWrite(label)
	}
}

// add adds the area, cut at the axes' ends.
func (s Area) add(a *axes) {
	a.add(func(c draw.Canvas, p *plot.Plot) {
		toX, toY := p.Transforms(&c)
		var corners []vg.Point
		for i := range s.X {
			corners = append(corners, vg.Point{X: toX(edge(p.X, s.X[i])), Y: toY(edge(p.Y, s.Y[i]))})
		}
		c.FillPolygon(region, c.ClipPolygonXY(corners))
	})
}

// edge is the end of an axis that an infinite value stands for, and any other value itself.
func edge(a plot.Axis, v float64) float64 {
	switch {
	case math.IsInf(v, 1):
		return a.Max
	case math.IsInf(v, -1):
		return a.Min
	}
	return v
}

func (l Limit) add(a *axes) {
	ends := plotter.XYs{{X: a.plot.X.Min, Y: l.At}, {X: a.plot.X.Max, Y: l.At}}
	if l.Upright {
		ends = plotter.XYs{{X: l.At, Y: a.plot.Y.Min}, {X: l.At, Y: a.plot.Y.Max}}
	}
	line, err := plotter.NewLine(ends)
	if err != nil {
		return
	}
	line.LineStyle = limitLine
	a.add(line.Plot)
}

// limitRoom returns the room right of the frame that the labels of limits need.
func (p Panel) limitRoom(t *style.Typesetter) float64 {
	room := 0.0
	for _, l := range p.Limits {
		if !l.Upright && l.Label != "" {
			room = math.Max(room, limitGap+math.Min(t.Width(l.Label, style.LabelFont), widestLimit))
		}
	}
	return room
}

// writeLimits writes the labels of limits right of the frame, moved apart where they would meet, and above it.
func (p Panel) writeLimits(a *axes) {
	var level []Limit
	for _, l := range p.Limits {
		at := a.place(a.plot.X.Min, l.At)
		if !l.Upright {
			level = append(level, l)
			a.page.Claim(style.Box{Left: a.frame.Left, Right: a.frame.Right, Top: at.Y - 1, Bottom: at.Y + 1})
			continue
		}
		x := a.place(l.At, a.plot.Y.Min).X
		a.page.Claim(style.Box{Left: x - 1, Right: x + 1, Top: a.frame.Top, Bottom: a.frame.Bottom})
		a.page.TryWrite(style.Text{Text: l.Label, At: style.Pt(x, a.frame.Top-5), Anchor: style.BottomMiddle,
			Font: style.LabelFont})
	}
	slices.SortStableFunc(level, func(l, m Limit) int { return cmp.Compare(m.At, l.At) })
	wanted := make([]float64, len(level))
	for i, l := range level {
		wanted[i] = a.place(a.plot.X.Min, l.At).Y
	}
	for i, y := range fig.Spread(wanted, 16, a.frame.Top, a.frame.Bottom) {
		a.page.TryWrite(style.Text{Text: a.page.Shorten(level[i].Label, style.LabelFont, widestLimit),
			At:     style.Pt(a.frame.Right+limitGap, y),
			Anchor: style.MiddleLeft, Font: style.LabelFont})
	}
}

// radius returns that of the marks, in points.
func (s Series) radius() float64 {
	if s.Radius > 0 {
		return s.Radius
	}
	return markRadius
}

func (s Series) style() draw.GlyphStyle {
	return draw.GlyphStyle{Color: s.Pen.Colour, Radius: vg.Length(s.radius()), Shape: shapes[s.Mark]}
}

// glyph draws one mark.
func (s Series) glyph(page *style.Canvas, at style.Point) {
	if s.Mark != None {
		b := &board{page: page}
		c := draw.Canvas{Canvas: b}
		c.DrawGlyphNoClip(s.style(), b.back(at))
	}
}

// add adds line, stems and marks.
func (s Series) add(a *axes) {
	var run, all plotter.XYs
	for i := range len(s.X) + 1 {
		if i < len(s.X) && finite(s.X[i], s.Y[i]) {
			run = append(run, plotter.XY{X: s.X[i], Y: s.Y[i]})
			if len(s.From) > 0 {
				a.line(plotter.XYs{{X: s.X[i], Y: s.From[i]}, run[len(run)-1]}, style.Pen{Width: 1, Colour: s.Pen.Colour}, false)
			}
			continue
		}
		a.line(run, s.Pen, s.Steps)
		all, run = append(all, run...), nil
	}
	if marks, err := plotter.NewScatter(all); err == nil && s.Mark != None {
		marks.GlyphStyle = s.style()
		a.add(marks.Plot)
	}
}

// line adds a line through places; none where one of them is not finite, or there are none.
func (a *axes) line(places plotter.XYs, pen style.Pen, steps bool) {
	line, err := plotter.NewLine(places)
	if err != nil || pen.Width == 0 {
		return
	}
	line.LineStyle = draw.LineStyle{Color: pen.Colour, Width: vg.Length(pen.Width)}
	for _, d := range pen.Dash {
		line.Dashes = append(line.Dashes, vg.Length(d))
	}
	if steps {
		line.StepStyle = plotter.PreStep
	}
	a.add(line.Plot)
}

// claim marks the places of the marks as taken, and those of a line that labels should keep off.
func (s Series) claim(a *axes) {
	for i := range s.X {
		at := a.place(s.X[i], s.Y[i])
		if s.Mark != None {
			a.page.Claim(at.Around(s.radius()))
		}
		if i > 0 && s.Steps {
			from := a.place(s.X[i-1], s.Y[i-1])
			a.page.Claim(style.Box{Left: from.X, Right: from.X, Top: math.Min(from.Y, at.Y),
				Bottom: math.Max(from.Y, at.Y)}.Grown(1))
			a.page.Claim(style.Box{Left: from.X, Right: at.X, Top: at.Y, Bottom: at.Y}.Grown(1))
		}
	}
}

// count counts the labelled marks at each place.
func (s Series) count(a *axes, at map[style.Point]int) {
	for i, label := range s.Labels {
		if label != "" {
			at[a.place(s.X[i], s.Y[i])]++
		}
	}
}

// write writes the labels of marks that have room; marks at one place share the first one's.
func (s Series) write(a *axes, at map[style.Point]int) {
	const widest = 260.0
	for i, label := range s.Labels {
		place := a.place(s.X[i], s.Y[i])
		n := at[place]
		if label == "" || n == 0 {
			continue
		}
		at[place] = 0
		if n > 1 {
			label = fmt.Sprintf("%s and %d more", a.page.Shorten(label, style.LabelFont, widest-70), n-1)
		}
		a.beside(style.Text{Text: a.page.Shorten(label, style.LabelFont, widest), Font: style.LabelFont}, place, s.radius()+5)
	}
}

// beside writes a label next to a mark, inside the frame and off all that is claimed: to the right, to the left,
// aslant, below or above. It is left out where there is no room.
func (a *axes) beside(text style.Text, at style.Point, off float64) {
	for _, way := range [8][2]float64{{1, 0}, {-1, 0}, {1, -1}, {-1, -1}, {1, 1}, {-1, 1}, {0, -1}, {0, 1}} {
		text.At = style.Pt(at.X+way[0]*off, at.Y+way[1]*off)
		text.Anchor = style.Anchor{X: (1 - way[0]) / 2, Y: (1 - way[1]) / 2}
		if a.frame.Contains(a.page.Box(text).Grown(2)) && a.page.TryWrite(text) {
			return
		}
	}
}

// edges returns the outermost borders of cells around rising values: half a cell beyond the ends.
func edges(values []float64) []float64 {
	n := len(values)
	if n == 1 {
		return []float64{values[0] - 0.5, values[0] + 0.5} // as the plotting library has it
	}
	return []float64{values[0] - (values[1]-values[0])/2, values[n-1] + (values[n-1]-values[n-2])/2}
}

// grid is a field as the plotting library takes it, and the colours of light as its palette.
type grid struct{ Field }

func (g grid) Dims() (c, r int)   { return len(g.Field.X), len(g.Field.Y) }
func (g grid) X(c int) float64    { return g.Field.X[c] }
func (g grid) Y(r int) float64    { return g.Field.Y[r] }
func (g grid) Z(c, r int) float64 { return g.Field.Z[r*len(g.Field.X)+c] }
func (g grid) Colors() (c []color.Color) {
	for _, one := range style.Light().Table() {
		c = append(c, one)
	}
	return c
}

// add adds the field's cells, and the goal's line between their middles.
func (f Field) add(a *axes) {
	g, scale := grid{f}, f.scale()
	heat := plotter.NewHeatMap(g, g)
	heat.Min, heat.Max, heat.NaN = scale.Low, scale.High, style.Light().None()
	a.add(heat.Plot)
	if low, high, ok := style.Range(f.Z); ok && f.Goal > low && f.Goal < high && len(f.X) > 1 && len(f.Y) > 1 {
		for _, line := range fig.Contour(len(f.X), len(f.Y), f.Z, f.Goal) {
			var places plotter.XYs
			for _, p := range line {
				places = append(places, plotter.XY{X: between(f.X, p.X), Y: between(f.Y, p.Y)})
			}
			a.line(places, goalPen, false)
		}
	}
}

// between returns the value at a place between two neighbours of a list, by straight lines.
func between(list []float64, at float64) float64 {
	i := min(int(at), len(list)-2)
	return list[i] + (at-float64(i))*(list[i+1]-list[i])
}

// write writes the values of the cells where there is room.
func (f Field) write(a *axes) {
	for i, z := range f.Z {
		if !finite(z) {
			continue
		}
		text := style.Text{Text: style.Number(z), At: a.place(f.X[i%len(f.X)], f.Y[i/len(f.X)]), Anchor: style.Middle,
			Font: style.LabelFont}
		cell := style.Light().At(f.scale().Share(z))
		text.Colour = style.InkOn(cell)
		if box := a.page.Box(text).Grown(2); a.page.Fits(box) {
			a.page.FillBox(box, color.NRGBA(cell)) // the goal's line leaves the number out
			a.page.Write(text)
		}
	}
}
