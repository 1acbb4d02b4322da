package drill

import (
	"fmt"
	"math"
)

const (
	marginMM    = 10 // of the paper, where printers do not reach
	gutterMM    = 5  // beside the window, for the names of the edges
	overlapMM   = 10 // of neighbouring pages
	lineMM      = 4  // between lines of text
	pageCountMM = 32 // kept at the right of the first line
)

// tiling says how the sheet is cut into pages.
type tiling struct {
	paper          Paper
	wideMM, highMM float64 // of the paper as it lies
	headMM         float64 // from the paper's top to the window
	window         point   // size of the window
	cols, rows     int
	sheet          box
}

// tile chooses how the paper lies: the way that needs fewer pages, and on its long side where both need the same.
func (s *sheet) tile(paper Paper) (tiling, error) {
	best := s.tiled(paper, paper.LongMM, paper.ShortMM)
	if upright := s.tiled(paper, paper.ShortMM, paper.LongMM); upright.pages() < best.pages() {
		best = upright
	}
	if best.pages() > MaxPages {
		return best, fmt.Errorf("rail %.60q needs %d pages of %s; at most %d serve, the svg is in one piece",
			s.plan.Rail.Name, best.pages(), paper.Name, MaxPages)
	}
	return best, nil
}

func (s *sheet) tiled(paper Paper, wideMM, highMM float64) tiling {
	t := tiling{paper: paper, wideMM: wideMM, highMM: highMM, sheet: s.paper}
	t.headMM = marginMM + lineMM*float64(len(s.headLines(wideMM-2*marginMM))) + 1.5
	roomMM := highMM - t.headMM - s.footMM(wideMM) - marginMM
	t.window = pt(wideMM-2*marginMM-2*gutterMM, min(roomMM, s.paper.Bottom-s.paper.Top))
	t.cols = pieces(s.paper.Right-s.paper.Left, t.window.X)
	t.rows = pieces(s.paper.Bottom-s.paper.Top, t.window.Y)
	return t
}

// pieces returns how many windows that overlap cover a length.
func pieces(lengthMM, windowMM float64) int {
	return max(1, int(math.Ceil((lengthMM-overlapMM)/(windowMM-overlapMM)-1e-9)))
}

func (t tiling) pages() int { return t.cols * t.rows }

// place returns which part of the sheet a page shows; pages run from left to right, then from front to back.
func (t tiling) place(page int) box {
	left := t.sheet.Left + float64(page%t.cols)*(t.window.X-overlapMM)
	top := t.rowTop(page / t.cols)
	return area(left, top, left+t.window.X, top+t.window.Y)
}

// rowTop returns where a row begins. The last ends with the sheet, so that its labels are whole.
func (t tiling) rowTop(row int) float64 {
	if row == 0 {
		return t.sheet.Top
	}
	return min(t.sheet.Top+float64(row)*(t.window.Y-overlapMM), t.sheet.Bottom-t.window.Y)
}

// match is a mark that two or more neighbouring pages show; laid on each other they make the template whole.
type match struct {
	at   point
	name string
}

// matches returns all marks: in the middle of each overlap, at the sheet's top and bottom and where overlaps cross.
func (t tiling) matches() []match {
	var list []match
	var ys []match
	for r := 1; r < t.rows; r++ {
		ys = append(ys, match{pt(0, t.rowTop(r)+overlapMM/2), fmt.Sprint(r)})
	}
	for c := 1; c < t.cols; c++ {
		x := t.sheet.Left + float64(c)*(t.window.X-overlapMM) + overlapMM/2
		list = append(list, match{pt(x, t.sheet.Top+bandMM/2), letters(c)})
		for _, y := range ys {
			list = append(list, match{pt(x, y.at.Y), letters(c) + y.name})
		}
		list = append(list, match{pt(x, t.sheet.Bottom-bandMM/2), letters(c)})
	}
	for _, y := range ys {
		list = append(list, match{pt(t.sheet.Left+endMM/2, y.at.Y), y.name}, match{pt(t.sheet.Right-endMM/2, y.at.Y), y.name})
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
