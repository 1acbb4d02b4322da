package diagram

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"strconv"
	"strings"

	"fathomlux/render/style"
)

// surface is what the diagram is drawn on: a style.Canvas, or a vector.
type surface interface {
	Line(from, to style.Point, pen style.Pen)
	Polyline(points []style.Point, pen style.Pen)
	Polygon(points []style.Point, colour color.NRGBA)
	Ring(at style.Point, radiusPt float64, pen style.Pen)
	Dot(at style.Point, radiusPt float64, colour color.NRGBA)
	FillBox(b style.Box, colour color.NRGBA)
	StrokeBox(b style.Box, pen style.Pen)
	Write(text style.Text)
}

// vector is a drawing as SVG elements, one a line.
type vector struct {
	widthPt, heightPt float64
	set               *style.Typesetter
	body              bytes.Buffer
}

func newVector(widthPt, heightPt float64, t *style.Typesetter) *vector {
	v := &vector{widthPt: widthPt, heightPt: heightPt, set: t}
	v.FillBox(style.Box{Right: widthPt, Bottom: heightPt}, style.Paper)
	return v
}

// document returns the whole document.
func (v *vector) document(title, about string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<?xml version="1.0" encoding="UTF-8"?>`+"\n"+`<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %[1]s %[2]s" font-family="'Liberation Sans', Arial, Helvetica, sans-serif">`+"\n",
		num(v.widthPt), num(v.heightPt))
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>%s</desc>\n", escape(title), escape(about))
	b.Write(v.body.Bytes())
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// Line implements surface.
func (v *vector) Line(from, to style.Point, pen style.Pen) {
	v.Polyline([]style.Point{from, to}, pen)
}

// Polyline implements surface.
func (v *vector) Polyline(points []style.Point, pen style.Pen) {
	fmt.Fprintf(&v.body, `<polyline points="%s" fill="none" stroke-linejoin="round"%s/>`+"\n", pairs(points), stroke(pen))
}

// Polygon implements surface.
func (v *vector) Polygon(points []style.Point, colour color.NRGBA) {
	fmt.Fprintf(&v.body, `<polygon points="%s"%s/>`+"\n", pairs(points), paint("fill", colour))
}

// Ring implements surface.
func (v *vector) Ring(at style.Point, radiusPt float64, pen style.Pen) {
	fmt.Fprintf(&v.body, `<circle cx="%s" cy="%s" r="%s" fill="none"%s/>`+"\n", num(at.X), num(at.Y), num(radiusPt), stroke(pen))
}

// Dot implements surface.
func (v *vector) Dot(at style.Point, radiusPt float64, colour color.NRGBA) {
	fmt.Fprintf(&v.body, `<circle cx="%s" cy="%s" r="%s"%s/>`+"\n", num(at.X), num(at.Y), num(radiusPt), paint("fill", colour))
}

// FillBox implements surface.
func (v *vector) FillBox(b style.Box, colour color.NRGBA) {
	fmt.Fprintf(&v.body, `<rect x="%s" y="%s" width="%s" height="%s"%s/>`+"\n", num(b.Left), num(b.Top), num(b.Width()), num(b.Height()), paint("fill", colour))
}

// StrokeBox implements surface.
func (v *vector) StrokeBox(b style.Box, pen style.Pen) {
	fmt.Fprintf(&v.body, `<rect x="%s" y="%s" width="%s" height="%s" fill="none"%s/>`+"\n", num(b.Left), num(b.Top), num(b.Width()), num(b.Height()), stroke(pen))
}

// Write implements surface. The text's width is given, so that it keeps its room where another typeface stands in.
func (v *vector) Write(text style.Text) {
	s := v.set.Clean(text.Text, text.Font)
	if s == "" {
		return
	}
	if text.Colour == (color.NRGBA{}) {
		text.Colour = style.Ink
	}
	box, weight := v.set.Box(text), ""
	if text.Font.Bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(&v.body, `<text x="%s" y="%s" font-size="%s"%s textLength="%s" lengthAdjust="spacingAndGlyphs"%s>%s</text>`+"\n",
		num(box.Left), num(box.Top+text.Font.CapHeight()), num(text.Font.SizePt), weight, num(box.Width()), paint("fill", text.Colour), escape(s))
}

// stroke writes a pen as attributes.
func stroke(pen style.Pen) string {
	dash := ""
	if len(pen.Dash) > 0 {
		var lengths []string
		for _, d := range pen.Dash {
			lengths = append(lengths, num(d))
		}
		dash = fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(lengths, " "))
	}
	return fmt.Sprintf(`%s stroke-width="%s"%s`, paint("stroke", pen.Colour), num(pen.WidthPt), dash)
}

// paint writes a colour as an attribute, with its opacity where it is not opaque.
func paint(attribute string, c color.NRGBA) string {
	s := fmt.Sprintf(` %s="#%02x%02x%02x"`, attribute, c.R, c.G, c.B)
	if c.A < 255 {
		s += fmt.Sprintf(` %s-opacity="%s"`, attribute, num(float64(c.A)/255))
	}
	return s
}

func pairs(points []style.Point) string {
	var all []string
	for _, p := range points {
		all = append(all, num(p.X)+","+num(p.Y))
	}
	return strings.Join(all, " ")
}

// num writes a number with at most two decimals.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

func escape(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(s)) // a buffer takes everything
	return b.String()
}
