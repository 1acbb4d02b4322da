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
