package style

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"slices"
)

// Placed is a text that stands on the page, with its box.
type Placed struct {
	Text string
	Box  Box
}

// Canvas is one page that is drawn on, in points. It remembers where texts stand and what other places are taken, so
// that texts are neither cut nor laid over each other; and what was drawn, to write it in any Format.
type Canvas struct {
	*Typesetter
	Brush
	Title  string // told in the file
	pixels *raster
	drawn  []func(Surface)
	page   Box
	texts  []Placed
	claims []Box
}

// MaxPixels is the largest number of pixels of a picture.
const MaxPixels = 64 << 20

// NewCanvas returns an empty page of the given size in points, whose text is set by t.
func NewCanvas(widthPt, heightPt float64, t *Typesetter) (*Canvas, error) {
	w, h := math.Ceil(widthPt*t.factor), math.Ceil(heightPt*t.factor)
	if !(w >= 1 && h >= 1 && w*h <= MaxPixels) {
		return nil, fmt.Errorf("a picture of %g x %g pixels cannot be drawn; at most %d pixels are allowed", w, h, MaxPixels)
	}
	c := &Canvas{Typesetter: t, pixels: newRaster(int(w), int(h), t), page: Box{Right: widthPt, Bottom: heightPt}}
	c.Brush = Brush{c}
	c.drawn = append(c.drawn, func(on Surface) { Brush{on}.FillBox(c.page, Paper) }) // as the pixels are already
	return c, nil
}

// Shape implements Surface: it draws now, and keeps what was drawn.
func (c *Canvas) Shape(s Shape) {
	s.Points = slices.Clone(s.Points)
	c.put(func(on Surface) { on.Shape(s) })
}

// Picture implements Surface.
func (c *Canvas) Picture(b Box, paint func(*image.RGBA)) {
	c.put(func(on Surface) { on.Picture(b, paint) })
}

// Set implements Surface.
func (c *Canvas) Set(l Letters) { c.put(func(on Surface) { on.Set(l) }) }

func (c *Canvas) put(draw func(Surface)) {
	draw(c.pixels)
	c.drawn = append(c.drawn, draw)
}

// Image returns the picture drawn so far.
func (c *Canvas) Image() *image.RGBA { return c.pixels.img }

// Texts returns the texts drawn so far with their boxes.
func (c *Canvas) Texts() []Placed { return c.texts }

// Page returns the whole page.
func (c *Canvas) Page() Box { return c.page }

// ColourAt returns the colour of the pixel at p; Paper outside the page.
func (c *Canvas) ColourAt(p Point) color.RGBA {
	at := image.Pt(int(math.Floor(p.X*c.factor)), int(math.Floor(p.Y*c.factor)))
	if !at.In(c.Image().Rect) {
		return color.RGBA(Paper) // opaque: both forms are the same
	}
	return c.Image().RGBAAt(at.X, at.Y)
}

// Format is a kind of file that a page is written as; its text is the ending of the file's name.
type Format string

// The formats.
const (
	PNG Format = "png"
	SVG Format = "svg" // one unit is a point, 1/96 in; texts are texts, set in Liberation Sans or what has its measures
	PDF Format = "pdf" // one page of true size, with its fonts
)

// Encode writes the page. The same page and Meta give the same bytes.
func (c *Canvas) Encode(w io.Writer, format Format, meta Meta) error {
	var data []byte
	meta.Title = cmp.Or(meta.Title, c.Title)
	switch format {
	case PNG:
		meta.PixelFactor = c.factor
		return encodePNG(w, c.Image(), meta)
	case SVG:
		v := NewVector(c.page, "", c.factor)
		c.drawOn(v)
		data = v.Document(meta.Title, meta.Comment)
	case PDF:
		d := NewDocument(c.Typesetter, c.page.Width()*mmPerPoint, c.page.Height()*mmPerPoint, mmPerPoint, meta)
		d.AddPage()
		c.drawOn(d)
		var err error
		if data, err = d.Bytes(); err != nil {
			return err
		}
	default:
		return fmt.Errorf("%q is not one of png, svg, pdf", format)
	}
	_, err := w.Write(data)
	return err
}

func (c *Canvas) drawOn(s Surface) {
	for _, draw := range c.drawn {
		draw(s)
	}
}

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

// Point is a place on the page, in points.
type Point struct{ X, Y float64 }

// Box is an upright rectangle on the page, in points.
type Box struct{ Left, Top, Right, Bottom float64 }

// Width returns the box's width in points.
func (b Box) Width() float64 { return b.Right - b.Left }

// Height returns the box's height in points.
func (b Box) Height() float64 { return b.Bottom - b.Top }

// Centre returns the middle of the box.
func (b Box) Centre() Point { return Point{X: (b.Left + b.Right) / 2, Y: (b.Top + b.Bottom) / 2} }

// Grown returns b with every side moved outwards by d points.
func (b Box) Grown(d float64) Box {
	return Box{Left: b.Left - d, Top: b.Top - d, Right: b.Right + d, Bottom: b.Bottom + d}
}

// Meets tells whether b and o share an area.
func (b Box) Meets(o Box) bool {
	return b.Left < o.Right && o.Left < b.Right && b.Top < o.Bottom && o.Top < b.Bottom
}

// Contains tells whether o lies wholly in b.
func (b Box) Contains(o Box) bool {
	return b.Left <= o.Left && o.Right <= b.Right && b.Top <= o.Top && o.Bottom <= b.Bottom
}

// Corners returns the corners of b as a closed line.
func (b Box) Corners() []Point {
	return []Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Right, b.Bottom}, {b.Left, b.Bottom}, {b.Left, b.Top}}
}

// Around returns the square of twice d points around p.
func (p Point) Around(d float64) Box {
	return Box{Left: p.X, Right: p.X, Top: p.Y, Bottom: p.Y}.Grown(d)
}

// Holds tells whether p lies in b.
func (b Box) Holds(p Point) bool {
	return b.Left <= p.X && p.X <= b.Right && b.Top <= p.Y && p.Y <= b.Bottom
}

// Cut returns the part of b that lies in o; it may be empty (Right <= Left or Bottom <= Top).
func (b Box) Cut(o Box) Box {
	return Box{
		Left: math.Max(b.Left, o.Left), Top: math.Max(b.Top, o.Top),
		Right: math.Min(b.Right, o.Right), Bottom: math.Min(b.Bottom, o.Bottom),
	}
}

// Empty tells whether b has no area.
func (b Box) Empty() bool { return !(b.Right > b.Left && b.Bottom > b.Top) }

// ClipLine returns the part of the line from a to b that lies in box; ok is false where there is none.
// Source: Y.-D. Liang, B. A. Barsky 1984, ACM Transactions on Graphics 3, 1-22.
func ClipLine(a, b Point, box Box) (from, to Point, ok bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	sides := [4][2]float64{{-dx, a.X - box.Left}, {dx, box.Right - a.X}, {-dy, a.Y - box.Top}, {dy, box.Bottom - a.Y}}
	for _, side := range sides {
		switch p, q := side[0], side[1]; {
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		case !(q >= 0): // beside the box
			t1 = 0
		}
	}
	at := func(t float64) Point { return Point{X: a.X + t*dx, Y: a.Y + t*dy} }
	return at(t0), at(t1), t0 < t1
}

// Pt returns the place at x and y, in points.
func Pt(x, y float64) Point { return Point{X: x, Y: y} }
