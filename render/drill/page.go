package drill

import (
	"fmt"
	"image/color"

	"fathomlux/render/style"
)

const mapHighMM = 9 // of the page map

// footMM is the height of what stands below the window.
func (s *sheet) footMM(wideMM float64) float64 {
	return 2.5 + lineMM*float64(len(s.legend(wideMM-2*marginMM))) + 1.5 + rulerHighMM
}

func (s *sheet) legend(widthMM float64) (lines []label) {
	text := marksMean
	if s.leftOut > 0 {
		text += fmt.Sprintf(" %d labels without room are left out: see the table.", s.leftOut)
	}
	for _, c := range s.plan.Cautions {
		text += " Caution: " + c + "."
	}
	for _, line := range s.ts.Wrap(text, markFont, widthMM*ptPerMM, 6) {
		lines = append(lines, label{text: line, font: markFont})
	}
	return lines
}

// drawPage draws one page: its part of the sheet, and the words around.
func (s *sheet) drawPage(on paged, t tiling, page int) {
	window, p := t.place(page), style.Brush{Surface: on}
	s.drawHead(p, t, page)
	s.drawFoot(p, t, page)
	on.Open(window, pt(marginMM+gutterMM, t.headMM))
	s.draw(p, window)
	s.drawMatches(p, t, window)
	lowMM, highMM := window.Left+1, window.Right-1
	if page%t.cols > 0 {
		lowMM = window.Left + overlapMM
	}
	if page%t.cols < t.cols-1 {
		highMM = window.Right - overlapMM
	}
	s.nameKeepOuts(p, window, lowMM, highMM)
	on.Close()
	p.StrokeBox(window, frameStroke)
	s.drawEdges(p, window)
}

// drawMatches draws the match marks of a page.
func (s *sheet) drawMatches(p style.Brush, t tiling, window box) {
	for _, m := range t.matches() {
		c := m.at
		if !window.Contains(area(c.X-4, c.Y-4, c.X+4, c.Y+4)) {
			continue
		}
		p.Ring(c, 2, matchStroke)
		line(p, matchStroke, pt(c.X-3.5, c.Y), pt(c.X+3.5, c.Y))
		line(p, matchStroke, pt(c.X, c.Y-3.5), pt(c.X, c.Y+3.5))
		name := label{text: m.name, at: pt(c.X+2.2, c.Y-2.4), font: tinyFont}
		if window.Contains(s.boxOf(name)) {
			s.write(p, name)
		}
	}
}

// drawEdges names the rail's two long edges beside the window, with a tick at each.
func (s *sheet) drawEdges(p style.Brush, window box) {
	front := label{text: "FRONT EDGE", at: pt(window.Left-gutterMM/2-0.6, 0), font: markBold}
	back := label{text: "back edge", at: pt(window.Right+gutterMM/2+0.6, s.widthMM), font: markFont}
	for _, l := range []label{front, back} {
		if l.at.Y < window.Top || l.at.Y > window.Bottom {
			continue
		}
		y, inner := l.at.Y, window.Left-0.3
		if l.at.X > window.Right {
			inner = window.Right + 0.3
		}
		outer := inner + (l.at.X-inner)*0.4
		line(p, railStroke, pt(inner, y), pt(outer, y))
		l.anchor, l.up = 0.5, true
		s.write(p, l)
	}
}

// drawHead writes the lines above the window, in the page's own millimetres.
func (s *sheet) drawHead(p style.Brush, t tiling, page int) {
	s.writeLines(p, s.headLines(t.wideMM-2*marginMM), pt(marginMM, marginMM+2))
	s.write(p, label{text: fmt.Sprintf("page %d of %d", page+1, t.pages()), at: pt(t.wideMM-marginMM, marginMM+2),
		anchor: 1, font: headFont})
}

// drawFoot draws the legend, the check ruler and the page map, in the page's own millimetres.
func (s *sheet) drawFoot(p style.Brush, t tiling, page int) {
	y := t.highMM - marginMM - s.footMM(t.wideMM) + 2.5 + 1.5
	s.writeLines(p, s.legend(t.wideMM-2*marginMM), pt(marginMM, y))
	y = t.highMM - marginMM - rulerHighMM + 0.5
	s.drawRuler(p, pt(marginMM+2, y))
	left := float64(marginMM + 2 + rulerMM + 8)
	s.drawMap(p, t, page, area(left, y-0.5, min(t.wideMM-marginMM, left+110), y-0.5+mapHighMM))
}

// drawMap draws which part of the sheet this page shows. The map is not to scale.
func (s *sheet) drawMap(p style.Brush, t tiling, page int, b box) {
	x := func(mm float64) float64 {
		return b.Left + (mm-t.sheet.Left)/(t.sheet.Right-t.sheet.Left)*(b.Right-b.Left)
	}
	y := func(mm float64) float64 {
		return b.Top + (mm-t.sheet.Top)/(t.sheet.Bottom-t.sheet.Top)*(b.Bottom-b.Top)
	}
	here := t.cell(page)
	p.FillBox(area(x(here.Left), y(here.Top), x(here.Right), y(here.Bottom)), color.NRGBA{R: 205, G: 215, B: 230, A: 255})
	for i := range t.pages() {
		c := t.cell(i)
		cell := area(x(c.Left), y(c.Top), x(c.Right), y(c.Bottom))
		p.StrokeBox(cell, frameStroke)
		name := label{text: fmt.Sprint(i + 1), at: pt((cell.Left+cell.Right)/2, (cell.Top+cell.Bottom)/2), anchor: 0.5,
			font: tinyFont}
		if i == page {
			name.font = markBold
		}
		if cell.Contains(s.boxOf(name)) {
			s.write(p, name)
		}
	}
	p.StrokeBox(area(x(0), y(0), x(s.lengthMM), y(s.widthMM)), leaderStroke)
	text := fmt.Sprintf("page map: this is page %d; lay marks of one letter on each other", page+1)
	if t.pages() == 1 {
		text = "page map: this is the only page"
	}
	if w := b.Right - b.Left; s.widthOf(text, markFont) > w {
		text = fmt.Sprintf("page map: this is page %d", page+1)
	}
	s.write(p, label{text: text, at: pt(b.Left, b.Bottom+2.3), font: markFont})
}

// cell returns a page's part of the sheet up to the middle of its overlaps.
func (t tiling) cell(page int) box {
	b := t.place(page)
	if page%t.cols > 0 {
		b.Left += overlapMM / 2
	}
	if b.Right -= overlapMM / 2; page%t.cols == t.cols-1 {
		b.Right = t.sheet.Right
	}
	if row := page / t.cols; row > 0 {
		b.Top += overlapMM / 2
	}
	if row := page / t.cols; row == t.rows-1 {
		b.Bottom = t.sheet.Bottom
	} else {
		b.Bottom = t.rowTop(row+1) + overlapMM/2
	}
	return b
}
