package fig

import (
	"math"

	"fathomlux/render/style"
)

// Floor is a tank seen from above, its front at the bottom, in its proportion on a page.
type Floor struct {
	LengthM, WidthM float64   // inside
	Frame           style.Box // on the page
}

// Sound tells whether the tank has sizes.
func (f Floor) Sound() bool {
	return f.LengthM > 0 && f.WidthM > 0 && !math.IsInf(f.LengthM+f.WidthM, 0)
}

// Size returns the width and height that the tank takes in points, at most as long and as tall as there is room.
func (f Floor) Size(longest, tallest float64) (wide, high float64) {
	perM := math.Min(longest/f.LengthM, tallest/f.WidthM)
	return math.Max(perM*f.LengthM, 1), math.Max(perM*f.WidthM, 1)
}

// At returns where a place stands on the page.
func (f Floor) At(xM, yM float64) style.Point {
	return style.Pt(f.Frame.Left+xM/f.LengthM*f.Frame.Width(), f.Frame.Bottom-yM/f.WidthM*f.Frame.Height())
}

// Area returns where a part of the floor is drawn, cut at the frame; it may be empty.
func (f Floor) Area(leftM, frontM, rightM, backM float64) style.Box {
	a, b := f.At(leftM, backM), f.At(rightM, frontM)
	return style.Box{Left: a.X, Right: b.X, Top: a.Y, Bottom: b.Y}.Cut(f.Frame)
}

// Edges draws the frame with the rulers of length and width.
func (f Floor) Edges(c *style.Canvas, units style.Units) {
	c.StrokeBox(f.Frame, style.Pen{Width: 1.4, Colour: style.Ink})
	Ruler{Frame: f.Frame, LengthM: f.LengthM, Units: units}.Draw(c)
	Ruler{Frame: f.Frame, LengthM: f.WidthM, Units: units, Upright: true}.Draw(c)
}
