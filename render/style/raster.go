package style

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"github.com/fogleman/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// raster is a page of pixels, so many a point.
type raster struct {
	img    *image.RGBA
	lines  *gg.Context
	set    *Typesetter
	factor float64
}

// newRaster returns a page of paper.
func newRaster(wide, high int, t *Typesetter) *raster {
	img := image.NewRGBA(image.Rect(0, 0, wide, high))
	draw.Draw(img, img.Rect, image.NewUniform(Paper), image.Point{}, draw.Src)
	return &raster{img: img, lines: gg.NewContextForRGBA(img), set: t, factor: t.factor}
}

// area returns b between whole pixel edges, at least so many pixels wide and high.
func (r *raster) area(b Box, least int) image.Rectangle {
	edge := func(v float64) int { return int(math.Round(v * r.factor)) }
	a := image.Rect(edge(b.Left), edge(b.Top), edge(b.Right), edge(b.Bottom))
	a.Max.X, a.Max.Y = max(a.Max.X, a.Min.X+least), max(a.Max.Y, a.Min.Y+least)
	return a
}

func (r *raster) at(p Point) color.RGBA {
	at := image.Pt(int(math.Floor(p.X*r.factor)), int(math.Floor(p.Y*r.factor)))
	if !at.In(r.img.Rect) {
		return color.RGBA(Paper) // opaque: both forms are the same
	}
	return r.img.RGBAAt(at.X, at.Y)
}

func (r *raster) paint(a image.Rectangle, colour color.NRGBA) {
	draw.Draw(r.img, a, image.NewUniform(colour), image.Point{}, draw.Over)
}

// Shape implements Surface. Edges of boxes and full lines along an axis lie on whole pixels.
func (r *raster) Shape(s Shape) {
	b, upright := s.upright()
	switch {
	case upright && s.filled():
		r.paint(r.area(b, 1), s.Pen.Colour)
		return
	case upright && len(s.Pen.Dash) == 0:
		r.crisp(b, s.Pen)
		return
	}
	r.lines.ClearPath()
	for _, p := range s.Points {
		if s.Radius > 0 {
			r.lines.DrawCircle(p.X*r.factor, p.Y*r.factor, s.Radius*r.factor)
		} else {
			r.lines.LineTo(p.X*r.factor, p.Y*r.factor)
		}
	}
	r.lines.SetColor(s.Pen.Colour)
	if s.filled() {
		r.lines.Fill()
		return
	}
	r.lines.SetLineCapButt()
	r.lines.SetLineJoinRound()
	r.lines.SetLineWidth(s.Pen.Width * r.factor)
	r.lines.SetDash(scaled(s.Pen.Dash, r.factor)...)
	r.lines.Stroke()
}

// scaled returns the lengths in another unit.
func scaled(lengths []float64, by float64) []float64 {
	out := make([]float64, len(lengths))
	for i, v := range lengths {
		out[i] = v * by
	}
	return out
}

// crisp draws a line along an axis, or the outline of a box.
func (r *raster) crisp(b Box, pen Pen) {
	w := max(1, int(math.Round(pen.Width*r.factor)))
	o := r.area(b, 0)
	across, down := b.Left != b.Right, b.Top != b.Bottom
	if across && down {
		o = r.area(b, 1)
	}
	if down { // lines keep their ends
		o.Min.X, o.Max.X = o.Min.X-w/2, o.Max.X+w-w/2
	}
	if across {
		o.Min.Y, o.Max.Y = o.Min.Y-w/2, o.Max.Y+w-w/2
	}
	hole := o.Inset(w)
	if !across || !down || hole.Empty() {
		r.paint(o, pen.Colour)
		return
	}
	for _, side := range []image.Rectangle{ // without a corner twice, which shows where the pen is not opaque
		{o.Min, image.Pt(o.Max.X, hole.Min.Y)}, {image.Pt(o.Min.X, hole.Max.Y), o.Max},
		{image.Pt(o.Min.X, hole.Min.Y), image.Pt(hole.Min.X, hole.Max.Y)},
		{image.Pt(hole.Max.X, hole.Min.Y), image.Pt(o.Max.X, hole.Max.Y)},
	} {
		r.paint(side, pen.Colour)
	}
}

// Picture implements Surface; what does not lie wholly on the page is not painted.
func (r *raster) Picture(b Box, paint func(*image.RGBA)) {
	if area := r.area(b, 1); area.In(r.img.Rect) {
		part, _ := r.img.SubImage(area).(*image.RGBA)
		paint(part)
	}
}

// Set implements Surface. No page has letters that are Up.
func (r *raster) Set(l Letters) {
	d := font.Drawer{Dst: r.img, Src: image.NewUniform(l.Colour), Face: r.set.face(Font{SizePt: l.Size, Bold: l.Bold})}
	d.Dot.X = fixed.Int26_6(math.Round(l.At.X * r.factor * 64))
	d.Dot.Y = fixed.Int26_6(math.Round(l.At.Y*r.factor)) << 6
	d.DrawString(visual(l.Text))
}
