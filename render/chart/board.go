package chart

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/draw"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"fathomlux/render/style"
)

// board lets the plotting library draw on a page of ours: a vector canvas whose unit is the page's point. Its origin is
// the page's lower left corner, as that library has it.
type board struct {
	page   *style.Canvas
	now    boardState
	pushed []boardState
}

// boardState is what Push keeps.
type boardState struct {
	pen  style.Pen
	move affine
}

// affine maps (x, y) to (a*x + b*y + e, c*x + d*y + f).
type affine struct{ a, b, c, d, e, f float64 }

// then returns the map that applies inner first.
func (m affine) then(inner affine) affine {
	return affine{
		a: m.a*inner.a + m.b*inner.c, b: m.a*inner.b + m.b*inner.d, e: m.a*inner.e + m.b*inner.f + m.e,
		c: m.c*inner.a + m.d*inner.c, d: m.c*inner.b + m.d*inner.d, f: m.c*inner.e + m.d*inner.f + m.f,
	}
}

func newBoard(page *style.Canvas) *board {
	b := &board{page: page, now: boardState{move: affine{a: 1, d: 1}}}
	vg.Initialize(b)
	return b
}

// at returns where a point of the vector canvas lies on the page.
func (b *board) at(p vg.Point) style.Point {
	m, x, y := b.now.move, float64(p.X), float64(p.Y)
	return style.Pt(m.a*x+m.b*y+m.e, b.page.Page().Bottom-(m.c*x+m.d*y+m.f))
}

// SetLineWidth implements vg.Canvas.
func (b *board) SetLineWidth(w vg.Length) { b.now.pen.Width = float64(w) }

// SetLineDash implements vg.Canvas; where the pattern starts is left to the line's start.
func (b *board) SetLineDash(pattern []vg.Length, _ vg.Length) {
	b.now.pen.Dash = nil
	for _, d := range pattern {
		b.now.pen.Dash = append(b.now.pen.Dash, float64(d))
	}
}

// SetColor implements vg.Canvas.
func (b *board) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	b.now.pen.Colour, _ = color.NRGBAModel.Convert(c).(color.NRGBA)
}

// Rotate implements vg.Canvas.
func (b *board) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	b.now.move = b.now.move.then(affine{a: cos, b: -sin, c: sin, d: cos})
}

// Translate implements vg.Canvas.
func (b *board) Translate(p vg.Point) {
	b.now.move = b.now.move.then(affine{a: 1, d: 1, e: float64(p.X), f: float64(p.Y)})
}

// Scale implements vg.Canvas.
func (b *board) Scale(x, y float64) { b.now.move = b.now.move.then(affine{a: x, d: y}) }

// Push implements vg.Canvas.
func (b *board) Push() { b.pushed = append(b.pushed, b.now) }

// Pop implements vg.Canvas; without a Push before it does nothing.
func (b *board) Pop() {
	if last := len(b.pushed) - 1; last >= 0 {
		b.now, b.pushed = b.pushed[last], b.pushed[:last]
	}
}

// Stroke implements vg.Canvas.
func (b *board) Stroke(p vg.Path) {
	if !(b.now.pen.Width > 0) {
		return
	}
	for _, line := range b.lines(p) {
		if len(line) == 2 {
			b.page.Line(line[0], line[1], b.now.pen)
		} else {
			b.page.Polyline(line, b.now.pen)
		}
	}
}

// Fill implements vg.Canvas.
func (b *board) Fill(p vg.Path) {
	for _, line := range b.lines(p) {
		b.page.Polygon(line, b.now.pen.Colour)
	}
}

// lines returns the path as joined lines on the page. Arcs and curves become short pieces.
func (b *board) lines(p vg.Path) [][]style.Point {
	var lines [][]style.Point
	var line []style.Point
	var last vg.Point
	add := func(p vg.Point) { line, last = append(line, b.at(p)), p }
	for _, part := range p {
		switch part.Type {
		case vg.MoveComp:
			if len(line) > 1 {
				lines = append(lines, line)
			}
			line = nil
			add(part.Pos)
		case vg.LineComp:
			add(part.Pos)
		case vg.ArcComp:
			for _, q := range arc(part) {
				add(q)
			}
		case vg.CurveComp:
			for _, q := range curve(last, part) {
				add(q)
			}
		case vg.CloseComp:
			if len(line) > 0 {
				line = append(line, line[0])
			}
		}
	}
	if len(line) > 1 {
		lines = append(lines, line)
	}
	return lines
}

// pieces is how many straight lines a quarter of an arc, or a curve, becomes.
const pieces = 12

func arc(part vg.PathComp) []vg.Point {
	n := max(1, int(math.Ceil(math.Abs(part.Angle)/(math.Pi/2)*pieces)))
	points := make([]vg.Point, n+1)
	for i := range points {
		sin, cos := math.Sincos(part.Start + part.Angle*float64(i)/float64(n))
		points[i] = vg.Point{X: part.Pos.X + part.Radius*vg.Length(cos), Y: part.Pos.Y + part.Radius*vg.Length(sin)}
	}
	return points
}

// curve returns the points of a quadratic or cubic Bezier curve after its start, by repeated halfway points.
func curve(start vg.Point, part vg.PathComp) []vg.Point {
	corners := append(append([]vg.Point{start}, part.Control...), part.Pos)
	points := make([]vg.Point, pieces)
	for i := range points {
		t := vg.Length(i+1) / pieces
		c := append([]vg.Point(nil), corners...)
		for n := len(c) - 1; n > 0; n-- {
			for k := range n {
				c[k] = vg.Point{X: c[k].X + t*(c[k+1].X-c[k].X), Y: c[k].Y + t*(c[k+1].Y-c[k].Y)}
			}
		}
		points[i] = c[0]
	}
	return points
}

// FillString implements vg.Canvas: text goes to the page's own typesetter.
func (b *board) FillString(f font.Face, at vg.Point, s string) {
	b.write(s, f.Font, style.Ink, at)
}

// write sets a line of text with its base line's start at a point.
func (b *board) write(s string, f font.Font, c color.Color, at vg.Point) {
	place, ours := b.at(at), pageFont(f)
	place.Y -= ours.CapHeight()
	ink, _ := color.NRGBAModel.Convert(c).(color.NRGBA)
	b.page.Write(style.Text{Text: s, Font: ours, Colour: ink, At: place})
}

// DrawImage implements vg.Canvas. It knows upright pictures only.
func (b *board) DrawImage(r vg.Rectangle, img image.Image) {
	from, to := b.at(vg.Point{X: r.Min.X, Y: r.Max.Y}), b.at(vg.Point{X: r.Max.X, Y: r.Min.Y})
	b.page.Picture(style.Box{Left: from.X, Top: from.Y, Right: to.X, Bottom: to.Y}, func(on *image.RGBA) {
		draw.ApproxBiLinear.Scale(on, on.Rect, img, img.Bounds(), draw.Over, nil)
	})
}

// letters implements text.Handler with the page's typesetter, so that the plotting library's tick labels are measured,
// drawn and claimed as every other text is. A text's box reaches from the base line to the capitals' height and
// textGap above; what hangs below the base line is not counted.
type letters struct{ board *board }

// textGap is the free space between a tick and the label below it, in points.
const textGap = 4.0

// Cache implements text.Handler; no fonts of the plotting library are used.
func (letters) Cache() *font.Cache { return nil }

// Extents implements text.Handler.
func (l letters) Extents(f font.Font) font.Extents {
	_, height, _ := l.Box("", f)
	return font.Extents{Ascent: height, Height: height}
}

// Lines implements text.Handler: a text is one line.
func (letters) Lines(s string) []string { return []string{s} }

// Box implements text.Handler. A blank, which the axes use as a distance, is as wide as textGap.
func (l letters) Box(s string, f font.Font) (width, height, depth vg.Length) {
	ours := pageFont(f)
	if s == " " {
		return textGap, vg.Length(ours.CapHeight() + textGap), 0
	}
	return vg.Length(l.board.page.Width(s, ours)), vg.Length(ours.CapHeight() + textGap), 0
}

// Draw implements text.Handler. Text stands upright, whatever the style's rotation.
func (l letters) Draw(_ vg.Canvas, s string, sty text.Style, at vg.Point) {
	width, height, _ := l.Box(s, sty.Font)
	at.X += vg.Length(sty.XAlign) * width
	at.Y += vg.Length(sty.YAlign) * height
	l.board.write(s, sty.Font, sty.Color, at)
}

// plotFont and pageFont translate a font; axes have the regular weight only.
func plotFont(f style.Font) font.Font { return font.Font{Size: vg.Length(f.SizePt)} }

func pageFont(f font.Font) style.Font { return style.Font{SizePt: float64(f.Size)} }
