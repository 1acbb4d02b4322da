package drill

import (
	"image/color"

	"fathomlux/render/style"
)

const leastSVGMM = 132 // for the ruler and a readable head

// svg returns the whole sheet, with a head above it and the ruler below.
func (s *sheet) svg() []byte {
	view := s.view()
	v := style.NewVector(view, "mm", 1)
	s.drawOnePiece(style.Brush{Surface: v}, view)
	return v.Document(plain(s.plan.heading()), "")
}

// view is all that the one piece shows: the sheet, the names of the edges beside it, words above and the ruler below.
func (s *sheet) view() box {
	b := box{Left: s.paper.Left - gutterMM}
	b.Right = max(s.paper.Right+gutterMM, b.Left+leastSVGMM)
	words := b.Right - b.Left - 4
	b.Top = s.paper.Top - lineMM*float64(len(s.headLines(words))) - 4
	b.Bottom = s.paper.Bottom + lineMM*float64(len(s.legend(words))) + rulerHighMM + 6
	return b
}

// drawOnePiece draws the sheet with all that is around it.
func (s *sheet) drawOnePiece(p style.Brush, view box) {
	p.FillBox(view, color.NRGBA{R: 255, G: 255, B: 255, A: 255})
	words, y := view.Right-view.Left-4, view.Top+4
	for _, l := range s.headLines(words) {
		l.at = pt(view.Left+2, y)
		s.write(p, l)
		y += lineMM
	}
	s.draw(p, s.paper)
	s.nameKeepOuts(p, s.paper, s.paper.Left+1, s.paper.Right-1)
	s.drawEdges(p, s.paper)
	y = s.paper.Bottom + 3
	for _, line := range s.legend(words) {
		s.write(p, label{text: line, at: pt(view.Left+2, y), font: markFont})
		y += lineMM
	}
	s.drawRuler(p, pt(0, y))
}
