package style

import (
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"slices"
)

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

// holds tells whether p lies in b.
func (b Box) holds(p Point) bool {
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
	for _, side := range [4][2]float64{{-dx, a.X - box.Left}, {dx, box.Right - a.X}, {-dy, a.Y - box.Top}, {dy, box.Bottom - a.Y}} {
		p, q := side[0], side[1]
		switch {
		case p != p || q != q || p == 0 && q < 0: // not a number, or beside the box
			return a, b, false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	if !(t0 < t1) {
		return a, b, false
	}
	at := func(t float64) Point { return Point{X: a.X + t*dx, Y: a.Y + t*dy} }
	return at(t0), at(t1), true
}

// Pen is how a line is drawn. Dash holds lengths of lines and gaps in turn; empty is a full line.
type Pen struct {
	Width  float64
	Colour color.NRGBA
	Dash   []float64
}

// Placed is a text that stands on the page, with its box.
type Placed struct {
	Text string
	Box  Box
}

// Surface is what pages are drawn on: pixels, SVG or PDF. Places and sizes are in the page's unit, y runs down.
type Surface interface {
	// Polyline draws the joined line through the points.
	Polyline(points []Point, pen Pen)
	// Polygon fills the area inside the points.
	Polygon(points []Point, colour color.NRGBA)
	// Ring draws a circle's outline.
	Ring(at Point, radius float64, pen Pen)
	// Dot draws a filled disc.
	Dot(at Point, radius float64, colour color.NRGBA)
	// StrokeBox draws the outline of b, centred on its edges.
	StrokeBox(b Box, pen Pen)
	// FillBox fills b.
	FillBox(b Box, colour color.NRGBA)
	// Picture fills b with pixels: paint is given an opaque picture, of any bounds, to paint over.
	Picture(b Box, paint func(*image.RGBA))
	// Set writes a line of letters.
	Set(l Letters)
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

// Canvas is one page that is drawn on, in points. It remembers where texts stand and what other places are taken, so
// that texts are neither cut nor laid over each other; and what was drawn, to write it in any Format.
type Canvas struct {
	*Typesetter
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
		return nil, fmt.Errorf("a picture of %g x %g pixels cannot be drawn; at most %d pixels serve", w, h, MaxPixels)
	}
	c := &Canvas{Typesetter: t, pixels: newRaster(int(w), int(h), t), page: Box{Right: widthPt, Bottom: heightPt}}
	c.drawn = append(c.drawn, func(s Surface) { s.FillBox(c.page, Paper) })
	return c, nil
}

// put draws now, and keeps what was drawn.
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
func (c *Canvas) ColourAt(p Point) color.RGBA { return c.pixels.at(p) }

// FillBox fills b, its edges on whole pixels.
func (c *Canvas) FillBox(b Box, colour color.NRGBA) { c.put(func(s Surface) { s.FillBox(b, colour) }) }

// StrokeBox draws the outline of b, centred on its edges. Full lines are crisp.
func (c *Canvas) StrokeBox(b Box, pen Pen) { c.put(func(s Surface) { s.StrokeBox(b, pen) }) }

// Line draws a straight line; one along an axis without dashes is crisp.
func (c *Canvas) Line(from, to Point, pen Pen) { c.Polyline([]Point{from, to}, pen) }

// Polyline draws the joined line through the points.
func (c *Canvas) Polyline(points []Point, pen Pen) {
	if points = slices.Clone(points); len(points) > 1 {
		c.put(func(s Surface) { s.Polyline(points, pen) })
	}
}

// Polygon fills the area inside the points.
func (c *Canvas) Polygon(points []Point, colour color.NRGBA) {
	points = slices.Clone(points)
	c.put(func(s Surface) { s.Polygon(points, colour) })
}

// Dot draws a filled disc.
func (c *Canvas) Dot(at Point, radiusPt float64, colour color.NRGBA) {
	c.put(func(s Surface) { s.Dot(at, radiusPt, colour) })
}

// Ring draws a circle's outline.
func (c *Canvas) Ring(at Point, radiusPt float64, pen Pen) {
	c.put(func(s Surface) { s.Ring(at, radiusPt, pen) })
}

// Picture fills b with pixels, which paint paints into a picture of any size.
func (c *Canvas) Picture(b Box, paint func(*image.RGBA)) {
	c.put(func(s Surface) { s.Picture(b, paint) })
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
	switch format {
	case PNG:
		meta.PixelFactor = c.factor
		return EncodePNG(w, c.Image(), meta)
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
		return fmt.Errorf("%q is neither png nor svg nor pdf", format)
	}
	_, err := w.Write(data)
	return err
}

func (c *Canvas) drawOn(s Surface) {
	for _, draw := range c.drawn {
		draw(s)
	}
}
