package style

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
)

const (
	mmPerPoint = 25.4 / 96 // of a page: a point is 1/96 in
	fontPtMM   = 72 / 25.4 // of PDF: 1/72 in
)

// Document is a PDF file of pages of one size. It draws on the last page, with its fonts in the file.
type Document struct {
	set      *Typesetter
	file     *fpdf.Fpdf
	unitMM   float64
	factor   float64 // pixels a unit, of pictures inside
	off      Point   // where the drawing's origin lies on the page
	opacity  uint8
	pictures int
}

// NewDocument returns a file without pages, whose unit of lengths is unitMM long.
func NewDocument(t *Typesetter, wideMM, highMM, unitMM float64, meta Meta) *Document {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: wideMM, Ht: highMM}})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetLineJoinStyle("round")
	fixed := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // the same pages give the same bytes at any time
	f.SetCreationDate(fixed)
	f.SetModificationDate(fixed)
	f.SetCatalogSort(true)
	f.SetTitle(meta.Title, true)
	f.SetCreator(meta.Software, true)
	if meta.Comment != "" {
		f.SetSubject(meta.Comment, true)
	}
	f.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	return &Document{set: t, file: f, unitMM: unitMM, factor: t.factor, opacity: 255}
}

// AddPage begins the next page.
func (d *Document) AddPage() {
	d.file.AddPage()
	d.off = Point{}
}

// Open shows a window of the drawing at a place of the page, and nothing beside it, until Close.
func (d *Document) Open(window Box, at Point) {
	d.off = Point{X: at.X - window.Left, Y: at.Y - window.Top}
	x, y, w, h := d.box(window)
	d.file.ClipRect(x, y, w, h, false)
}

// Close shows all again, with the drawing's origin where it was.
func (d *Document) Close() { d.file.ClipEnd() }

// Bytes returns the whole file.
func (d *Document) Bytes() ([]byte, error) {
	var b bytes.Buffer
	if err := d.file.Output(&b); err != nil {
		return nil, fmt.Errorf("pdf: %w", err)
	}
	return b.Bytes(), nil
}

// at returns where a place lies on the page, mm.
func (d *Document) at(p Point) (x, y float64) {
	return (p.X + d.off.X) * d.unitMM, (p.Y + d.off.Y) * d.unitMM
}

func (d *Document) box(b Box) (x, y, w, h float64) {
	x, y = d.at(Point{b.Left, b.Top})
	return x, y, b.Width() * d.unitMM, b.Height() * d.unitMM
}

func (d *Document) fade(c color.NRGBA) {
	if c.A != d.opacity {
		d.opacity = c.A
		d.file.SetAlpha(float64(c.A)/255, "Normal")
	}
}

// Shape implements Surface.
func (d *Document) Shape(s Shape) {
	how, c := "F", s.Pen.Colour
	d.fade(c)
	d.file.SetFillColor(int(c.R), int(c.G), int(c.B))
	if !s.filled() {
		how = "D"
		d.file.SetLineWidth(s.Pen.Width * d.unitMM)
		d.file.SetDrawColor(int(c.R), int(c.G), int(c.B))
		d.file.SetDashPattern(scaled(s.Pen.Dash, d.unitMM), 0)
	}
	x, y := d.at(s.Points[0])
	b, upright := s.upright()
	switch {
	case s.Radius > 0:
		d.file.Circle(x, y, s.Radius*d.unitMM, how)
	case len(s.Points) == 2:
		toX, toY := d.at(s.Points[1])
		d.file.Line(x, y, toX, toY)
	case upright:
		x, y, w, h := d.box(b)
		d.file.Rect(x, y, w, h, how)
	default:
		d.file.MoveTo(x, y)
		for _, p := range s.Points[1:] {
			d.file.LineTo(d.at(p))
		}
		d.file.DrawPath(how)
	}
}

// Picture implements Surface.
func (d *Document) Picture(b Box, paint func(*image.RGBA)) {
	d.fade(Paper)
	d.pictures++
	name, kind := fmt.Sprint(d.pictures), fpdf.ImageOptions{ImageType: "PNG"}
	d.file.RegisterImageOptionsReader(name, kind, bytes.NewReader(painted(b, d.factor, paint)))
	x, y, w, h := d.box(b)
	d.file.ImageOptions(name, x, y, w, h, false, kind, 0, "")
}

// Set implements Surface. The text takes its width, as it does in SVG: PDF knows no kerning, and places all letters as
// far from each other as they are wide.
func (d *Document) Set(l Letters) {
	weight := ""
	if l.Bold {
		weight = "B"
	}
	d.fade(l.Colour)
	d.file.SetFont("sans", weight, l.Size*d.unitMM*fontPtMM)
	d.file.SetTextColor(int(l.Colour.R), int(l.Colour.G), int(l.Colour.B))
	x, y := d.at(l.At)
	text := visual(d.set.Clean(l.Text, Font{Bold: l.Bold}))
	d.file.TransformBegin()
	defer d.file.TransformEnd()
	if l.Up {
		d.file.TransformRotate(90, x, y)
	}
	if wide := d.file.GetStringWidth(text); wide > 0 {
		d.file.TransformScaleX(100*l.Width*d.unitMM/wide, x, y)
	}
	d.file.Text(x, y, text)
}
