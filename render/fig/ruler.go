package fig

import (
	"math"

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
