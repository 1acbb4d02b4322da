package drill

import (
	"fmt"
	"image/color"
)

const mapHighMM = 9 // of the page map

// footMM is the height of what stands below the window.
func (s *sheet) footMM(wideMM float64) float64 {
	return 2.5 + lineMM*float64(len(s.legend(wideMM-2*marginMM))) + 1.5 + rulerHighMM
}

func (s *sheet) legend(widthMM float64) []string {
	text := marksMean
	if s.leftOut > 0 {
		text += fmt.Sprintf(" %d labels without room are left out: see the table.", s.leftOut)
	}
	return s.ts.Wrap(text, markFont, widthMM*ptPerMM, 4)
}

// pagePen is a pen for pages: open shows a window of the sheet at a place of the page, and nothing beside it; after close
// all is shown again, with the sheet's origin where it was.
type pagePen interface {
	pen
	open(window box, at point)
	close()
}

// drawPage draws one page: its part of the sheet, and the words around.
func (s *sheet) drawPage(p pagePen, t tiling, page int) {
	window := t.place(page)
	s.drawHead(p, t, page)
	s.drawFoot(p, t, page)
	p.open(window, point{marginMM + gutterMM, t.headMM})
	s.draw(p, window)
	s.drawMatches(p, t, window)
	lowMM, highMM := window.left+1, window.right-1
	if page%t.cols > 0 {
		lowMM = window.left + overlapMM
	}
	if page%t.cols < t.cols-1 {
		highMM = window.right - overlapMM
	}
	s.nameKeepOuts(p, window, lowMM, highMM)
	p.close()
	p.rect(window, frameStroke)
	s.drawEdges(p, window)
}

// drawMatches draws the match marks of a page.
func (s *sheet) drawMatches(p pen, t tiling, window box) {
	for _, m := range t.matches() {
		c := m.at
		if !window.contains(box{c.x - 4, c.y - 4, c.x + 4, c.y + 4}) {
			continue
		}
		p.circle(c, 2, matchStroke)
		p.line(matchStroke, point{c.x - 3.5, c.y}, point{c.x + 3.5, c.y})
		p.line(matchStroke, point{c.x, c.y - 3.5}, point{c.x, c.y + 3.5})
		name := label{text: m.name, at: point{c.x + 2.2, c.y - 2.4}, font: tinyFont}
		if window.contains(s.boxOf(name)) {
			p.write(name)
		}
	}
}

// drawEdges names the rail's two long edges beside the window, with a tick at each.
func (s *sheet) drawEdges(p pen, window box) {
	front := label{text: "FRONT EDGE", at: point{window.left - gutterMM/2 - 0.6, 0}, font: markBold}
	back := label{text: "back edge", at: point{window.right + gutterMM/2 + 0.6, s.widthMM}, font: markFont}
	for _, l := range []label{front, back} {
		if l.at.y < window.top || l.at.y > window.bottom {
			continue
		}
		y, inner := l.at.y, window.left-0.3
		if l.at.x > window.right {
			inner = window.right + 0.3
		}
		outer := inner + (l.at.x-inner)*0.4
		p.line(railStroke, point{inner, y}, point{outer, y})
		l.anchor, l.up = 0.5, true
		p.write(l)
	}
}

// drawHead writes the lines above the window, in the page's own millimetres.
func (s *sheet) drawHead(p pen, t tiling, page int) {
	y := marginMM + 2.0
	for _, l := range s.headLines(t.wideMM - 2*marginMM) {
		l.at = point{marginMM, y}
		p.write(l)
		y += lineMM
	}
	p.write(label{text: fmt.Sprintf("page %d of %d", page+1, t.pages()), at: point{t.wideMM - marginMM, marginMM + 2}, anchor: 1, font: headFont})
}

// drawFoot draws the legend, the check ruler and the page map, in the page's own millimetres.
func (s *sheet) drawFoot(p pen, t tiling, page int) {
	y := t.highMM - marginMM - s.footMM(t.wideMM) + 2.5 + 1.5
	for _, line := range s.legend(t.wideMM - 2*marginMM) {
		p.write(label{text: line, at: point{marginMM, y}, font: markFont})
		y += lineMM
	}
	y = t.highMM - marginMM - rulerHighMM + 0.5
	s.drawRuler(p, point{marginMM + 2, y})
	left := float64(marginMM + 2 + rulerMM + 8)
	s.drawMap(p, t, page, box{left, y - 0.5, min(t.wideMM-marginMM, left+110), y - 0.5 + mapHighMM})
}

// drawMap draws which part of the sheet this page shows. The map is not to scale.
func (s *sheet) drawMap(p pen, t tiling, page int, b box) {
	x := func(mm float64) float64 {
		return b.left + (mm-t.sheet.left)/(t.sheet.right-t.sheet.left)*(b.right-b.left)
	}
	y := func(mm float64) float64 {
		return b.top + (mm-t.sheet.top)/(t.sheet.bottom-t.sheet.top)*(b.bottom-b.top)
	}
	here := t.cell(page)
	p.fill(box{x(here.left), y(here.top), x(here.right), y(here.bottom)}, color.NRGBA{R: 205, G: 215, B: 230, A: 255})
	for i := range t.pages() {
		c := t.cell(i)
		cell := box{x(c.left), y(c.top), x(c.right), y(c.bottom)}
		p.rect(cell, frameStroke)
		name := label{text: fmt.Sprint(i + 1), at: point{(cell.left + cell.right) / 2, (cell.top + cell.bottom) / 2}, anchor: 0.5, font: tinyFont}
		if i == page {
			name.font = markBold
		}
		if cell.contains(s.boxOf(name)) {
			p.write(name)
		}
	}
	p.rect(box{x(0), y(0), x(s.lengthMM), y(s.widthMM)}, leaderStroke)
	text := fmt.Sprintf("page map: this is page %d; lay marks of one letter on each other", page+1)
	if t.pages() == 1 {
		text = "page map: this is the only page"
	}
	if w := b.right - b.left; s.widthOf(text, markFont) > w {
		text = fmt.Sprintf("page map: this is page %d", page+1)
	}
	p.write(label{text: text, at: point{b.left, b.bottom + 2.3}, font: markFont})
}

// cell returns a page's part of the sheet up to the middle of its overlaps.
func (t tiling) cell(page int) box {
	b := t.place(page)
	if page%t.cols > 0 {
		b.left += overlapMM / 2
	}
	if b.right -= overlapMM / 2; page%t.cols == t.cols-1 {
		b.right = t.sheet.right
	}
	if row := page / t.cols; row > 0 {
		b.top += overlapMM / 2
	}
	if row := page / t.cols; row == t.rows-1 {
		b.bottom = t.sheet.bottom
	} else {
		b.bottom = t.rowTop(row+1) + overlapMM/2
	}
	return b
}
