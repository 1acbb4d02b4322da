package drill

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

const (
	pageCountMM = 32 // kept at the right of the first line
	rulerMM     = 100
	rulerHighMM = 13 // with its words
	mapHighMM   = 9  // of the page map

	printAt100 = "Print at 100 % (actual size, not \"fit to page\"), then measure the ruler: do not drill unless " +
		"it is 100.0 mm long (3 15/16 in)."
	howItLies = "View: the face that carries the modules, facing up, with the left end on the left. " +
		"The front edge, towards the tank's front pane, is then on the far side: the top. Hold one module against " +
		"the template before you punch: its holes must lie on the crosses."
	marksMean = "How to read the labels: M, number and figure: centre of that module, mm from the left end. " +
		"Figure with \u00f8: a hole and its diameter, mm; with a thread such as M3 before it: drill to this diameter, then " +
		"tap; M3 nut: a slot nut, drill nothing. Double circle: wire hole. Hatched: keep-out. Dashed: slot."
)

// paged is a surface of pages: Open shows a window of the sheet at a place of the page, and nothing beside it, until
// Close; the sheet's origin stays where Open put it.
type paged interface {
	style.Surface
	Open(window box, at point)
	Close()
}

// drawPage draws one page: its part of the sheet, and the words around, on paper as it lies around that part.
func (s *sheet) drawPage(on paged, t tiling, page int) {
	window, paper, p := t.place(page), t.around(page), style.Brush{Surface: on}
	at := func(x, y float64) point { return pt(paper.Left+x, paper.Top+y) } // of the paper's upper left corner
	on.Open(paper, point{})
	s.writeLines(p, s.headLines(t.wideMM-2*marginMM), at(marginMM, marginMM+2))
	s.writeLines(p, s.legend(t.wideMM-2*marginMM), at(marginMM, t.highMM-marginMM-s.footMM(t.wideMM)+4))
	ruler := at(marginMM+2, t.highMM-marginMM-rulerHighMM+0.5)
	s.drawRuler(p, ruler)
	if t.paper.Name != "" {
		s.write(p, label{text: fmt.Sprintf("page %d of %d", page+1, t.pages()), at: at(t.wideMM-marginMM, marginMM+2),
			anchor: 1, font: headFont})
		left := ruler.X + rulerMM + 8
		s.drawMap(p, t, page, area(left, ruler.Y-0.5, min(paper.Right-marginMM, left+110), ruler.Y-0.5+mapHighMM))
		p.StrokeBox(window, frameStroke)
	}
	on.Open(window, pt(window.Left-paper.Left, window.Top-paper.Top))
	s.draw(on, window)
	s.drawMatches(p, t, window)
	lowMM, highMM := window.Left+1, window.Right-1
	col, _ := t.of(page)
	if col > 0 {
		lowMM = t.cols.seam(col, 0) + overlapMM/2 // beside the mark
	}
	if col < t.cols.n-1 {
		highMM = t.cols.seam(col+1, 0) - overlapMM/2
	}
	s.nameKeepOuts(p, window, lowMM, highMM)
	on.Close()
	s.drawEdges(p, window)
	on.Close()
}

func (s *sheet) headLines(widthMM float64) (lines []label) {
	t, r := s.template, s.template.Rail
	head := []string{t.heading(), fmt.Sprintf("%s, %s mm long, %s mm wide", r.Profile,
		drilling.Millimetres(r.LengthM), drilling.Millimetres(r.WidthM))}
	if whole := strings.Join(head, ", "); s.widthOf(whole, headFont) <= widthMM-pageCountMM {
		head = []string{whole}
	}
	for _, text := range head {
		lines = append(lines, label{font: headFont, text: s.shorten(text, headFont, widthMM-pageCountMM)})
	}
	under := slices.DeleteFunc([]string{t.Title, t.Call, strings.TrimSpace("fathomlux " + t.Version)},
		func(text string) bool { return text == "" })
	lines = append(lines, label{font: smallFont, text: s.shorten(strings.Join(under, " \u00b7 "), smallFont, widthMM)})
	lines = append(lines, s.wrap(printAt100, smallBold, widthMM, 3)...)
	lines = append(lines, s.wrap(howItLies, smallFont, widthMM, 4)...)
	if n := len(t.Warnings); n > 0 {
		text := "Warning: " + t.Warnings[0] + "."
		if n > 1 {
			text += fmt.Sprintf(" And %d more: see the list printed by the command.", n-1)
		}
		for _, l := range s.wrap(text, smallBold, widthMM, 2) {
			l.alarm = true
			lines = append(lines, l)
		}
	}
	return lines
}

// heading says whose template it is: by the rail's name, and by its number too where the embedded fonts lack some of
// it.
func (t Template) heading() string {
	name := t.Rail.Name
	if style.Unshown(name) != "" && t.Of > 1 {
		name = fmt.Sprintf("%d of %d (%s)", t.Number, t.Of, name)
	}
	return "Drill template: rail " + name
}

func (s *sheet) footMM(wideMM float64) float64 {
	return 2.5 + lineMM*float64(len(s.legend(wideMM-2*marginMM))) + 1.5 + rulerHighMM
}

func (s *sheet) legend(widthMM float64) []label {
	text := marksMean
	if s.leftOut > 0 {
		text += fmt.Sprintf(" %d labels without room are left out: see the table.", s.leftOut)
	}
	for _, c := range s.template.Cautions {
		text += " Caution: " + c + "."
	}
	return s.wrap(text, markFont, widthMM, 6)
}

// drawRuler draws the check ruler, its zero at the point given.
func (s *sheet) drawRuler(p style.Brush, zero point) {
	line(p, rulerStroke, zero, pt(zero.X+rulerMM, zero.Y))
	for i := 0; i <= rulerMM; i++ {
		x, long := zero.X+float64(i), 1.8
		for _, every := range []int{5, 10, rulerMM} {
			if i%every == 0 {
				long++
			}
		}
		line(p, rulerStroke, pt(x, zero.Y), pt(x, zero.Y+long))
		if i%10 == 0 {
			s.write(p, label{text: strconv.Itoa(i), at: pt(x, zero.Y+6.5), anchor: 0.5, font: markFont})
		}
	}
	s.write(p, label{text: "check ruler: 100.0 mm from end to end (3 15/16 in)", at: pt(zero.X+rulerMM/2, zero.Y+10.3),
		anchor: 0.5, font: smallBold})
}

func (s *sheet) drawMatches(p style.Brush, t tiling, window box) {
	for _, m := range t.matches() {
		if !window.Contains(m.at.Around(4)) {
			continue
		}
		cross(p, m.at, 2, 3.5, matchStroke, matchStroke)
		name := label{text: m.name, at: pt(m.at.X+2.2, m.at.Y-2.4), font: tinyFont}
		if window.Contains(s.boxOf(name)) {
			s.write(p, name)
		}
	}
}

// drawEdges names the rail's two long edges beside the window, with a tick at each.
func (s *sheet) drawEdges(p style.Brush, window box) {
	for i, l := range []label{{text: "FRONT EDGE", font: markBold}, {text: "back edge", font: markFont}} {
		y, inner, out := float64(i)*s.widthMM, []float64{window.Left - 0.3, window.Right + 0.3}[i], float64(2*i-1)
		if y >= window.Top && y <= window.Bottom {
			l.at, l.anchor, l.up = pt(inner+out*(gutterMM/2+0.3), y), 0.5, true
			line(p, railStroke, pt(inner, y), pt(inner+0.4*(l.at.X-inner), y))
			s.write(p, l)
		}
	}
}

// drawMap draws which part of the sheet this page shows. The map is not to scale.
func (s *sheet) drawMap(p style.Brush, t tiling, page int, b box) {
	onMap := func(of box) box {
		x, y := b.Width()/s.paper.Width(), b.Height()/s.paper.Height()
		return area(b.Left+(of.Left-s.paper.Left)*x, b.Top+(of.Top-s.paper.Top)*y,
			b.Left+(of.Right-s.paper.Left)*x, b.Top+(of.Bottom-s.paper.Top)*y)
	}
	p.FillBox(onMap(t.cell(page)), here)
	for i := range t.pages() {
		cell := onMap(t.cell(i))
		p.StrokeBox(cell, frameStroke)
		name := label{text: fmt.Sprint(i + 1), at: cell.Centre(), anchor: 0.5, font: tinyFont}
		if i == page {
			name.font = markBold
		}
		if cell.Contains(s.boxOf(name)) {
			s.write(p, name)
		}
	}
	p.StrokeBox(onMap(area(0, 0, s.lengthMM, s.widthMM)), leaderStroke)
	text := fmt.Sprintf("page map: this is page %d; place marks with the same letter over each other", page+1)
	if t.pages() == 1 {
		text = "page map: this is the only page"
	}
	text = s.shorten(text, markFont, b.Width())
	s.write(p, label{text: text, at: pt(b.Left, b.Bottom+2.3), font: markFont})
}
