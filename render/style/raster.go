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

// FillBox implements Surface; edges lie on whole pixels.
func (r *raster) FillBox(b Box, colour color.NRGBA) { r.paint(r.area(b), colour) }

// StrokeBox implements Surface; full lines are crisp.
func (r *raster) StrokeBox(b Box, pen Pen) {
	if len(pen.Dash) > 0 {
		r.Polyline([]Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Right, b.Bottom}, {b.Left, b.Bottom}, {b.Left, b.Top}}, pen)
		return
	}
	w, o := r.thick(pen), r.area(b)
	o.Min = o.Min.Sub(image.Pt(w/2, w/2))
	o.Max = o.Max.Add(image.Pt(w-w/2, w-w/2))
	for _, side := range []image.Rectangle{
		image.Rect(o.Min.X, o.Min.Y, o.Max.X, o.Min.Y+w), image.Rect(o.Min.X, o.Max.Y-w, o.Max.X, o.Max.Y),
		image.Rect(o.Min.X, o.Min.Y+w, o.Min.X+w, o.Max.Y-w), image.Rect(o.Max.X-w, o.Min.Y+w, o.Max.X, o.Max.Y-w),
	} {
		if !side.Empty() {
			r.paint(side, pen.Colour)
		}
	}
}

// Polyline implements Surface; a full straight line along an axis is crisp.
func (r *raster) Polyline(points []Point, pen Pen) {
	if a, b := points[0], points[len(points)-1]; len(points) == 2 && len(pen.Dash) == 0 && (a.X == b.X || a.Y == b.Y) {
		w := r.thick(pen)
		x0, y0 := r.pixel(math.Min(a.X, b.X)), r.pixel(math.Min(a.Y, b.Y))
		x1, y1 := r.pixel(math.Max(a.X, b.X)), r.pixel(math.Max(a.Y, b.Y))
		if a.X == b.X {
			x0 -= w / 2
			x1 = x0 + w
		} else {
			y0 -= w / 2
			y1 = y0 + w
		}
		r.paint(image.Rect(x0, y0, x1, y1), pen.Colour)
		return
	}
	r.path(points)
	r.lines.SetLineCapButt()
	r.lines.SetLineJoinRound()
	r.stroke(pen)
}

func (r *raster) stroke(pen Pen) {
	dash := make([]float64, len(pen.Dash))
	for i, d := range pen.Dash {
		dash[i] = d * r.factor
	}
	r.lines.SetDash(dash...)
	r.lines.SetColor(pen.Colour)
	r.lines.SetLineWidth(pen.Width * r.factor)
	r.lines.Stroke()
}

func (r *raster) fill(colour color.NRGBA) {
	r.lines.SetColor(colour)
	r.lines.Fill()
}

func (r *raster) path(points []Point) {
	r.lines.ClearPath()
	for _, p := range points {
		r.lines.LineTo(p.X*r.factor, p.Y*r.factor)
	}
}

func (r *raster) circle(at Point, radius float64) {
	r.lines.ClearPath()
	r.lines.DrawCircle(at.X*r.factor, at.Y*r.factor, radius*r.factor)
}

// Polygon implements Surface.
func (r *raster) Polygon(points []Point, colour color.NRGBA) {
	r.path(points)
	r.fill(colour)
}

// Dot implements Surface.
func (r *raster) Dot(at Point, radius float64, colour color.NRGBA) {
	r.circle(at, radius)
	r.fill(colour)
}

// Ring implements Surface.
func (r *raster) Ring(at Point, radius float64, pen Pen) {
	r.circle(at, radius)
	r.stroke(pen)
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
