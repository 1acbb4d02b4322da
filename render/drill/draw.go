package drill

import (
	"fmt"

	"fathomlux/scene/drilling"
)

const (
	crossMM = 2.5 // of the punch cross beyond the circle
	hatchMM = 3   // between lines of a hatch
)

// draw draws what of the sheet lies in a window. Labels that do not lie in it whole are left to the next page.
func (s *sheet) draw(p pen, window box) {
	s.drawKeepOuts(p, window)
	for _, slot := range s.plan.Rail.Slots {
		for _, y := range []float64{slot.FromFrontM*1000 - slot.WidthM*500, slot.FromFrontM*1000 + slot.WidthM*500} {
			p.line(slotStroke, point{0, y}, point{s.lengthMM, y})
		}
	}
	s.drawBoards(p, window)
	p.rect(box{0, 0, s.lengthMM, s.widthMM}, railStroke)
	for _, h := range s.plan.Rail.Holes {
		s.drawHole(p, h, window)
	}
	s.drawPins(p, window)
	s.drawEnds(p, window)
}

// drawKeepOuts hatches the keep-outs.
func (s *sheet) drawKeepOuts(p pen, window box) {
	for _, k := range s.plan.Rail.KeepOuts {
		b := box{k.FromM * 1000, 0, k.ToM * 1000, s.widthMM}
		if !b.meets(window) {
			continue
		}
		p.rect(b, hatchStroke)
		seen := b.clipped(box{window.left - s.widthMM, b.top, window.right + s.widthMM, b.bottom})
		first := int((seen.left-s.widthMM)/hatchMM) - 1
		for i := first; float64(i)*hatchMM < seen.right; i++ { // lines x - y = constant, the same on all pages
			x := float64(i) * hatchMM
			fromX, toX := max(seen.left, x), min(seen.right, x+s.widthMM)
			if toX > fromX {
				p.line(hatchStroke, point{fromX, fromX - x}, point{toX, toX - x})
			}
		}
	}
}

func (s *sheet) drawBoards(p pen, window box) {
	for _, b := range s.plan.Rail.Boards {
		x, half, y := b.FromLeftM*1000, b.LengthM*500, s.widthMM/2
		if outline := (box{x - half, y - b.WidthM*500, x + half, y + b.WidthM*500}); outline.meets(window) {
			p.rect(outline, boardStroke)
		}
		if x > window.left-1 && x < window.right+1 {
			p.line(middleStroke, point{x, s.face.top - 1.5}, point{x, s.face.bottom + 1.5})
		}
	}
}

// drawHole draws a hole's circle, a second one where it is for wires, and its punch cross.
func (s *sheet) drawHole(p pen, h drilling.Hole, window box) {
	c, r := point{h.FromLeftM * 1000, h.FromFrontM * 1000}, h.DiameterM*500
	arm := r + crossMM
	if !(box{c.x - arm, c.y - arm, c.x + arm, c.y + arm}).meets(window) {
		return
	}
	p.circle(c, r, holeStroke)
	if h.Kind == drilling.Wire && r > 1 {
		p.circle(c, r-0.6, boardStroke)
	}
	p.line(punchStroke, point{c.x - arm, c.y}, point{c.x + arm, c.y})
	p.line(punchStroke, point{c.x, c.y - arm}, point{c.x, c.y + arm})
}

// drawPins draws the labels above and below the rail with their leaders.
func (s *sheet) drawPins(p pen, window box) {
	for _, pin := range s.upper {
		l := label{text: pin.text, at: point{pin.labelMM, s.face.top - elbowMM}, up: true, font: pin.font()}
		if s.fits(l, pin, window) {
			p.line(leaderStroke, point{pin.atMM, s.face.top - 1.5}, point{pin.labelMM, s.face.top - elbowMM + 0.8})
			p.write(l)
		}
	}
	for _, pin := range s.lower {
		l := label{text: pin.text, at: point{pin.labelMM, s.face.bottom + elbowMM}, up: true, anchor: 1, font: pin.font()}
		if s.fits(l, pin, window) {
			p.line(leaderStroke, point{pin.atMM, s.lowest(pin.atMM)}, point{pin.atMM, s.face.bottom + 1.5}, point{pin.labelMM, s.face.bottom + elbowMM - 0.8})
			p.write(l)
		}
	}
}

// fits tells whether a label and its mark lie in the window.
func (s *sheet) fits(l label, at pin, window box) bool {
	return window.contains(s.boxOf(l)) && at.atMM >= window.left && at.atMM <= window.right
}

// lowest returns where the leader of holes at one distance begins: below the last of them.
func (s *sheet) lowest(atMM float64) float64 {
	y := s.face.top
	for _, h := range s.plan.Rail.Holes {
		if d := h.FromLeftM*1000 - atMM; d >= -1e-9 && d < sameMM {
			y = max(y, h.FromFrontM*1000+h.DiameterM*500+crossMM)
		}
	}
	return min(y, s.face.bottom+1)
}

// drawEnds names the two ends.
func (s *sheet) drawEnds(p pen, window box) {
	y := min(s.widthMM/2, 15)
	for _, l := range []label{
		{text: "LEFT END", at: point{-4.5, y}, font: smallBold},
		{text: "right end", at: point{s.lengthMM + 4.5, y}, font: smallFont},
	} {
		l.anchor, l.up = 0.5, true
		if window.contains(s.boxOf(l)) {
			p.write(l)
		}
	}
}

// nameKeepOuts writes above the labels which keep-outs there are, between two places along the rail.
func (s *sheet) nameKeepOuts(p pen, window box, lowMM, highMM float64) {
	y := s.paper.top + 3
	if y < window.top {
		return
	}
	doneMM := lowMM - 2
	for _, k := range s.plan.Rail.KeepOuts {
		fromMM, toMM := max(k.FromM*1000, window.left), min(k.ToM*1000, window.right)
		if fromMM >= toMM {
			continue
		}
		p.line(leaderStroke, point{fromMM, y + 4}, point{fromMM, y + 2.6}, point{toMM, y + 2.6}, point{toMM, y + 4})
		text := fmt.Sprintf("keep out %s to %s", drilling.Millimetres(k.FromM), drilling.Millimetres(k.ToM))
		if k.Why != "" {
			text += ": " + k.Why
		}
		text = s.shorten(text, markFont, highMM-doneMM-2)
		half := s.widthOf(text, markFont) / 2
		at := max(doneMM+2+half, min((fromMM+toMM)/2, highMM-half))
		if highMM-doneMM-2 > 8 {
			p.write(label{text: text, at: point{at, y}, anchor: 0.5, font: markFont})
			doneMM = at + half
		}
	}
}
