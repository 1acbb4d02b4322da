// Package drill draws the template by which a rail is drilled, at true size: a PDF of A4 or Letter pages that are
// laid over each other at marked seams, and one SVG in one piece.
//
// Lengths here are millimetres. On the sheet the origin is the rail's left front corner, x runs to the right and y
// towards the back, which is down: the face that carries the modules, turned up, left end left. Each page has a ruler
// of 100 mm, because printers shrink. It takes places from scene/drilling and decides none. Next: package
// scene/drilling for what is drawn, sheet.go for where, pdf.go and svg.go for how.
package drill

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

// Plan is what a template shows: the places, and the words around them.
type Plan struct {
	Rail          drilling.Layout
	Number, Of    int      // of the rail among the scene's, from 1: told where its name cannot be shown
	Title         string   // of the scene
	Call, Version string   // of the program
	Cautions      []string // printed on every page
}

// Paper is a size of paper, millimetres.
type Paper struct {
	Name            string
	ShortMM, LongMM float64
}

// The papers. A4: ISO 216. Letter: ANSI/ASME Y14.1, 8.5 in by 11 in.
var (
	a4     = Paper{Name: "A4", ShortMM: 210, LongMM: 297}
	letter = Paper{Name: "Letter", ShortMM: 215.9, LongMM: 279.4}
)

// PaperNamed returns the paper of a name in any case; the error says which there are.
func PaperNamed(name string) (Paper, error) {
	for _, p := range []Paper{a4, letter} {
		if strings.EqualFold(name, p.Name) {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf("%.40q is neither a4 nor letter", name)
}

// MaxPages is the most pages that one template may have.
const MaxPages = 400

const (
	ptPerMM    = 72 / 25.4 // exact: 1 in = 25.4 mm
	printAt100 = "Print at 100 % (actual size, not \"fit to page\"), then measure the ruler: do not drill unless " +
		"it is 100.0 mm long (3 15/16 in)."
	howItLies = "Seen: the face that carries the modules, turned up, left end left. The front edge, towards the " +
		"tank's front pane, is then on the far side: the top."
	holdBoard = "Hold one module against the template before you punch: its holes must lie on the circles."
	marksMean = "How to read the labels: M, number and figure: the middle of that module, mm from the left end. " +
		"Figure with \u00f8 and a width: a screw hole and how wide it is, mm. Double circle: wire hole. Hatched: " +
		"keep-out. Dashed: slot."
)

// SVG writes the template in one piece; one unit of it is one millimetre, its origin the rail's left front corner.
func SVG(w io.Writer, plan Plan) error {
	s, err := newSheet(plan)
	if err != nil {
		return err
	}
	_, err = w.Write(s.svg())
	return err
}

// PDF writes the template on pages of paper that overlap by 10 mm. It fails where more than MaxPages are needed. The
// same plan gives the same bytes.
func PDF(w io.Writer, plan Plan, paper Paper) error {
	s, err := newSheet(plan)
	if err != nil {
		return err
	}
	t, err := s.tile(paper)
	if err != nil {
		return err
	}
	data, err := s.pdf(t)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

// plain returns s as one line that is text and nothing else: no control characters, none that turn the direction of
// what follows, none that XML forbids.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Bidi_Control, r):
			return -1
		case unicode.IsControl(r) || r == '\u2028' || r == '\u2029':
			return ' '
		case r == utf8.RuneError || r == '\ufffe' || r == '\uffff':
			return '\ufffd'
		}
		return r
	}, s)
}

// headLines are the lines above the drawing, broken to a width.
func (s *sheet) headLines(widthMM float64) []label {
	r := s.plan.Rail
	var lines []label
	head := []string{s.plan.heading(), fmt.Sprintf("%s, %s mm long, %s mm wide", r.Profile,
		drilling.Millimetres(r.LengthM), drilling.Millimetres(r.WidthM))}
	if whole := strings.Join(head, ", "); s.widthOf(whole, headFont) <= widthMM-pageCountMM {
		head = []string{whole}
	}
	for _, text := range head {
		lines = append(lines, label{font: headFont, text: s.shorten(text, headFont, widthMM-pageCountMM)})
	}
	add := func(text string, f style.Font, most int) {
		for _, line := range s.ts.Wrap(plain(text), f, widthMM*ptPerMM, most) {
			lines = append(lines, label{text: line, font: f})
		}
	}
	under := strings.Join(slices.DeleteFunc([]string{s.plan.Title, s.plan.Call,
		strings.TrimSpace("fathomlux " + s.plan.Version)}, func(text string) bool { return text == "" }), " \u00b7 ")
	lines = append(lines, label{font: smallFont, text: s.shorten(under, smallFont, widthMM)})
	add(printAt100, smallBold, 3)
	add(howItLies+" "+holdBoard, smallFont, 4)
	if n := len(r.Warnings); n > 0 {
		text := "Warning: " + r.Warnings[0] + "."
		if n > 1 {
			text += fmt.Sprintf(" And %d more: see the list that the command printed.", n-1)
		}
		from := len(lines)
		add(text, smallBold, 2)
		for i := from; i < len(lines); i++ {
			lines[i].colour = alarm
		}
	}
	return lines
}

// heading says whose template it is: by the rail's name, and by its number too where the embedded fonts lack some of
// it.
func (p Plan) heading() string {
	name := p.Rail.Name
	if style.Unshown(name) != "" && p.Of > 1 {
		name = fmt.Sprintf("%d of %d (%s)", p.Number, p.Of, name)
	}
	return "Drill template: rail " + name
}
