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

// pixel returns the nearest whole pixel edge of a coordinate.
func (r *raster) pixel(v float64) int { return int(math.Round(v * r.factor)) }

// area returns b between whole pixel edges, at least one pixel wide and high.
func (r *raster) area(b Box) image.Rectangle {
	a := image.Rect(r.pixel(b.Left), r.pixel(b.Top), r.pixel(b.Right), r.pixel(b.Bottom))
	a.Max.X, a.Max.Y = max(a.Max.X, a.Min.X+1), max(a.Max.Y, a.Min.Y+1)
	return a
}

// thick returns how many pixels a crisp line is thick.
func (r *raster) thick(pen Pen) int { return max(1, int(math.Round(pen.Width*r.factor))) }

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
		r.paint(r.area(b), s.Pen.Colour)
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
	w, o := r.thick(pen), image.Rect(r.pixel(b.Left), r.pixel(b.Top), r.pixel(b.Right), r.pixel(b.Bottom))
	before, after := image.Pt(w/2, w/2), image.Pt(w-w/2, w-w/2)
	switch {
	case b.Left == b.Right:
		r.paint(image.Rect(o.Min.X-before.X, o.Min.Y, o.Min.X+after.X, o.Max.Y), pen.Colour)
		return
	case b.Top == b.Bottom:
		r.paint(image.Rect(o.Min.X, o.Min.Y-before.Y, o.Max.X, o.Min.Y+after.Y), pen.Colour)
		return
	}
	o = r.area(b)
	o.Min, o.Max = o.Min.Sub(before), o.Max.Add(after)
	for _, side := range []image.Rectangle{
		{o.Min, image.Pt(o.Max.X, o.Min.Y+w)}, {image.Pt(o.Min.X, o.Max.Y-w), o.Max},
		image.Rect(o.Min.X, o.Min.Y+w, o.Min.X+w, o.Max.Y-w), image.Rect(o.Max.X-w, o.Min.Y+w, o.Max.X, o.Max.Y-w),
	} {
		if !side.Empty() {
			r.paint(side, pen.Colour)
		}
	}
}

// Picture implements Surface; what does not lie wholly on the page is not painted.
func (r *raster) Picture(b Box, paint func(*image.RGBA)) {
	if area := r.area(b); area.In(r.img.Rect) {
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
