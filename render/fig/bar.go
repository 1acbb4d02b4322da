package fig

import (
	"image/color"
	"math"
	"slices"
	"strings"

	"fathomlux/render/style"
)

// Colour bar sizes, in points.
const (
	barThick   = 16.0
	barTop     = 18.0 // room for the marks above the bar
	barLongest = 760.0
	barHeight  = barTop + barThick + 26
)

// bar is the key of fields on the scale for light.
type bar struct {
	*style.Canvas
	scale style.Scale
	box   style.Box
}

// Key is the key of the colours of fields: the name of the quantity, the scale from left to right with round ticks and
// the unit, both of which may be empty. A goal above 0 is marked above the bar. Where a field has cells without a
// value, their grey stands beside it.
func Key(name, unit string, scale style.Scale, goal float64, fields ...[]float64) Block {
	missing := slices.ContainsFunc(fields, func(f []float64) bool { return slices.ContainsFunc(f, math.IsNaN) })
	words := slices.DeleteFunc([]string{name, unit}, func(s string) bool { return s == "" })
	return Block{HeightPt: barHeight, Draw: func(c *style.Canvas, box style.Box) {
		b := bar{Canvas: c, scale: scale}
		b.box.Top, b.box.Bottom = box.Top+barTop, box.Top+barTop+barThick
		title := style.Text{Text: c.Shorten(strings.Join(words, ", "), style.TextFont, box.Width()/4),
			At: style.Pt(box.Left, b.box.Centre().Y), Anchor: style.MiddleLeft, Font: style.TextFont}
		c.Write(title)
		b.box.Left = c.Box(title).Right + 28
		b.box.Right = min(box.Right-30, b.box.Left+barLongest)
		if missing {
			b.box.Right = min(b.box.Right, box.Right-140)
			b.none()
		}
		b.draw()
		if share := scale.Share(goal); goal > 0 && share >= 0 && share <= 1 {
			b.goal(goal)
		}
	}}
}

func (b bar) x(v float64) float64 { return b.box.Left + b.scale.Share(v)*b.box.Width() }

func (b bar) draw() {
	const n = 1024
	values := make([]float64, n)
	for i := range values {
		values[i] = (float64(i) + 0.5) / n
	}
	Heat{Frame: b.box, NX: n, NY: 1, Values: values, Scale: style.Scale{High: 1}}.Fill(b.Canvas)
	pen := style.Pen{Width: 1, Colour: style.SoftInk}
	b.StrokeBox(b.box, pen)
	b.Claim(b.box)
	for i, v := range b.scale.Ticks {
		step := v // of a tick that stands alone
		if i > 0 {
			step = v - b.scale.Ticks[i-1]
		} else if len(b.scale.Ticks) > 1 {
			step = b.scale.Ticks[1] - v
		}
		b.Line(style.Pt(b.x(v), b.box.Bottom), style.Pt(b.x(v), b.box.Bottom+5), pen)
		b.TryWrite(style.Text{Text: style.TickLabel(v, step), At: style.Pt(b.x(v), b.box.Bottom+9), Anchor: style.TopMiddle,
			Font: style.LabelFont, Colour: style.SoftInk})
	}
}

// goal marks the goal with a small triangle above the bar.
func (b bar) goal(goal float64) {
	x, top := b.x(goal), b.box.Top
	b.Polygon([]style.Point{{X: x - 5, Y: top - 8}, {X: x + 5, Y: top - 8}, {X: x, Y: top - 1}}, style.Ink)
	text := style.Text{Text: "goal " + style.FourDigits(goal), At: style.Pt(x+9, top-9), Anchor: style.MiddleLeft,
		Font: style.LabelFont}
	if b.Box(text).Right > b.box.Right {
		text.At.X, text.Anchor = x-9, style.MiddleRight
	}
	b.Write(text)
}

// none shows the grey of cells without a value.
func (b bar) none() {
	swatch := style.Box{Left: b.box.Right + 44, Top: b.box.Top, Right: b.box.Right + 44 + barThick, Bottom: b.box.Bottom}
	b.FillBox(swatch, color.NRGBA(style.Light().None()))
	b.StrokeBox(swatch, style.Pen{Width: 1, Colour: style.SoftInk})
	b.Write(style.Text{Text: "no value", Font: style.LabelFont, Colour: style.SoftInk}.Beside(swatch, 8, style.Rightwards))
}
