package fig

import (
	"image/color"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"fathomlux/render/style"
)

// Colour bar sizes, in points.
const (
	barThick   = 16.0
	barTop     = 18.0 // room for the marks above the bar
	barLongest = 760.0
	barHeight  = barTop + barThick + 26
)

// Key is the key of the colours of fields: the name of the quantity, the scale from left to right with round ticks and
// the unit, both of which may be empty. A goal above 0 is marked above the bar. Where values lie beyond the scale an
// arrow at its end says up to where, and where a field has cells without a value their grey stands beside it.
func Key(name, unit string, scale style.Scale, goal float64, fields ...[]float64) Block {
	words := slices.DeleteFunc([]string{name, unit}, func(s string) bool { return s == "" })
	return Block{HeightPt: barHeight, Draw: func(c *style.Canvas, box style.Box) {
		b := style.Box{Top: box.Top + barTop, Bottom: box.Top + barTop + barThick}
		title := style.Text{Text: c.Shorten(strings.Join(words, ", "), style.TextFont, box.Width()/4),
			At: style.Pt(box.Left, b.Centre().Y), Anchor: style.MiddleLeft, Font: style.TextFont}
		c.Write(title)
		b.Left = c.Box(title).Right + 28
		b.Right = min(box.Right-30, b.Left+barLongest)
		pen, label := style.Pen{Width: 1, Colour: style.SoftInk}, style.Text{Font: style.LabelFont, Colour: style.SoftInk}
		_, high, _ := style.Range(slices.Concat(fields...))
		beyond := 0.0 // room for the mark of values beyond the scale
		if high > scale.High*(1+1e-9) {
			beyond = 100
			b.Right = min(b.Right, box.Right-beyond)
		}
		if slices.ContainsFunc(fields, func(f []float64) bool { return slices.ContainsFunc(f, math.IsNaN) }) {
			b.Right = min(b.Right, box.Right-140-beyond)
			grey := style.Box{Left: b.Right + 44 + beyond, Top: b.Top, Right: b.Right + 44 + beyond + barThick, Bottom: b.Bottom}
			c.FillBox(grey, color.NRGBA(style.Light().None()))
			c.StrokeBox(grey, pen)
			label.Text = "no value"
			c.Write(label.Beside(grey, 8, style.Rightwards))
		}
		const n = 1024
		Heat{Frame: b, NX: n, NY: 1, Values: floats.Span(make([]float64, n), 0.5/n, 1-0.5/n),
			Scale: style.Scale{High: 1}}.Fill(c)
		c.StrokeBox(b, pen)
		c.Claim(b)
		if beyond > 0 {
			c.Polygon([]style.Point{{X: b.Right + 3, Y: b.Top}, {X: b.Right + 3, Y: b.Bottom},
				{X: b.Right + 3 + barThick, Y: b.Centre().Y}}, color.NRGBA(style.Light().At(1)))
			label.Text = "up to " + style.FourDigits(high)
			c.Write(label.Beside(b, 8+barThick, style.Rightwards))
		}
		x := func(v float64) float64 { return b.Left + scale.Share(v)*b.Width() }
		for _, v := range scale.Ticks {
			foot := style.Pt(x(v), b.Bottom)
			c.Line(foot, style.Pt(foot.X, foot.Y+5), pen)
			label.Text = style.FourDigits(v)
			if !scale.Log {
				label.Text = style.TickLabel(v, scale.Ticks[min(1, len(scale.Ticks)-1)]-scale.Ticks[0])
			}
			c.TryWrite(label.Beside(foot.Around(0), 9, style.Below))
		}
		if share := scale.Share(goal); goal > 0 && share >= 0 && share <= 1 {
			markGoal(c, b, x(goal), "goal "+style.FourDigits(goal))
		}
	}}
}

// markGoal marks the goal with a small triangle above the bar.
func markGoal(c *style.Canvas, bar style.Box, x float64, words string) {
	top := bar.Top
	c.Polygon([]style.Point{{X: x - 5, Y: top - 8}, {X: x + 5, Y: top - 8}, {X: x, Y: top - 1}}, style.Ink)
	text := style.Text{Text: words, At: style.Pt(x+9, top-9), Anchor: style.MiddleLeft, Font: style.LabelFont}
	if c.Box(text).Right > bar.Right {
		text.At.X, text.Anchor = x-9, style.MiddleRight
	}
	c.Write(text)
}
