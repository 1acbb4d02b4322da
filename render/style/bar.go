package style

import (
	"math"
	"slices"
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
	Scale   Scale
	Colours *Map
	Unit    string // empty: the quantity is a plain number
	Name    string // of the quantity, such as "illuminance"
	Goal    float64
	Missing bool
}

// BarFor returns the key of fields on the scale for light.
func BarFor(name, unit string, scale Scale, goal float64, fields ...[]float64) Bar {
	b := Bar{Scale: scale, Colours: Light(), Unit: unit, Name: name, Goal: goal}
	for _, values := range fields {
		b.Missing = b.Missing || slices.ContainsFunc(values, math.IsNaN)
	}
	return b
}

// Block returns the key as a strip of a page.
func (b Bar) Block() Block {
	return Block{HeightPt: barHeight, Draw: b.draw}
}

func (b Bar) draw(c *Canvas, box Box) {
	name := Text{Text: b.Name + ", " + b.Unit, At: Point{box.Left, box.Top + barTop + barThick/2}, Anchor: MiddleLeft, Font: TextFont}
	switch {
	case b.Name == "":
		name.Text = b.Unit
	case b.Unit == "":
		name.Text = b.Name
	}
	name.Text = c.Shorten(name.Text, TextFont, box.Width()/4)
	c.Write(name)
	bar := Box{Left: c.Box(name).Right + 28, Top: box.Top + barTop, Bottom: box.Top + barTop + barThick}
	bar.Right = min(box.Right-30, bar.Left+barLongest)
	if b.Missing {
		bar.Right = min(bar.Right, box.Right-140)
		b.drawMissing(c, Point{bar.Right + 44, bar.Top})
	}
	b.paint(c, bar)
	c.StrokeBox(bar, Pen{Width: 1, Colour: SoftInk})
	c.Claim(bar)
	for _, v := range b.Scale.Ticks {
		x := b.x(bar, v)
		c.Line(Point{x, bar.Bottom}, Point{x, bar.Bottom + 5}, Pen{Width: 1, Colour: SoftInk})
		c.TryWrite(Text{Text: TickText(v), At: Point{x, bar.Bottom + 9}, Anchor: TopMiddle, Font: LabelFont, Colour: SoftInk})
	}
	if share := b.Scale.Share(b.Goal); b.Goal > 0 && share >= 0 && share <= 1 {
		b.drawGoal(c, bar)
	}
}

func (b Bar) x(bar Box, v float64) float64 { return bar.Left + b.Scale.Share(v)*bar.Width() }

func (b Bar) paint(c *Canvas, bar Box) {
	const n = 1024
	values := make([]float64, n)
	for i := range values {
		values[i] = (float64(i) + 0.5) / n
	}
	c.Fill(Heat{Frame: bar, NX: n, NY: 1, Values: values, Scale: Scale{High: 1}, Colours: b.Colours})
}

// drawGoal marks the goal with a small triangle above the bar.
func (b Bar) drawGoal(c *Canvas, bar Box) {
	x := b.x(bar, b.Goal)
	c.Polygon([]Point{{x - 5, bar.Top - 8}, {x + 5, bar.Top - 8}, {x, bar.Top - 1}}, Ink)
	text := Text{Text: "goal " + FourDigits(b.Goal), At: Point{x + 9, bar.Top - 9}, Anchor: MiddleLeft, Font: LabelFont}
	if c.Box(text).Right > bar.Right {
		text.At.X, text.Anchor = x-9, MiddleRight
	}
	c.Write(text)
}

func (b Bar) drawMissing(c *Canvas, at Point) {
	swatch := Box{Left: at.X, Top: at.Y, Right: at.X + barThick, Bottom: at.Y + barThick}
	none := b.Colours.None()
	c.Polygon([]Point{{swatch.Left, swatch.Top}, {swatch.Right, swatch.Top}, {swatch.Right, swatch.Bottom}, {swatch.Left, swatch.Bottom}}, nrgba(none))
	c.StrokeBox(swatch, Pen{Width: 1, Colour: SoftInk})
	c.Write(Text{Text: "no value", At: Point{swatch.Right + 8, swatch.Centre().Y}, Anchor: MiddleLeft, Font: LabelFont, Colour: SoftInk})
}
