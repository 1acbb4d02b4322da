package style

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"fathomlux/scene/document"
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

// Vector is a drawing as SVG elements, one a line.
type Vector struct {
	view   Box
	unit   string
	factor float64 // pixels a unit, of pictures inside
	body   bytes.Buffer
}

// NewVector returns an empty drawing of what lies in view. unit is that of its size: "mm", or "" for pixels of a page.
func NewVector(view Box, unit string, factor float64) *Vector {
	return &Vector{view: view, unit: unit, factor: factor}
}

// Document returns the whole document; about may be empty.
func (v *Vector) Document(title, about string) []byte {
	wide, high := num(v.view.Width()), num(v.view.Height())
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s%s" height="%s%[2]s" `+
		`viewBox="%[4]s %[5]s %[1]s %[3]s" font-family="'Liberation Sans', Arial, Helvetica, sans-serif">`+
		"\n<title>%[6]s</title>\n",
		wide, v.unit, high, num(v.view.Left), num(v.view.Top), escape(title))
	if about != "" {
		fmt.Fprintf(&b, "<desc>%s</desc>\n", escape(about))
	}
	b.Write(v.body.Bytes())
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func (v *Vector) add(format string, args ...any) { fmt.Fprintf(&v.body, "<"+format+"/>\n", args...) }

// Shape implements Surface. Filled boxes that share an edge leave no seam; on a page full lines along an axis, too, lie
// on whole pixels.
func (v *Vector) Shape(s Shape) {
	b, upright := s.upright()
	crisp := ""
	if upright && (s.filled() || v.unit == "" && len(s.Pen.Dash) == 0) {
		crisp = ` shape-rendering="crispEdges"`
	}
	if crisp != "" && !s.filled() {
		s.Pen.Width = math.Max(1, math.Round(s.Pen.Width))
		b = Box{math.Round(b.Left), math.Round(b.Top), math.Round(b.Right), math.Round(b.Bottom)}
		if len(s.Points) == 2 {
			s.Points = []Point{{b.Left, b.Top}, {b.Right, b.Bottom}}
		}
	}
	look, kind := stroke(s.Pen)+crisp, "polyline"
	if s.filled() {
		look, kind = paint("fill", s.Pen.Colour)+crisp, "polygon"
	}
	switch {
	case s.Radius > 0:
		v.add(`circle cx="%s" cy="%s" r="%s"%s`, num(s.Points[0].X), num(s.Points[0].Y), num(s.Radius), look)
	case upright && len(s.Points) > 2:
		v.add(`rect %s%s`, sides(b), look)
	default:
		v.add(`%s points="%s" stroke-linejoin="round"%s`, kind, pairs(s.Points), look)
	}
}

// Picture implements Surface.
func (v *Vector) Picture(b Box, paint func(*image.RGBA)) {
	v.add(`image %s preserveAspectRatio="none" href="data:image/png;base64,%s"`, sides(b),
		base64.StdEncoding.EncodeToString(painted(b, v.factor, paint)))
}

// painted returns a picture for b as a PNG file.
func painted(b Box, factor float64, paint func(*image.RGBA)) []byte {
	r := newRaster(max(1, int(b.Width()*factor)), max(1, int(b.Height()*factor)), &Typesetter{factor: factor})
	paint(r.img)
	var data bytes.Buffer
	_ = encodePNG(&data, r.img, Meta{PixelFactor: factor}) // a buffer takes everything
	return data.Bytes()
}

// Set implements Surface. The text's width is given, so that it keeps its room where another typeface stands in.
func (v *Vector) Set(l Letters) {
	look := paint("fill", l.Colour)
	if l.Bold {
		look += ` font-weight="bold"`
	}
	if l.Up {
		look += fmt.Sprintf(` transform="rotate(-90 %s %s)"`, num(l.At.X), num(l.At.Y))
	}
	fmt.Fprintf(&v.body, `<text x="%s" y="%s" font-size="%s" textLength="%s" `+
		`lengthAdjust="spacingAndGlyphs"%s>%s</text>`+"\n",
		num(l.At.X), num(l.At.Y), num(l.Size), num(l.Width), look, escape(l.Text))
}

// stroke writes a pen as attributes.
func stroke(pen Pen) string {
	dash := ""
	for i, d := range pen.Dash {
		dash += [2]string{` stroke-dasharray="`, " "}[min(i, 1)] + num(d)
	}
	if dash != "" {
		dash += `"`
	}
	return fmt.Sprintf(` fill="none"%s stroke-width="%s"%s`, paint("stroke", pen.Colour), num(pen.Width), dash)
}

// paint writes a colour as an attribute, with its opacity where it is not opaque.
func paint(attribute string, c color.NRGBA) string {
	s := fmt.Sprintf(` %s="#%02x%02x%02x"`, attribute, c.R, c.G, c.B)
	if c.A < 255 {
		s += fmt.Sprintf(` %s-opacity="%s"`, attribute, num(float64(c.A)/255))
	}
	return s
}

func pairs(points []Point) string {
	all := make([]string, len(points))
	for i, p := range points {
		all[i] = num(p.X) + "," + num(p.Y)
	}
	return strings.Join(all, " ")
}

func sides(b Box) string {
	return fmt.Sprintf(`x="%s" y="%s" width="%s" height="%s"`, num(b.Left), num(b.Top), num(b.Width()), num(b.Height()))
}

// num writes a number to a thousandth, a micrometre of a millimetre, without a minus zero.
func num(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64) }

func escape(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(document.Visible(s))) // a buffer takes everything
	return b.String()
}
