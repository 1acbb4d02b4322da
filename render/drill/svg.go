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
	words := view.Right - view.Left - 4
	s.writeLines(p, s.headLines(words), pt(view.Left+2, view.Top+4))
	s.draw(p, s.paper)
	s.nameKeepOuts(p, s.paper, s.paper.Left+1, s.paper.Right-1)
	s.drawEdges(p, s.paper)
	legend := s.legend(words)
	s.writeLines(p, legend, pt(view.Left+2, s.paper.Bottom+3))
	s.drawRuler(p, pt(0, s.paper.Bottom+3+lineMM*float64(len(legend))))
}
