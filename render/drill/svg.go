package drill

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"

	"fathomlux/render/style"
)

const leastSVGMM = 132 // for the ruler and a readable head

// svg returns the whole sheet, with a head above it and the ruler below.
func (s *sheet) svg() []byte {
	view := s.view()
	p := &svgPen{ts: s.ts}
	wide, high := num(view.right-view.left), num(view.bottom-view.top)
	fmt.Fprintf(&p.b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"%s %s %s %s\" font-family=\"Liberation Sans, Arial, Helvetica, sans-serif\">\n",
		wide, high, num(view.left), num(view.top), wide, high)
	fmt.Fprintf(&p.b, "<title>%s</title>\n", escape(s.plan.heading()))
	s.drawOnePiece(p, view)
	p.b.WriteString("</svg>\n")
	return p.b.Bytes()
}

// view is all that the one piece shows: the sheet, the names of the edges beside it, words above and the ruler below.
func (s *sheet) view() box {
	b := box{left: s.paper.left - gutterMM}
	b.right = max(s.paper.right+gutterMM, b.left+leastSVGMM)
	words := b.right - b.left - 4
	b.top = s.paper.top - lineMM*float64(len(s.headLines(words))) - 4
	b.bottom = s.paper.bottom + lineMM*float64(len(s.legend(words))) + rulerHighMM + 6
	return b
}

// drawOnePiece draws the sheet with all that is around it.
func (s *sheet) drawOnePiece(p pen, view box) {
	p.fill(view, color.NRGBA{R: 255, G: 255, B: 255, A: 255})
	words, y := view.right-view.left-4, view.top+4
	for _, l := range s.headLines(words) {
		l.at = point{view.left + 2, y}
		p.write(l)
		y += lineMM
	}
	s.draw(p, s.paper)
	s.nameKeepOuts(p, s.paper, s.paper.left+1, s.paper.right-1)
	s.drawEdges(p, s.paper)
	y = s.paper.bottom + 3
	for _, line := range s.legend(words) {
		p.write(label{text: line, at: point{view.left + 2, y}, font: markFont})
		y += lineMM
	}
	s.drawRuler(p, point{0, y})
}

// svgPen writes elements.
type svgPen struct {
	b  bytes.Buffer
	ts *style.Typesetter
}

// num writes millimetres to a micrometre, without a minus zero.
func num(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64) }

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func (s stroke) attributes() string {
	text := fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%s"`, hex(s.colour), num(s.widthMM))
	if len(s.dashMM) > 0 {
		var parts []string
		for _, d := range s.dashMM {
			parts = append(parts, num(d))
		}
		text += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	return text
}

func (p *svgPen) line(s stroke, points ...point) {
	var list []string
	for _, q := range points {
		list = append(list, num(q.x)+","+num(q.y))
	}
	fmt.Fprintf(&p.b, "<polyline points=\"%s\" %s/>\n", strings.Join(list, " "), s.attributes())
}

func (p *svgPen) rect(b box, s stroke) {
	fmt.Fprintf(&p.b, "<rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" %s/>\n", num(b.left), num(b.top), num(b.right-b.left), num(b.bottom-b.top), s.attributes())
}

func (p *svgPen) fill(b box, c color.NRGBA) {
	fmt.Fprintf(&p.b, "<rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" fill=\"%s\"/>\n", num(b.left), num(b.top), num(b.right-b.left), num(b.bottom-b.top), hex(c))
}

func (p *svgPen) circle(c point, radius float64, s stroke) {
	fmt.Fprintf(&p.b, "<circle cx=\"%s\" cy=\"%s\" r=\"%s\" %s/>\n", num(c.x), num(c.y), num(radius), s.attributes())
}

// write writes a text; one with letters that our font lacks is pressed into the width that was planned for it.
func (p *svgPen) write(l label) {
	half := capShare * l.font.SizePt / ptPerMM / 2
	x, y, extra := l.at.x, l.at.y+half, ""
	if l.up {
		x, y = l.at.x+half, l.at.y
		extra = fmt.Sprintf(` transform="rotate(-90 %s %s)"`, num(x), num(y))
	}
	if l.font.Bold {
		extra += ` font-weight="bold"`
	}
	if text := plain(l.text); p.ts.Clean(text, l.font) != strings.Join(strings.Fields(text), " ") {
		extra += fmt.Sprintf(` textLength="%s" lengthAdjust="spacingAndGlyphs"`, num(textWidth(p.ts, text, l.font)))
	}
	anchor := "start"
	switch l.anchor {
	case 0.5:
		anchor = "middle"
	case 1:
		anchor = "end"
	}
	fmt.Fprintf(&p.b, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" text-anchor=\"%s\" fill=\"%s\"%s>%s</text>\n",
		num(x), num(y), num(l.font.SizePt/ptPerMM), anchor, hex(color.NRGBA{R: l.colour.R, G: l.colour.G, B: l.colour.B, A: 255}), extra, escape(l.text))
}

func escape(text string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(plain(text))) // a bytes.Buffer takes all
	return b.String()
}
