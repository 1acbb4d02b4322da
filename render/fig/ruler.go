package fig

import (
	"image/color"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"fathomlux/render/style"
)

// Ruler tick lengths and text distances, in points.
const (
	longTick     = 8.0
	shortTick    = 4.0
	rulerGap     = 5.0  // between the frame and the ruler
	rulerTextGap = 4.0  // between tick and text
	rulerSpacing = 62.0 // between labels along x
	rulerLines   = 34.0 // between labels along y
	tickSpacing  = 5.0  // between small ticks, at least
	endGap       = 52.0 // between the last labels along x: the whole length has its unit
)

// RulerWidth and RulerHeight are the room, in points, that a ruler left of and below a frame needs.
const (
	RulerWidth  = 80.0
	RulerHeight = 34.0
)

// Ruler measures a length along one side of Frame, from 0: below it from left to right, or left of it
// (Upright) from the bottom up, or from the top down (FromTop). It stands off the frame by OffPt more than usual.
type Ruler struct {
	Frame   style.Box
	LengthM float64
	Units   style.Units
	Upright bool
	FromTop bool
	OffPt   float64
}

// Draw draws the ruler with round ticks, figures where they have room; the whole length stands at its end with the
// unit.
func (r Ruler) Draw(c *style.Canvas) {
	if !(r.LengthM > 0) || r.Frame.Empty() {
		return
	}
	pen := style.Pen{Width: 1, Colour: style.SoftInk}
	label := style.Text{Anchor: style.TopMiddle, Font: style.LabelFont, Colour: style.SoftInk}
	perM, room := r.Frame.Width()/r.LengthM, rulerSpacing
	if r.Upright {
		perM, room, label.Anchor = r.Frame.Height()/r.LengthM, rulerLines, style.MiddleRight
	}
	c.Line(r.at(0, 0), r.at(r.LengthM, 0), pen)
	stepM, parts := rulerStep(r.Units, room/perM)
	if fineM := stepM / float64(parts); fineM*perM >= tickSpacing {
		for _, atM := range style.Levels(0, r.LengthM, fineM) {
			c.Line(r.at(atM, 0), r.at(atM, shortTick), pen)
		}
	}
	unit := " " + r.Units.Name()
	for _, atM := range append([]float64{r.LengthM}, style.Levels(0, r.LengthM*(1-1e-9), stepM)...) {
		c.Line(r.at(atM, 0), r.at(atM, longTick), pen)
		if left := (r.LengthM - atM) * perM; left > 0 && left < endGap && !r.Upright {
			continue
		}
		label.Text, label.At, unit = r.Units.Figure(atM)+unit, r.at(atM, longTick+rulerTextGap), ""
		c.TryWrite(label)
	}
}

// at returns the place of a length, out points outwards of the ruler's line.
func (r Ruler) at(lengthM, out float64) style.Point {
	share, f := math.Min(lengthM/r.LengthM, 1), r.Frame
	out += rulerGap + r.OffPt
	if !r.Upright {
		return style.Pt(f.Left+share*f.Width(), f.Bottom+out)
	}
	if !r.FromTop {
		share = 1 - share
	}
	return style.Pt(f.Left-out, f.Top+share*f.Height())
}

// rulerStep returns the round distance between ruler ticks that is at least atLeastM, and how many parts small ticks
// cut it into. Inches go by what a rule shows: halves and quarters, then inches, feet and tens of feet.
func rulerStep(u style.Units, atLeastM float64) (stepM float64, parts int) {
	if u == style.Metric {
		step := math.Max(1, style.RoundStep(atLeastM/0.001))
		if leading := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9)); math.Round(leading) == 2 {
			return step * 0.001, 4
		}
		return step * 0.001, 5
	}
	metres := u.Metres()
	for _, s := range [][2]float64{{0.25, 2}, {0.5, 2}, {1, 4}, {2, 4}, {4, 4}, {6, 6}, {12, 6}, {24, 4}, {48, 4},
		{60, 5}, {120, 5}} {
		if s[0]*metres >= 0.9*atLeastM {
			return s[0] * metres, int(s[1])
		}
	}
	return 120 * metres * math.Ceil(atLeastM/(120*metres)), 5
}

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

// Mark is the shape of a mark. As the sign of a figure or a row a disc stands for good, a ring for not good.
type Mark int

// The marks.
const (
	None Mark = iota
	Disc
	Ring
	FullSquare
	Square
	Wedge
	Triangle
	Plus
	Cross
)

// Sign draws the mark before a figure or a row.
func (m Mark) Sign(page *style.Canvas, at style.Point, radiusPt float64) {
	m.Draw(page, at, radiusPt, style.Pen{Width: radiusPt / 3.5, Colour: style.Ink})
}

// Draw draws the mark around a place, with its lines so wide.
func (m Mark) Draw(page *style.Canvas, at style.Point, radiusPt float64, pen style.Pen) {
	corners := func(shares ...float64) (points []style.Point) { // of the radius, x and y in turn
		for i := 0; i < len(shares); i += 2 {
			points = append(points, style.Pt(at.X+radiusPt*shares[i], at.Y+radiusPt*shares[i+1]))
		}
		return points
	}
	const half, square = 0.71, 0.85 // of the radius: as large to the eye as a disc
	if m == Disc || m == FullSquare || m == Wedge {
		pen.Width = 0 // filled
	}
	switch m {
	case Disc, Ring:
		page.Ring(at, radiusPt, pen)
	case FullSquare, Square:
		page.StrokeBox(at.Around(radiusPt*square), pen)
	case Wedge, Triangle:
		page.Polyline(corners(0, -1.25, 1.08, 0.62, -1.08, 0.62, 0, -1.25), pen)
	case Plus:
		page.Polyline(corners(-1, 0, 1, 0), pen)
		page.Polyline(corners(0, -1, 0, 1), pen)
	case Cross:
		page.Polyline(corners(-half, -half, half, half), pen)
		page.Polyline(corners(-half, half, half, -half), pen)
	}
}
