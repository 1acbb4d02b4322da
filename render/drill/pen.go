package drill

import (
	"image/color"

	"fathomlux/render/style"
)

type point struct{ x, y float64 }

// box is a rectangle; y runs down.
type box struct{ left, top, right, bottom float64 }

func (b box) contains(a box) bool {
	return a.left >= b.left && a.right <= b.right && a.top >= b.top && a.bottom <= b.bottom
}

func (b box) meets(a box) bool {
	return a.left < b.right && a.right > b.left && a.top < b.bottom && a.bottom > b.top
}

func (b box) clipped(a box) box {
	return box{max(a.left, b.left), max(a.top, b.top), min(a.right, b.right), min(a.bottom, b.bottom)}
}

// stroke is how a line is drawn; widths and dashes in mm.
type stroke struct {
	widthMM float64
	colour  color.NRGBA
	dashMM  []float64
}

// The strokes. The three first have widths of their own, so that a check of the written file can tell them apart.
var (
	punchStroke  = stroke{widthMM: 0.13, colour: black}
	matchStroke  = stroke{widthMM: 0.17, colour: black}
	rulerStroke  = stroke{widthMM: 0.21, colour: black}
	holeStroke   = stroke{widthMM: 0.25, colour: black}
	railStroke   = stroke{widthMM: 0.35, colour: black}
	boardStroke  = stroke{widthMM: 0.15, colour: blue}
	middleStroke = stroke{widthMM: 0.15, colour: blue, dashMM: []float64{5, 1.2, 0.8, 1.2}}
	slotStroke   = stroke{widthMM: 0.2, colour: grey, dashMM: []float64{2, 1.5}}
	hatchStroke  = stroke{widthMM: 0.12, colour: grey}
	leaderStroke = stroke{widthMM: 0.1, colour: grey}
	frameStroke  = stroke{widthMM: 0.1, colour: pale}
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

// label is a line of text. anchor says which place of it stands at the point: 0 its beginning, 1 its end; across it, the
// point is the middle of the capitals. Text that is up reads from bottom to top.
type label struct {
	text   string
	at     point
	anchor float64
	up     bool
	font   style.Font
	colour color.NRGBA // zero: black
}

// pen is what drawings are made with.
type pen interface {
	line(s stroke, points ...point)
	rect(b box, s stroke)
	fill(b box, c color.NRGBA)
	circle(c point, radius float64, s stroke)
	write(l label)
}

// boxOf returns where a label stands.
func (s *sheet) boxOf(l label) box {
	w, half := s.widthOf(l.text, l.font), capShare*l.font.SizePt/ptPerMM/2
	under := 0.22 * l.font.SizePt / ptPerMM // descenders, and what of g and p reaches below the base line
	if l.up {
		bottom := l.at.y + l.anchor*w
		return box{l.at.x - half, bottom - w, l.at.x + half + under, bottom}
	}
	left := l.at.x - l.anchor*w
	return box{left, l.at.y - half, left + w, l.at.y + half + under}
}

func (s *sheet) widthOf(text string, f style.Font) float64 { return textWidth(s.ts, text, f) }

// textWidth returns the width of a text in mm, without kerning: PDF text has none.
func textWidth(ts *style.Typesetter, text string, f style.Font) float64 {
	var pt float64
	for _, r := range ts.Clean(plain(text), f) {
		if r == ' ' {
			pt += ts.Width("x x", f) - 2*ts.Width("x", f)
			continue
		}
		pt += ts.Width(string(r), f)
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
