package style

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"github.com/fogleman/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
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
	WidthPt float64
	Colour  color.NRGBA
	Dash    []float64
}

// Placed is a text that stands on the page, with its box.
type Placed struct {
	Text string
	Box  Box
}

// Canvas is one page that is drawn on: an opaque picture in points. It remembers where texts stand and what
// other places are taken, so that texts are neither cut nor laid over each other.
type Canvas struct {
	*Typesetter
	img    *image.RGBA
	lines  *gg.Context
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
	img := image.NewRGBA(image.Rect(0, 0, int(w), int(h)))
	draw.Draw(img, img.Rect, image.NewUniform(Paper), image.Point{}, draw.Src)
	page := Box{Right: widthPt, Bottom: heightPt}
	return &Canvas{Typesetter: t, img: img, lines: gg.NewContextForRGBA(img), page: page}, nil
}

// Image returns the picture drawn so far.
func (c *Canvas) Image() *image.RGBA { return c.img }

// Texts returns the texts drawn so far with their boxes.
func (c *Canvas) Texts() []Placed { return c.texts }

// Page returns the whole page.
func (c *Canvas) Page() Box { return c.page }

// pixel returns the nearest whole pixel edge of a coordinate.
func (c *Canvas) pixel(v float64) int { return int(math.Round(v * c.factor)) }

// pixels returns b between whole pixel edges, at least one pixel wide and high.
func (c *Canvas) pixels(b Box) image.Rectangle {
	r := image.Rect(c.pixel(b.Left), c.pixel(b.Top), c.pixel(b.Right), c.pixel(b.Bottom))
	r.Max.X, r.Max.Y = max(r.Max.X, r.Min.X+1), max(r.Max.Y, r.Min.Y+1)
	return r
}

// ColourAt returns the colour of the pixel at p; Paper outside the page.
func (c *Canvas) ColourAt(p Point) color.RGBA {
	at := image.Pt(int(math.Floor(p.X*c.factor)), int(math.Floor(p.Y*c.factor)))
	if !at.In(c.img.Rect) {
		return color.RGBA(Paper) // opaque: both forms are the same
	}
	return c.img.RGBAAt(at.X, at.Y)
}

// FillBox fills b, its edges on whole pixels.
func (c *Canvas) FillBox(b Box, colour color.NRGBA) {
	draw.Draw(c.img, c.pixels(b), image.NewUniform(colour), image.Point{}, draw.Over)
}

// StrokeBox draws the outline of b, centred on its edges. Full lines are crisp.
func (c *Canvas) StrokeBox(b Box, pen Pen) {
	if len(pen.Dash) > 0 {
		c.Polyline([]Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Right, b.Bottom}, {b.Left, b.Bottom}, {b.Left, b.Top}}, pen)
		return
	}
	w := max(1, int(math.Round(pen.WidthPt*c.factor)))
	o := c.pixels(b)
	o.Min = o.Min.Sub(image.Pt(w/2, w/2))
	o.Max = o.Max.Add(image.Pt(w-w/2, w-w/2))
	src := image.NewUniform(pen.Colour)
	for _, side := range []image.Rectangle{
		image.Rect(o.Min.X, o.Min.Y, o.Max.X, o.Min.Y+w), image.Rect(o.Min.X, o.Max.Y-w, o.Max.X, o.Max.Y),
		image.Rect(o.Min.X, o.Min.Y+w, o.Min.X+w, o.Max.Y-w), image.Rect(o.Max.X-w, o.Min.Y+w, o.Max.X, o.Max.Y-w),
	} {
		if !side.Empty() {
			draw.Draw(c.img, side, src, image.Point{}, draw.Over)
		}
	}
}

// Line draws a straight line; one along an axis without dashes is crisp.
func (c *Canvas) Line(from, to Point, pen Pen) {
	w := max(1, int(math.Round(pen.WidthPt*c.factor)))
	x, y := c.pixel(math.Min(from.X, to.X)), c.pixel(math.Min(from.Y, to.Y))
	switch src := image.NewUniform(pen.Colour); {
	case len(pen.Dash) == 0 && from.X == to.X:
		r := image.Rect(x-w/2, y, x-w/2+w, c.pixel(math.Max(from.Y, to.Y)))
		draw.Draw(c.img, r, src, image.Point{}, draw.Over)
	case len(pen.Dash) == 0 && from.Y == to.Y:
		r := image.Rect(x, y-w/2, c.pixel(math.Max(from.X, to.X)), y-w/2+w)
		draw.Draw(c.img, r, src, image.Point{}, draw.Over)
	default:
		c.Polyline([]Point{from, to}, pen)
	}
}

// Polyline draws the joined line through the points.
func (c *Canvas) Polyline(points []Point, pen Pen) {
	if len(points) < 2 {
		return
	}
	c.path(points)
	c.lines.SetColor(pen.Colour)
	c.lines.SetLineWidth(pen.WidthPt * c.factor)
	c.lines.SetLineCapButt()
	c.lines.SetLineJoinRound()
	dash := make([]float64, len(pen.Dash))
	for i, d := range pen.Dash {
		dash[i] = d * c.factor
	}
	c.lines.SetDash(dash...)
	c.lines.Stroke()
}

// Polygon fills the area inside the points.
func (c *Canvas) Polygon(points []Point, colour color.NRGBA) {
	c.path(points)
	c.lines.SetColor(colour)
	c.lines.Fill()
}

func (c *Canvas) path(points []Point) {
	c.lines.ClearPath()
	for _, p := range points {
		c.lines.LineTo(p.X*c.factor, p.Y*c.factor)
	}
}

// Dot draws a filled disc.
func (c *Canvas) Dot(at Point, radiusPt float64, colour color.NRGBA) {
	c.lines.ClearPath()
	c.lines.DrawCircle(at.X*c.factor, at.Y*c.factor, radiusPt*c.factor)
	c.lines.SetColor(colour)
	c.lines.Fill()
}

// Ring draws a circle's outline.
func (c *Canvas) Ring(at Point, radiusPt float64, pen Pen) {
	c.lines.ClearPath()
	c.lines.DrawCircle(at.X*c.factor, at.Y*c.factor, radiusPt*c.factor)
	c.lines.SetColor(pen.Colour)
	c.lines.SetLineWidth(pen.WidthPt * c.factor)
	c.lines.SetDash()
	c.lines.Stroke()
}

// drawGlyphs sets s with its base line's start at (x, y) points.
func (c *Canvas) drawGlyphs(s string, f Font, colour color.NRGBA, at Point) {
	d := font.Drawer{Dst: c.img, Src: image.NewUniform(colour), Face: c.face(f)}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(math.Round(at.X * c.factor * 64)), Y: fixed.Int26_6(math.Round(at.Y*c.factor)) << 6}
	d.DrawString(Visual(s))
}
