package drill

import (
	"image/color"

	"fathomlux/render/style"
)

// Lengths of all that is drawn on are millimetres, widths of pens too.
type (
	point = style.Point
	box   = style.Box
)

func pt(x, y float64) point { return point{X: x, Y: y} }

func area(left, top, right, bottom float64) box {
	return box{Left: left, Top: top, Right: right, Bottom: bottom}
}

// The strokes. The three first have widths of their own, so that a check of the written file can tell them apart.
var (
	punchStroke  = style.Pen{Width: 0.13, Colour: black}
	matchStroke  = style.Pen{Width: 0.17, Colour: black}
	rulerStroke  = style.Pen{Width: 0.21, Colour: black}
	holeStroke   = style.Pen{Width: 0.25, Colour: black}
	railStroke   = style.Pen{Width: 0.35, Colour: black}
	boardStroke  = style.Pen{Width: 0.15, Colour: blue}
	middleStroke = style.Pen{Width: 0.15, Colour: blue, Dash: []float64{5, 1.2, 0.8, 1.2}}
	slotStroke   = style.Pen{Width: 0.2, Colour: grey, Dash: []float64{2, 1.5}}
	hatchStroke  = style.Pen{Width: 0.12, Colour: grey}
	leaderStroke = style.Pen{Width: 0.1, Colour: grey}
	frameStroke  = style.Pen{Width: 0.1, Colour: pale}
)

var (
	black = color.NRGBA{A: 255}
	blue  = color.NRGBA{R: 30, G: 70, B: 140, A: 255}
	grey  = color.NRGBA{R: 110, G: 110, B: 110, A: 255}
	pale  = color.NRGBA{R: 170, G: 170, B: 170, A: 255}
	alarm = color.NRGBA{R: 160, G: 20, B: 20, A: 255}
)

// The fonts, at true size in points.
var (
	headFont  = style.Font{SizePt: 11, Bold: true}
	smallFont = style.Font{SizePt: 8}
	smallBold = style.Font{SizePt: 8, Bold: true}
	markFont  = style.Font{SizePt: 7}
	markBold  = style.Font{SizePt: 7, Bold: true}
	tinyFont  = style.Font{SizePt: 6}
)

// label is a line of text. anchor says which place of it stands at the point: 0 its beginning, 1 its end; across it,
// the point is the middle of the capitals. Text that is up reads from bottom to top.
type label struct {
	text   string
	at     point
	anchor float64
	up     bool
	font   style.Font
	colour color.NRGBA // zero: black
}

func line(p style.Brush, pen style.Pen, points ...point) { p.Polyline(points, pen) }

// write writes a label. Letters that our font lacks are left to the surface: viewers of the SVG may have them.
func (s *sheet) write(p style.Brush, l label) {
	text, box := plain(l.text), s.boxOf(l)
	l.colour.A = 255
	letters := style.Letters{Text: text, At: point{X: box.Left, Y: box.Top}, Size: l.font.SizePt / ptPerMM,
		Width: s.widthOf(text, l.font),
		Bold:  l.font.Bold, Up: l.up, Colour: l.colour}
	if high := l.font.CapHeight() / ptPerMM; l.up {
		letters.At.X, letters.At.Y = box.Left+high, box.Bottom
	} else {
		letters.At.Y += high
	}
	p.Set(letters)
}

// writeLines writes lines of text below each other from a place on.
func (s *sheet) writeLines(p style.Brush, lines []label, at point) {
	for _, l := range lines {
		l.at = at
		s.write(p, l)
		at.Y += lineMM
	}
}

// boxOf returns where a label stands.
func (s *sheet) boxOf(l label) box {
	w, half := s.widthOf(l.text, l.font), l.font.CapHeight()/ptPerMM/2
	under := 0.22 * l.font.SizePt / ptPerMM // descenders, and what of g and p reaches below the base line
	if l.up {
		bottom := l.at.Y + l.anchor*w
		return area(l.at.X-half, bottom-w, l.at.X+half+under, bottom)
	}
	left := l.at.X - l.anchor*w
	return area(left, l.at.Y-half, left+w, l.at.Y+half+under)
}

// widthOf returns the width of a text in mm, without kerning: PDF text has none.
func (s *sheet) widthOf(text string, f style.Font) float64 {
	var pt float64
	for _, r := range s.ts.Clean(plain(text), f) {
		if r == ' ' {
			pt += s.ts.Width("x x", f) - 2*s.ts.Width("x", f)
			continue
		}
		pt += s.ts.Width(string(r), f)
	}
	return pt / ptPerMM
}

func (s *sheet) shorten(text string, f style.Font, widthMM float64) string {
	text = plain(text)
	if s.widthOf(text, f) <= widthMM {
		return text // as it is: letters that the font lacks may be shown by a viewer of the SVG
	}
	return s.ts.Shorten(text, f, widthMM*ptPerMM)
}
