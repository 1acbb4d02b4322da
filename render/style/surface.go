package style

import (
	"image"
	"image/color"
)

// Pen is how a line is drawn. Dash holds lengths of lines and gaps in turn; empty is a full line.
type Pen struct {
	Width  float64
	Colour color.NRGBA
	Dash   []float64
}

// Shape is a joined line through Points, or a circle about the first of them where Radius is above 0. A pen without
// width fills it.
type Shape struct {
	Points []Point
	Radius float64
	Pen    Pen
}

// filled tells whether the shape is an area.
func (s Shape) filled() bool { return s.Pen.Width == 0 }

// upright returns the box that the shape is, or whose diagonal it is where it is a line along an axis.
func (s Shape) upright() (b Box, ok bool) {
	p := s.Points
	last := p[len(p)-1]
	switch {
	case s.Radius > 0 || len(p) != 2 && len(p) != 5:
		return b, false
	case len(p) == 5:
		last = p[2]
		if p[0] != p[4] || p[1] != (Point{last.X, p[0].Y}) || p[3] != (Point{p[0].X, last.Y}) {
			return b, false
		}
	case p[0].X != last.X && p[0].Y != last.Y:
		return b, false
	}
	return Box{Left: min(p[0].X, last.X), Right: max(p[0].X, last.X), Top: min(p[0].Y, last.Y),
		Bottom: max(p[0].Y, last.Y)}, true
}

// Letters is a line of text whose place and size are known: its base line starts at At, and it is Width wide. Text that
// is Up reads from bottom to top.
type Letters struct {
	Text        string
	At          Point
	Size, Width float64 // in the surface's unit
	Bold, Up    bool
	Colour      color.NRGBA
}

// Surface is what pages are drawn on: pixels, SVG or PDF. Places and sizes are in the page's unit, y runs down.
type Surface interface {
	Shape(s Shape)
	// Picture fills b with pixels: paint is given an opaque picture, of any bounds, to paint over.
	Picture(b Box, paint func(*image.RGBA))
	// Set writes a line of letters.
	Set(l Letters)
}

// Brush draws shapes on a surface.
type Brush struct{ Surface }

// Line draws a straight line; one along an axis without dashes is crisp.
func (b Brush) Line(from, to Point, pen Pen) { b.Polyline([]Point{from, to}, pen) }

// Polyline draws the joined line through the points.
func (b Brush) Polyline(points []Point, pen Pen) {
	if len(points) > 1 {
		b.Shape(Shape{Points: points, Pen: pen})
	}
}

// Polygon fills the area inside the points.
func (b Brush) Polygon(points []Point, colour color.NRGBA) {
	b.Shape(Shape{Points: points, Pen: Pen{Colour: colour}})
}

// Dot draws a filled disc.
func (b Brush) Dot(at Point, radius float64, colour color.NRGBA) {
	b.Ring(at, radius, Pen{Colour: colour})
}

// Ring draws a circle's outline.
func (b Brush) Ring(at Point, radius float64, pen Pen) {
	b.Shape(Shape{Points: []Point{at}, Radius: radius, Pen: pen})
}

// StrokeBox draws the outline of box, centred on its edges. Full lines are crisp.
func (b Brush) StrokeBox(box Box, pen Pen) { b.Polyline(box.Corners(), pen) }

// FillBox fills box, its edges on whole pixels.
func (b Brush) FillBox(box Box, colour color.NRGBA) { b.Polygon(box.Corners(), colour) }
