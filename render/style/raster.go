package style

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/draw"
	"io"
	"math"

	"github.com/fogleman/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"

	"fathomlux/scene/document"
)

// raster is a page of pixels, so many a point.
type raster struct {
	img    *image.RGBA
	lines  *gg.Context
	set    *Typesetter
	factor float64
}

func newRaster(wide, high int, t *Typesetter) *raster {
	img := image.NewRGBA(image.Rect(0, 0, wide, high))
	draw.Draw(img, img.Rect, image.NewUniform(Paper), image.Point{}, draw.Src)
	r := &raster{img: img, lines: gg.NewContextForRGBA(img), set: t, factor: t.factor}
	r.lines.SetLineCapButt()
	r.lines.SetLineJoinRound()
	return r
}

// area returns b between whole pixel edges, at least so many pixels wide and high.
func (r *raster) area(b Box, least int) image.Rectangle {
	edge := func(v float64) int { return int(math.Round(v * r.factor)) }
	a := image.Rect(edge(b.Left), edge(b.Top), edge(b.Right), edge(b.Bottom))
	a.Max.X, a.Max.Y = max(a.Max.X, a.Min.X+least), max(a.Max.Y, a.Min.Y+least)
	return a
}

// crisp returns the pixels of a box, of a line along an axis or of a box's outline, and of the hole inside this.
func (r *raster) crisp(b Box, pen Pen) (all, hole image.Rectangle) {
	across, down, w, least := b.Left != b.Right, b.Top != b.Bottom, 0, 1
	if pen.Width > 0 {
		w = max(1, int(math.Round(pen.Width*r.factor)))
	}
	if w > 0 && !(across && down) {
		least = 0
	}
	all = r.area(b, least)
	if down { // lines keep their ends
		all.Min.X, all.Max.X = all.Min.X-w/2, all.Max.X+w-w/2
	}
	if across {
		all.Min.Y, all.Max.Y = all.Min.Y-w/2, all.Max.Y+w-w/2
	}
	if w > 0 && across && down {
		hole = all.Inset(w)
	}
	return all, hole
}

// Shape implements Surface. Edges of boxes and full lines along an axis lie on whole pixels.
func (r *raster) Shape(s Shape) {
	r.lines.SetColor(s.Pen.Colour)
	if b, upright := s.upright(); upright && len(s.Pen.Dash) == 0 {
		all, hole := r.crisp(b, s.Pen)
		if hole.Empty() { // many times as fast as a path
			draw.Draw(r.img, all, image.NewUniform(s.Pen.Colour), image.Point{}, draw.Over)
			return
		}
		r.lines.DrawRectangle(float64(all.Min.X), float64(all.Min.Y), float64(all.Dx()), float64(all.Dy()))
		r.lines.DrawRectangle(float64(hole.Max.X), float64(hole.Min.Y), float64(-hole.Dx()), float64(hole.Dy())) // backwards
		r.lines.Fill()
		return
	}
	for _, p := range s.Points {
		if s.Radius > 0 {
			r.lines.DrawCircle(p.X*r.factor, p.Y*r.factor, s.Radius*r.factor)
		} else {
			r.lines.LineTo(p.X*r.factor, p.Y*r.factor)
		}
	}
	if s.filled() {
		r.lines.Fill()
		return
	}
	r.lines.SetLineWidth(s.Pen.Width * r.factor)
	r.lines.SetDash(scaled(s.Pen.Dash, r.factor)...)
	r.lines.Stroke()
}

func scaled(lengths []float64, by float64) []float64 {
	out := make([]float64, len(lengths))
	for i, v := range lengths {
		out[i] = v * by
	}
	return out
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

// Meta is what a PNG says about itself. Empty texts are left out.
type Meta struct {
	Title       string
	Software    string  // name and version
	Comment     string  // the command line
	PixelFactor float64 // pixels a point: 0 is 1; points are 1/96 in
}

// pngHead is how a PNG begins, and pngEnd how it ends.
const (
	pngHead = "\x89PNG\r\n\x1a\n"
	pngEnd  = "\x00\x00\x00\x00IEND\xae\x42\x60\x82"
)

// pointsPerMetre is 96 points an inch, so that a 1400 point page is 370 mm wide.
const pointsPerMetre = 96 / 0.0254 // an inch is 25.4 mm exactly

// encodePNG writes an opaque picture quickly rather than small, with Meta as pHYs and text chunks. Pixels are RGB,
// unfiltered: flat colours, letters and lines make the same bytes again and again, which filters would hide from the
// compression. The same picture and Meta give the same bytes.
// Source for the chunks: PNG Specification, third edition, W3C 2025, 11.2 and 11.3.
func encodePNG(w io.Writer, img *image.RGBA, meta Meta) error {
	size := img.Rect.Size()
	if img.Rect.Empty() {
		return errors.New("png: a picture without pixels")
	}
	out := append([]byte(pngHead), chunk("IHDR", binary.BigEndian.AppendUint32(
		binary.BigEndian.AppendUint32(nil, uint32(size.X)), uint32(size.Y)), []byte{8, 2, 0, 0, 0})...) // 8 bits, RGB
	perMetre := uint32(math.Round(pointsPerMetre * cmp.Or(meta.PixelFactor, 1)))
	physical := binary.BigEndian.AppendUint32(nil, perMetre)
	out = append(out, chunk("pHYs", physical, physical, []byte{1})...) // unit: metre
	for _, e := range [][2]string{{"Title", meta.Title}, {"Software", meta.Software}, {"Comment", meta.Comment}} {
		if e[1] != "" {
			text := e[0] + "\x00\x00\x00\x00\x00" + document.Visible(e[1]) // any text in UTF-8
			out = append(out, chunk("iTXt", []byte(text))...)
		}
	}
	pixels, err := deflated(img)
	if err == nil {
		_, err = w.Write(append(append(out, chunk("IDAT", pixels)...), pngEnd...))
	}
	if err != nil {
		return fmt.Errorf("png: %w", err)
	}
	return nil
}

// deflated are the compressed rows of a picture, each behind the number of its filter, which is none.
func deflated(img *image.RGBA) ([]byte, error) {
	var b bytes.Buffer
	z, err := zlib.NewWriterLevel(&b, zlib.BestSpeed)
	if err != nil {
		return nil, err
	}
	row := make([]byte, 1+3*img.Rect.Dx())
	for y := range img.Rect.Dy() {
		from := img.Pix[y*img.Stride:][:4*img.Rect.Dx()]
		for to := row[1:]; len(to) > 0; from, to = from[4:], to[3:] {
			to[0], to[1], to[2] = from[0], from[1], from[2]
		}
		if _, err := z.Write(row); err != nil {
			return nil, err
		}
	}
	err = z.Close()
	return b.Bytes(), err
}

// chunk is one of a PNG: its length, its kind, some data and a checksum.
func chunk(kind string, data ...[]byte) []byte {
	all := bytes.Join(data, nil)
	out := append(binary.BigEndian.AppendUint32(nil, uint32(len(all))), kind...)
	out = append(out, all...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
