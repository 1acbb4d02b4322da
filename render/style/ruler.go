package style

import "math"

// Ruler tick lengths and text distances, in points.
const (
	longTick     = 8.0
	shortTick    = 4.0
	rulerGap     = 5.0  // between the frame and the ruler
	rulerTextGap = 4.0  // between tick and text
	rulerSpacing = 62.0 // between labels along x
	rulerLines   = 34.0 // between labels along y
	tickSpacing  = 5.0  // between small ticks, at least
)

// RulerWidth and RulerHeight are the room, in points, that a ruler left of and below a frame needs.
const (
	RulerWidth  = 80.0
	RulerHeight = 34.0
)

// Ruler measures a length along one side of Frame, from 0: below it from left to right, or left of it
// (Upright) from the bottom up, or from the top down (FromTop). It stands off the frame by OffPt more than usual.
type Ruler struct {
	Frame   Box
	LengthM float64
	Units   Units
	Upright bool
	FromTop bool
	OffPt   float64
}

// Ruler draws the ruler with round ticks; the whole length stands at its end with the unit.
func (c *Canvas) Ruler(r Ruler) {
	if !(r.LengthM > 0) || r.Frame.Empty() {
		return
	}
	pen := Pen{Width: 1, Colour: SoftInk}
	c.Line(r.at(0, 0), r.at(r.LengthM, 0), pen)
	perM, room := r.Frame.Width()/r.LengthM, rulerSpacing
	if r.Upright {
		perM, room = r.Frame.Height()/r.LengthM, rulerLines
	}
	stepM, parts := rulerStep(r.Units, room/perM)
	if fineM := stepM / float64(parts); fineM*perM >= tickSpacing {
		for k := 0; float64(k)*fineM <= r.LengthM*(1+1e-9); k++ {
			c.Line(r.at(float64(k)*fineM, 0), r.at(float64(k)*fineM, shortTick), pen)
		}
	}
	c.tick(r, r.LengthM, " "+r.Units.Name())
	for k := 0; float64(k)*stepM <= r.LengthM*(1-1e-9) && k < 1000; k++ {
		c.tick(r, float64(k)*stepM, "")
	}
}

// tick draws a long tick, and its figure where it fits.
func (c *Canvas) tick(r Ruler, atM float64, unit string) {
	c.Line(r.at(atM, 0), r.at(atM, longTick), Pen{Width: 1, Colour: SoftInk})
	text := Text{
		Text: r.Units.Figure(atM) + unit, At: r.at(atM, longTick+rulerTextGap),
		Anchor: TopMiddle, Font: LabelFont, Colour: SoftInk,
	}
	if r.Upright {
		text.Anchor = MiddleRight
	}
	c.TryWrite(text)
}

// at returns the place of a length, out points outwards of the ruler's line.
func (r Ruler) at(lengthM, out float64) Point {
	share := math.Min(lengthM/r.LengthM, 1)
	out += r.OffPt
	if !r.Upright {
		return Point{X: r.Frame.Left + share*r.Frame.Width(), Y: r.Frame.Bottom + rulerGap + out}
	}
	if r.FromTop {
		return Point{X: r.Frame.Left - rulerGap - out, Y: r.Frame.Top + share*r.Frame.Height()}
	}
	return Point{X: r.Frame.Left - rulerGap - out, Y: r.Frame.Bottom - share*r.Frame.Height()}
}
