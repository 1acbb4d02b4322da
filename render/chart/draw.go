package chart

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The labels of limits, in points.
const (
	limitGap    = 8.0
	widestLimit = 240.0
)

var (
	gridLine = color.NRGBA{R: 226, G: 227, B: 228, A: 255}
	region   = color.NRGBA{R: 214, G: 232, B: 224, A: 255} // areas
	limitPen = style.Pen{Width: 1.2, Colour: style.Ink, Dash: []float64{7, 5}}
	goalPen  = style.Pen{Width: 2.2, Colour: style.Ink}
)

// draw draws the panel into a box, from the lowest layer to the highest, and what is written on it.
func (p Panel) draw(page *style.Canvas, box style.Box) {
	xs, ys := p.values()
	right := box.Right
	if f := p.Field; f != nil {
		p.X.Tight, p.Y.Tight, p.X.At, p.Y.At = true, true, f.X, f.Y
		xs, ys = borders(f.X), borders(f.Y)
	}
	for _, l := range p.Limits { // whose labels stand right of the frame
		if !l.Upright && l.Label != "" {
			room := limitGap + math.Min(page.Width(l.Label, style.LabelFont), widestLimit)
			box.Right = math.Min(box.Right, right-room)
		}
	}
	a := newAxes(page, box, p.X, p.Y, xs, ys)
	if p.Field != nil {
		p.Field.draw(a)
	}
	for _, one := range p.Areas {
		one.draw(a)
	}
	for _, l := range p.Limits {
		from, to := a.ends(l)
		a.Line(from, to, limitPen)
	}
	for _, s := range p.Series {
		s.draw(a, p.Field == nil)
	}
	page.StrokeBox(a.frame, style.Pen{Width: 1, Colour: style.SoftInk})
	if len(xs) == 0 || len(ys) == 0 {
		page.Write(style.Text{Text: "no values", At: a.frame.Centre(), Anchor: style.Middle, Font: style.TextFont,
			Colour: style.SoftInk})
	}
	p.writeTicks(a)
	p.writeLimits(a)
	p.writeLabels(a)
}

// values returns all that the axes have to hold.
func (p Panel) values() (xs, ys []float64) {
	for _, s := range p.Series {
		for i, x := range s.X {
			if finite(x, s.Y[i]) {
				xs, ys = append(xs, x), append(ys, s.Y[i])
			}
		}
		ys = append(ys, s.From...)
	}
	for _, l := range p.Limits {
		if l.Upright {
			xs = append(xs, l.At)
		} else {
			ys = append(ys, l.At)
		}
	}
	return xs, ys
}

// writeTicks draws the ticks at the upper edge with their labels, thinned out where they would meet.
func (p Panel) writeTicks(a *axes) {
	var labels []style.Text
	for _, m := range p.Ticks {
		if !(m.X >= a.x.Min && m.X <= a.x.Max) {
			continue
		}
		at := style.Pt(a.place(m.X, a.y.Max).X, a.frame.Top)
		a.Line(at, style.Pt(at.X, at.Y+9), style.Pen{Width: 2, Colour: style.Ink})
		a.Claim(style.Box{Left: at.X - 1, Right: at.X + 1, Top: at.Y, Bottom: at.Y + 9})
		labels = append(labels, style.Text{Text: a.Shorten(m.Label, style.LabelFont, 120), At: style.Pt(at.X, at.Y-5),
			Anchor: style.BottomMiddle, Font: style.LabelFont, Colour: style.SoftInk})
	}
	slices.SortStableFunc(labels, func(l, m style.Text) int { return cmp.Compare(l.At.X, m.At.X) })
	for _, label := range a.Thinned(labels) {
		a.TryWrite(label)
	}
}

// draw draws the area, cut at the frame.
func (s Area) draw(a *axes) {
	var corners []vg.Point
	for i := range s.X {
		corners = append(corners, corner(a.place(ended(a.x, s.X[i]), ended(a.y, s.Y[i]))))
	}
	frame := vg.Rectangle{Min: corner(style.Pt(a.frame.Left, a.frame.Top)),
		Max: corner(style.Pt(a.frame.Right, a.frame.Bottom))}
	var points []style.Point
	for _, p := range cut(corners, frame) {
		points = append(points, style.Pt(float64(p.X), float64(p.Y)))
	}
	if len(points) > 2 {
		a.Polygon(points, region)
	}
}

func corner(p style.Point) vg.Point { return vg.Point{X: vg.Length(p.X), Y: vg.Length(p.Y)} }

// cut returns what lies in the frame of a polygon: each edge in turn takes off what is beyond it (Sutherland and
// Hodgman 1974).
func cut(corners []vg.Point, frame vg.Rectangle) []vg.Point {
	for _, edge := range []struct{ at, inwards vg.Point }{{frame.Min, vg.Point{X: 1}}, {frame.Min, vg.Point{Y: 1}},
		{frame.Max, vg.Point{X: -1}}, {frame.Max, vg.Point{Y: -1}}} {
		var kept []vg.Point
		for i, to := range corners {
			from := corners[(i+len(corners)-1)%len(corners)]
			before, after := from.Sub(edge.at).Dot(edge.inwards), to.Sub(edge.at).Dot(edge.inwards)
			if (before < 0) != (after < 0) {
				kept = append(kept, from.Add(to.Sub(from).Scale(before/(before-after))))
			}
			if after >= 0 {
				kept = append(kept, to)
			}
		}
		corners = kept
	}
	return corners
}

// ended is the end of an axis that an infinite value stands for, and any other value itself.
func ended(a scale, v float64) float64 {
	switch {
	case math.IsInf(v, 1):
		return a.Max
	case math.IsInf(v, -1):
		return a.Min
	}
	return v
}

// ends returns the line of a limit.
func (a *axes) ends(l Limit) (from, to style.Point) {
	if l.Upright {
		return a.place(l.At, a.y.Min), a.place(l.At, a.y.Max)
	}
	return a.place(a.x.Min, l.At), a.place(a.x.Max, l.At)
}

// writeLimits writes the labels of limits right of the frame, moved apart where they would meet, and above it.
func (p Panel) writeLimits(a *axes) {
	var level []style.Text
	for _, l := range p.Limits {
		from, to := a.ends(l)
		a.Claim(style.Box{Left: from.X, Right: to.X, Top: to.Y, Bottom: from.Y}.Grown(1))
		text := style.Text{Text: a.Shorten(l.Label, style.LabelFont, widestLimit), Font: style.LabelFont,
			At: style.Pt(a.frame.Right+limitGap, to.Y), Anchor: style.MiddleLeft}
		if l.Upright {
			text.At, text.Anchor = style.Pt(to.X, a.frame.Top-5), style.BottomMiddle
			a.TryWrite(text)
		} else {
			level = append(level, text)
		}
	}
	slices.SortStableFunc(level, func(l, m style.Text) int { return cmp.Compare(l.At.Y, m.At.Y) })
	wanted := make([]float64, len(level))
	for i, l := range level {
		wanted[i] = l.At.Y
	}
	for i, y := range fig.Spread(wanted, 16, a.frame.Top, a.frame.Bottom) {
		level[i].At.Y = y
		a.TryWrite(level[i])
	}
}

// draw draws line, stems and marks. Where claims is set, labels keep off marks and steps.
func (s Series) draw(a *axes, claims bool) {
	var run []style.Point
	for i := range len(s.X) + 1 {
		if i == len(s.X) || !finite(s.X[i], s.Y[i]) {
			if s.Pen.Width > 0 {
				a.Polyline(run, s.Pen)
			}
			run = nil
			continue
		}
		at := a.place(s.X[i], s.Y[i])
		if n := len(run); s.Steps && n > 0 {
			last := run[n-1]
			corner := style.Pt(last.X, at.Y)
			a.Claim(style.Box{Left: last.X, Right: last.X, Top: math.Min(last.Y, at.Y), Bottom: math.Max(last.Y, at.Y)}.Grown(1))
			a.Claim(style.Box{Left: last.X, Right: at.X, Top: at.Y, Bottom: at.Y}.Grown(1))
			run = append(run, corner)
		}
		run = append(run, at)
		if len(s.From) > 0 && finite(s.From[i]) {
			a.Line(a.place(s.X[i], s.From[i]), at, style.Pen{Width: 1, Colour: s.Pen.Colour})
		}
	}
	for i := range s.X {
		if at := a.place(s.X[i], s.Y[i]); s.Mark != fig.None && finite(at.X, at.Y) {
			s.mark(a.Canvas, at)
			if claims {
				a.Claim(at.Around(s.radius()))
			}
		}
	}
}

// radius returns that of the marks, in points.
func (s Series) radius() float64 { return cmp.Or(s.Radius, markRadius) }

func (s Series) mark(page *style.Canvas, at style.Point) {
	s.Mark.Draw(page, at, s.radius(), style.Pen{Width: markWidth, Colour: s.Pen.Colour})
}

// ways are the directions in which a label may stand beside its mark, the best first.
var ways = []style.Point{style.Rightwards, style.Leftwards, {X: 1, Y: -1}, {X: -1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1},
	style.Above, style.Below}

// writeLabels writes the labels of marks that have room inside the frame and off all that is claimed, those of the
// highest layer first; marks at one place share the first one's.
func (p Panel) writeLabels(a *axes) {
	const widest = 260.0
	type label struct {
		style.Text
		off  float64
		more int
	}
	var list []*label
	seen := map[style.Point]*label{}
	for _, s := range slices.Backward(p.Series) {
		for i, text := range s.Labels {
			at := a.place(s.X[i], s.Y[i])
			if text == "" || !finite(at.X, at.Y) {
				continue
			}
			if first := seen[at]; first != nil {
				first.more++
				continue
			}
			seen[at] = &label{Text: style.Text{Text: text, At: at, Font: style.LabelFont}, off: s.radius() + 5}
			list = append(list, seen[at])
		}
	}
	for _, l := range list {
		if l.more > 0 {
			l.Text.Text = fmt.Sprintf("%s and %d more", a.Shorten(l.Text.Text, l.Font, widest-70), l.more)
		}
		l.Text.Text = a.Shorten(l.Text.Text, l.Font, widest)
		for _, text := range l.Around(l.At.Around(l.off), 0, ways...) {
			if a.frame.Contains(a.Box(text).Grown(2)) && a.TryWrite(text) {
				break
			}
		}
	}
}

// borders returns the borders of cells around rising values, one more than there are: half-way between neighbours, and
// half a cell beyond the ends.
func borders(values []float64) []float64 {
	n := len(values)
	if n == 1 {
		return []float64{values[0] - 0.5, values[0] + 0.5}
	}
	list := make([]float64, n+1)
	for i := range n - 1 {
		list[i+1] = (values[i] + values[i+1]) / 2
	}
	list[0], list[n] = 2*values[0]-list[1], 2*values[n-1]-list[n-1]
	return list
}

// draw draws the field's cells with their values, where there is room, and the goal's line between their middles, which
// leaves the values out.
func (f Field) draw(a *axes) {
	xs, ys, scale := borders(f.X), borders(f.Y), f.scale()
	var values []style.Text
	for i, z := range f.Z {
		ix, iy := i%len(f.X), i/len(f.X)
		from, to, colour := a.place(xs[ix], ys[iy]), a.place(xs[ix+1], ys[iy+1]), style.Light().At(scale.Share(z))
		a.FillBox(style.Box{Left: from.X, Right: to.X, Top: to.Y, Bottom: from.Y}, color.NRGBA(colour))
		if finite(z) {
			values = append(values, style.Text{Text: style.Number(z), At: a.place(f.X[ix], f.Y[iy]), Anchor: style.Middle,
				Font: style.LabelFont, Colour: style.InkOn(colour)})
		}
	}
	for _, text := range values {
		a.TryWrite(text)
	}
	if f.Goal == 0 {
		return
	}
	for _, line := range fig.Contour(len(f.X), len(f.Y), f.Z, f.Goal) {
		for i, p := range line {
			line[i] = a.place(between(f.X, p.X), between(f.Y, p.Y))
		}
		a.LineAround(line, goalPen)
	}
}

// between returns the value at a place between two neighbours of a list, by straight lines.
func between(list []float64, at float64) float64 {
	i := min(int(at), len(list)-2)
	return list[i] + (at-float64(i))*(list[i+1]-list[i])
}
