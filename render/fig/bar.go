package fig

import (
	"image/color"
	"math"
	"slices"

	"fathomlux/render/style"
)

// Colour bar sizes, in points.
const (
	barThick   = 16.0
	barTop     = 18.0 // room for the marks above the bar
	barLongest = 760.0
	barHeight  = barTop + barThick + 26
)

// Bar is the key of a picture's colours: the scale from left to right with round ticks and the unit. Goal, where it is
// above zero, is marked above the bar. Missing adds the grey of cells without a value.
type Bar struct {
	Scale   style.Scale
	Colours *style.Map
	Unit    string // empty: the quantity is a plain number
	Name    string // of the quantity, such as "illuminance"
	Goal    float64
	Missing bool
}

// BarFor returns the key of fields on the scale for light.
func BarFor(name, unit string, scale style.Scale, goal float64, fields ...[]float64) Bar {
	b := Bar{Scale: scale, Colours: style.Light(), Unit: unit, Name: name, Goal: goal}
	for _, values := range fields {
		b.Missing = b.Missing || slices.ContainsFunc(values, math.IsNaN)
	}
	return b
}

// Block returns the key as a strip of a page.
func (b Bar) Block() Block {
	return Block{HeightPt: barHeight, Draw: b.draw}
}

func (b Bar) draw(c *style.Canvas, box style.Box) {
	name := style.Text{Text: b.Name + ", " + b.Unit, At: style.Pt(box.Left, box.Top+barTop+barThick/2),
		Anchor: style.MiddleLeft, Font: style.TextFont}
	switch {
	case b.Name == "":
		name.Text = b.Unit
	case b.Unit == "":
		name.Text = b.Name
	}
	name.Text = c.Shorten(name.Text, style.TextFont, box.Width()/4)
	c.Write(name)
	bar := style.Box{Left: c.Box(name).Right + 28, Top: box.Top + barTop, Bottom: box.Top + barTop + barThick}
	bar.Right = min(box.Right-30, bar.Left+barLongest)
	if b.Missing {
		bar.Right = min(bar.Right, box.Right-140)
		b.drawMissing(c, style.Pt(bar.Right+44, bar.Top))
	}
	b.paint(c, bar)
	c.StrokeBox(bar, style.Pen{Width: 1, Colour: style.SoftInk})
	c.Claim(bar)
	for _, v := range b.Scale.Ticks {
		x := b.x(bar, v)
		c.Line(style.Pt(x, bar.Bottom), style.Pt(x, bar.Bottom+5), style.Pen{Width: 1, Colour: style.SoftInk})
		c.TryWrite(style.Text{Text: style.TickText(v), At: style.Pt(x, bar.Bottom+9), Anchor: style.TopMiddle,
			Font: style.LabelFont, Colour: style.SoftInk})
	}
	if share := b.Scale.Share(b.Goal); b.Goal > 0 && share >= 0 && share <= 1 {
		b.drawGoal(c, bar)
	}
}

func (b Bar) x(bar style.Box, v float64) float64 { return bar.Left + b.Scale.Share(v)*bar.Width() }

func (b Bar) paint(c *style.Canvas, bar style.Box) {
	const n = 1024
	values := make([]float64, n)
	for i := range values {
		values[i] = (float64(i) + 0.5) / n
	}
	Heat{Frame: bar, NX: n, NY: 1, Values: values, Scale: style.Scale{High: 1}, Colours: b.Colours}.Fill(c)
}

// drawGoal marks the goal with a small triangle above the bar.
func (b Bar) drawGoal(c *style.Canvas, bar style.Box) {
	x := b.x(bar, b.Goal)
	c.Polygon([]style.Point{{X: x - 5, Y: bar.Top - 8}, {X: x + 5, Y: bar.Top - 8}, {X: x, Y: bar.Top - 1}}, style.Ink)
	text := style.Text{Text: "goal " + style.FourDigits(b.Goal), At: style.Pt(x+9, bar.Top-9), Anchor: style.MiddleLeft,
		Font: style.LabelFont}
	if c.Box(text).Right > bar.Right {
		text.At.X, text.Anchor = x-9, style.MiddleRight
	}
	c.Write(text)
}

func (b Bar) drawMissing(c *style.Canvas, at style.Point) {
	swatch := style.Box{Left: at.X, Top: at.Y, Right: at.X + barThick, Bottom: at.Y + barThick}
	none := b.Colours.None()
	c.FillBox(swatch, color.NRGBA(none))
	c.StrokeBox(swatch, style.Pen{Width: 1, Colour: style.SoftInk})
	c.Write(style.Text{Text: "no value", At: style.Pt(swatch.Right+8, swatch.Centre().Y), Anchor: style.MiddleLeft,
		Font: style.LabelFont, Colour: style.SoftInk})
}
