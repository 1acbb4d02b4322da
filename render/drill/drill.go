// Package drill draws the full-size template by which a rail is drilled: a PDF of A4 or Letter pages that are
// laid over each other at marked seams, and one SVG in one piece.
//
// Lengths here are millimetres, widths of pens too. On the sheet the origin is the rail's left front corner, x runs to
// the right and y towards the back, which is down: the face that carries the modules, turned up, left end left. Each
// page has a ruler of 100 mm, because printers shrink. It takes places from scene/drilling and decides none. Next:
// sheet.go for what stands where, draw.go for the sheet, page.go for the paper around it.
package drill

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"math"
	"strings"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

// Template is what is drawn: the places, and the words around them.
type Template struct {
	Rail          drilling.Layout
	Number, Of    int      // of the rail among the scene's, from 1: told where its name cannot be shown
	Title         string   // of the scene
	Call, Version string   // of the program
	Warnings      []string // of the rail: the first is printed on every page, and how many others there are
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
	marginMM   = 10  // of the paper, where printers do not reach
	gutterMM   = 5   // beside the window, for the names of the edges
	overlapMM  = 10  // of neighbouring pages
	leastSVGMM = 150 // for the ruler and a readable head
)

// Draw returns the template on pages of paper that overlap by 10 mm, and in one piece; one unit of that is one
// millimetre, its origin the rail's left front corner. It fails where more than MaxPages are needed. The same template
// gives the same bytes.
func Draw(template Template, paper Paper) (pdf, svg []byte, err error) {
	s, err := newSheet(template)
	if err != nil {
		return nil, nil, err
	}
	t := s.laid(paper)
	if t.pages() > MaxPages {
		return nil, nil, fmt.Errorf("rail %.60q needs %d pages of %s; at most %d are allowed", template.Rail.Name, t.pages(),
			paper.Name, MaxPages)
	}
	if pdf, err = s.pdf(t); err != nil {
		return nil, nil, err
	}
	return pdf, s.svg(), nil
}

func (s *sheet) svg() []byte {
	whole := s.onePiece()
	v := style.NewVector(whole.around(0), "mm", 1)
	style.Brush{Surface: v}.FillBox(whole.around(0), color.NRGBA{R: 255, G: 255, B: 255, A: 255})
	s.drawPage(unclipped{v}, whole, 0)
	return v.Document(s.template.heading(), "")
}

type unclipped struct{ style.Surface }

func (unclipped) Open(box, point) {}
func (unclipped) Close()          {}

func (s *sheet) pdf(t tiling) ([]byte, error) {
	d := style.NewDocument(s.ts, t.wideMM, t.highMM, 1, style.Meta{
		Title:    s.ts.Clean(s.template.heading(), headFont),
		Software: s.ts.Clean("fathomlux "+s.template.Version, headFont),
	})
	for page := range t.pages() {
		d.AddPage()
		s.drawPage(d, t, page)
	}
	data, err := d.Bytes()
	if err != nil {
		return nil, err
	}
	return neverScaled(data)
}

// neverScaled asks viewers not to scale the pages when they print: it puts /PrintScaling /None into the catalog,
// which is the last object before the table of references. Source: ISO 32000-1, 12.2, viewer preferences.
func neverScaled(pdf []byte) ([]byte, error) {
	const catalog, wish, table = "/Type /Catalog\n", "/ViewerPreferences << /PrintScaling /None >>\n", "startxref\n"
	at, end, xref := bytes.LastIndex(pdf, []byte(catalog))+len(catalog), bytes.LastIndex(pdf, []byte(table)), 0
	if end > at {
		_, _ = fmt.Sscan(string(pdf[end+len(table):]), &xref)
	}
	if at < len(catalog) || xref < at || bytes.Count(pdf[at:xref], []byte(" obj\n")) > 0 {
		return nil, errors.New("pdf: the catalog is not the last object")
	}
	out := fmt.Appendf(nil, "%s%s%s%s%d\n%%%%EOF\n", pdf[:at], wish, pdf[at:end], table, xref+len(wish))
	copy(out, "%PDF-1.7")
	return out, nil
}

// tiling says how the sheet is cut into pages.
type tiling struct {
	paper          Paper   // without a name where the sheet is in one piece
	wideMM, highMM float64 // of the paper as it lies
	headMM         float64 // from the paper's top to the window
	cols, rows     strip
}

// strip is one direction of a tiling: n windows over a length of the sheet, as few as serve, which overlap by overlapMM
// at least, all by the same. The last one ends with the sheet, so that its labels are whole.
type strip struct {
	fromMM, toMM, windowMM float64
	n                      int
}

func newStrip(fromMM, toMM, windowMM float64) strip {
	n := math.Ceil((toMM-fromMM-overlapMM)/(windowMM-overlapMM) - 1e-9)
	return strip{fromMM, toMM, windowMM, max(1, int(n))}
}

func (s strip) at(i int) float64 {
	return s.fromMM + float64(i)*max(0, s.toMM-s.windowMM-s.fromMM)/float64(max(1, s.n-1))
}

// seam returns the middle of the overlap before a window, and the ends of the sheet, drawn in, before the first one
// and after the last.
func (s strip) seam(i int, inMM float64) float64 {
	switch i {
	case 0:
		return s.fromMM + inMM
	case s.n:
		return s.toMM - inMM
	}
	return (s.at(i-1) + s.windowMM + s.at(i)) / 2
}

// cut lays the sheet on paper that lies in one way.
func (s *sheet) cut(paper Paper, wideMM, highMM float64) tiling {
	t := tiling{paper: paper, wideMM: wideMM, highMM: highMM}
	t.headMM = marginMM + lineMM*float64(len(s.headLines(wideMM-2*marginMM))) + 1.5
	roomMM := highMM - t.headMM - s.footMM(wideMM) - marginMM
	t.cols = newStrip(s.paper.Left, s.paper.Right, wideMM-2*marginMM-2*gutterMM)
	t.rows = newStrip(s.paper.Top, s.paper.Bottom, min(roomMM, s.paper.Height()))
	return t
}

// laid lays the sheet on paper in the way that needs fewer pages, and on its long side where both need the same.
func (s *sheet) laid(paper Paper) tiling {
	long, upright := s.cut(paper, paper.LongMM, paper.ShortMM), s.cut(paper, paper.ShortMM, paper.LongMM)
	if upright.pages() < long.pages() {
		return upright
	}
	return long
}

// onePiece lays the sheet on paper that is large enough.
func (s *sheet) onePiece() tiling {
	wideMM := max(s.paper.Width()+2*marginMM+2*gutterMM, leastSVGMM)
	headMM := s.cut(Paper{}, wideMM, 0).headMM
	return s.cut(Paper{}, wideMM, headMM+s.paper.Height()+s.footMM(wideMM)+marginMM)
}

func (t tiling) pages() int { return t.cols.n * t.rows.n }

// of returns column and row of a page; pages run from left to right, then from front to back.
func (t tiling) of(page int) (col, row int) { return page % t.cols.n, page / t.cols.n }

// place returns which part of the sheet a page shows.
func (t tiling) place(page int) box {
	col, row := t.of(page)
	left, top := t.cols.at(col), t.rows.at(row)
	return area(left, top, left+t.cols.windowMM, top+t.rows.windowMM)
}

// cell returns a page's part of the sheet up to the middle of its overlaps.
func (t tiling) cell(page int) box {
	col, row := t.of(page)
	return area(t.cols.seam(col, 0), t.rows.seam(row, 0), t.cols.seam(col+1, 0), t.rows.seam(row+1, 0))
}

// around returns a page's paper, as if it lay on the sheet.
func (t tiling) around(page int) box {
	window := t.place(page)
	left, top := window.Left-marginMM-gutterMM, window.Top-t.headMM
	return area(left, top, left+t.wideMM, top+t.highMM)
}

// match is a mark that two or more neighbouring pages show; laid on each other they make the template whole.
type match struct {
	at   point
	name string
}

// matches returns all marks: in the middle of each overlap, at the sheet's edges and where overlaps cross.
func (t tiling) matches() (list []match) {
	for c := range t.cols.n + 1 {
		for r := range t.rows.n + 1 {
			name := ""
			if c > 0 && c < t.cols.n {
				name = letters(c)
			}
			if r > 0 && r < t.rows.n {
				name += fmt.Sprint(r)
			}
			if name != "" {
				list = append(list, match{pt(t.cols.seam(c, endMM/2), t.rows.seam(r, bandMM/2)), name})
			}
		}
	}
	return list
}

// letters counts A to Z, AA to AZ, BA and so on.
func letters(n int) string {
	if n <= 26 {
		return string(rune('A' + n - 1))
	}
	return letters((n-1)/26) + letters((n-1)%26+1)
}
