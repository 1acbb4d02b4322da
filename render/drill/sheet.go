package drill

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene/document"
	"fathomlux/scene/drilling"
)

const (
	endMM      = 8    // sheet beyond either end of the rail
	bandMM     = 8    // for match marks and the names of keep-outs, at the top and the bottom
	elbowMM    = 6.3  // from the face to a label: room for bent leaders
	labelGapMM = 2.9  // between neighbouring labels: capitals are 1.8 high
	shiftMM    = 3.4  // how far a label may stand beside its mark, so that both fit into the overlap of pages
	sameMM     = 0.05 // marks that are closer share a label
)

// sheet is the whole template in one piece, before it is cut into pages.
type sheet struct {
	template Template
	ts       *style.Typesetter

	lengthMM, widthMM float64 // of the rail
	face              box     // the rail with all that reaches over it across
	paper             box     // all of the sheet
	upper, lower      []pin   // labels of modules and of holes
	leftOut           int     // labels without room
}

// pin is a label that belongs to a place along the rail; labelMM is where it stands, fromMM where its leader begins
// across.
type pin struct {
	atMM, labelMM, fromMM float64
	text                  string
	font                  style.Font
}

func newSheet(template Template) (*sheet, error) {
	ts, err := style.NewTypesetter(1)
	if err != nil {
		return nil, err
	}
	r := template.Rail
	s := &sheet{template: template, ts: ts, lengthMM: r.LengthM * 1000, widthMM: r.WidthM * 1000}
	s.face = area(0, 0, s.lengthMM, s.widthMM)
	reach := func(middleMM, halfMM float64) {
		s.face.Top, s.face.Bottom = min(s.face.Top, middleMM-halfMM), max(s.face.Bottom, middleMM+halfMM)
	}
	var middles []pin
	for _, b := range r.Boards {
		reach(s.widthMM/2, b.WidthM*500)
	}
	for _, h := range r.Holes {
		reach(h.FromFrontM*1000, h.DiameterM*500)
	}
	for _, b := range r.Boards {
		middles = append(middles, pin{atMM: b.FromLeftM * 1000, fromMM: s.face.Top - 1.5, font: markBold,
			text: fmt.Sprintf("M%d: %s", b.Module, drilling.Millimetres(b.FromLeftM))})
	}
	s.upper, s.lower = s.pinned(middles), s.pinned(s.holeGroups())
	s.paper = area(-endMM, s.face.Top-elbowMM-s.longest(s.upper)-1-bandMM,
		s.lengthMM+endMM, s.face.Bottom+elbowMM+s.longest(s.lower)+1+bandMM)
	return s, nil
}

func (s *sheet) longest(pins []pin) (mostMM float64) {
	for _, p := range pins {
		mostMM = max(mostMM, s.widthOf(p.text, p.font))
	}
	return mostMM
}

// holeGroups are the labels of the holes; those at one distance from the left end share one, whose leader begins below
// the last of them.
func (s *sheet) holeGroups() (pins []pin) {
	list := s.template.Rail.Holes
	for i := 0; i < len(list); {
		from := list[i]
		p := pin{atMM: from.FromLeftM * 1000, fromMM: s.face.Top, font: markFont}
		var sizes []string
		for ; i < len(list) && (list[i].FromLeftM-from.FromLeftM)*1000 < sameMM; i++ {
			p.fromMM = max(p.fromMM, list[i].FromFrontM*1000+list[i].DiameterM*500+crossMM)
			if size := sizeText(list[i]); len(sizes) < 3 && !slices.Contains(sizes, size) {
				sizes = append(sizes, size)
			}
		}
		p.fromMM = min(p.fromMM, s.face.Bottom+1)
		p.text = drilling.Millimetres(from.FromLeftM) + " " + strings.Join(sizes, ", ")
		pins = append(pins, p)
	}
	return pins
}

// sizeText says how wide a hole is, and what it is for where that is not a screw's clearance.
func sizeText(h drilling.Place) string {
	size := "\u00f8" + strconv.FormatFloat(math.Round(h.DiameterM*1e5)/100, 'f', -1, 64)
	switch {
	case h.Kind == drilling.Wire:
		return "wire " + size
	case h.Kind == drilling.Hanger:
		return "hanger " + size
	case h.Hold == drilling.Tapped:
		return h.Thread + " " + size
	case h.Hold == drilling.SlotNut:
		return h.Thread + " nut"
	}
	return size
}

// pinned gives each label its place, within shiftMM of its mark; those that have none are left out and counted, the
// first of a crowd stay. They stand around their marks where all can, else as far left as they may be.
func (s *sheet) pinned(pins []pin) (kept []pin) {
	lastMM := math.Inf(-1)
	var wanted []float64
	for _, p := range pins {
		p.labelMM = max(p.atMM-shiftMM, lastMM+labelGapMM, labelGapMM/2)
		if p.labelMM <= min(p.atMM+shiftMM, s.lengthMM-labelGapMM/2) {
			lastMM = p.labelMM
			kept, wanted = append(kept, p), append(wanted, p.atMM)
		}
	}
	s.leftOut += len(pins) - len(kept)
	places := fig.Spread(wanted, labelGapMM, labelGapMM/2, s.lengthMM-labelGapMM/2)
	for i, placeMM := range places {
		if math.Abs(placeMM-wanted[i]) > shiftMM || placeMM < labelGapMM/2-1e-9 {
			return kept
		}
	}
	for i := range kept {
		kept[i].labelMM = places[i]
	}
	return kept
}

const (
	ptPerMM = 72 / 25.4 // exact: 1 in = 25.4 mm
	lineMM  = 4         // between lines of text
)

// label is a line of text. anchor says which place of it stands at the point: 0 its beginning, 1 its end; across it,
// the point is the middle of the capitals. Text that is up reads from bottom to top. The fonts are of true size, in
// points.
type label struct {
	text   string
	at     point
	anchor float64
	up     bool
	font   style.Font
	alarm  bool
}

// letters are the label as a surface takes it. Letters that our font lacks are left to that: viewers of the SVG may
// have them.
func (s *sheet) letters(l label) style.Letters {
	text := style.Letters{Text: document.Visible(l.text), At: l.at, Size: l.font.SizePt / ptPerMM,
		Bold: l.font.Bold, Up: l.up, Width: s.widthOf(l.text, l.font), Colour: black}
	if l.alarm {
		text.Colour = alarm
	}
	along, half := l.anchor*text.Width, l.font.CapHeight()/ptPerMM/2
	if l.up {
		text.At.X, text.At.Y = l.at.X+half, l.at.Y+along
	} else {
		text.At.X, text.At.Y = l.at.X-along, l.at.Y+half
	}
	return text
}

func (s *sheet) write(p style.Brush, l label) { p.Set(s.letters(l)) }

// writeLines writes lines of text below each other from a place on.
func (s *sheet) writeLines(p style.Brush, lines []label, at point) {
	for _, l := range lines {
		l.at = at
		s.write(p, l)
		at.Y += lineMM
	}
}

// boxOf returns where a label stands, with its descenders and what of g and p reaches below the base line.
func (s *sheet) boxOf(l label) box {
	t := s.letters(l)
	high, under := l.font.CapHeight()/ptPerMM, 0.22*t.Size
	if t.Up {
		return area(t.At.X-high, t.At.Y-t.Width, t.At.X+under, t.At.Y)
	}
	return area(t.At.X, t.At.Y-high, t.At.X+t.Width, t.At.Y+under)
}

// widthOf returns the width of a text in mm.
func (s *sheet) widthOf(text string, f style.Font) float64 {
	return s.ts.Width(document.Visible(text), f) / ptPerMM
}

func (s *sheet) shorten(text string, f style.Font, widthMM float64) string {
	text = document.Visible(text)
	if s.widthOf(text, f) <= widthMM {
		return text // as it is: letters that the font lacks may be shown by a viewer of the SVG
	}
	return s.ts.Shorten(text, f, widthMM*ptPerMM)
}

// wrap breaks a text into lines of a width, and so many at most.
func (s *sheet) wrap(text string, f style.Font, widthMM float64, most int) (lines []label) {
	for _, line := range s.ts.Wrap(document.Visible(text), f, widthMM*ptPerMM, most) {
		lines = append(lines, label{text: line, font: f})
	}
	return lines
}
