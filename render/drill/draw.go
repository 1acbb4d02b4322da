package drill

import (
	"fmt"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

const (
	crossMM = 2.5 // of the punch cross beyond the circle
	hatchMM = 3   // between lines of a hatch
)

// draw draws what of the sheet lies in a window. Labels that do not lie in it whole are left to the next page.
func (s *sheet) draw(p style.Brush, window box) {
	s.drawKeepOuts(p, window)
	for _, slot := range s.plan.Rail.Slots {
		for _, y := range []float64{slot.FromFrontM*1000 - slot.WidthM*500, slot.FromFrontM*1000 + slot.WidthM*500} {
			line(p, slotStroke, pt(0, y), pt(s.lengthMM, y))
		}
	}
	s.drawBoards(p, window)
	p.StrokeBox(area(0, 0, s.lengthMM, s.widthMM), railStroke)
	for _, h := range s.plan.Rail.Holes {
		s.drawHole(p, h, window)
	}
	s.drawPins(p, window)
	s.drawEnds(p, window)
}

// drawKeepOuts hatches the keep-outs.
func (s *sheet) drawKeepOuts(p style.Brush, window box) {
	for _, k := range s.plan.Rail.KeepOuts {
		b := area(k.FromM*1000, 0, k.ToM*1000, s.widthMM)
		if !b.Meets(window) {
			continue
		}
		p.StrokeBox(b, hatchStroke)
		seen := b.Cut(area(window.Left-s.widthMM, b.Top, window.Right+s.widthMM, b.Bottom))
		first := int((seen.Left-s.widthMM)/hatchMM) - 1
		for i := first; float64(i)*hatchMM < seen.Right; i++ { // lines x - y = constant, the same on all pages
			x := float64(i) * hatchMM
			fromX, toX := max(seen.Left, x), min(seen.Right, x+s.widthMM)
			if toX > fromX {
				line(p, hatchStroke, pt(fromX, fromX-x), pt(toX, toX-x))
			}
		}
	}
}

func (s *sheet) drawBoards(p style.Brush, window box) {
	for _, b := range s.plan.Rail.Boards {
		x, half, y := b.FromLeftM*1000, b.LengthM*500, s.widthMM/2
		if outline := (area(x-half, y-b.WidthM*500, x+half, y+b.WidthM*500)); outline.Meets(window) {
			p.StrokeBox(outline, boardStroke)
		}
		if x > window.Left-1 && x < window.Right+1 {
			line(p, middleStroke, pt(x, s.face.Top-1.5), pt(x, s.face.Bottom+1.5))
		}
	}
}

// drawHole draws a hole's circle, a second one where it is for wires, and its punch cross.
func (s *sheet) drawHole(p style.Brush, h drilling.Hole, window box) {
	c, r := pt(h.FromLeftM*1000, h.FromFrontM*1000), h.DiameterM*500
	arm := r + crossMM
	if !area(c.X-arm, c.Y-arm, c.X+arm, c.Y+arm).Meets(window) {
		return
	}
	p.Ring(c, r, holeStroke)
	if h.Kind == drilling.Wire && r > 1 {
		p.Ring(c, r-0.6, boardStroke)
	}
	line(p, punchStroke, pt(c.X-arm, c.Y), pt(c.X+arm, c.Y))
	line(p, punchStroke, pt(c.X, c.Y-arm), pt(c.X, c.Y+arm))
}

// drawPins draws the labels above and below the rail with their leaders.
func (s *sheet) drawPins(p style.Brush, window box) {
	for _, pin := range s.upper {
		l := label{text: pin.text, at: pt(pin.labelMM, s.face.Top-elbowMM), up: true, font: pin.font()}
		if s.fits(l, pin, window) {
			line(p, leaderStroke, pt(pin.atMM, s.face.Top-1.5), pt(pin.labelMM, s.face.Top-elbowMM+0.8))
			s.write(p, l)
		}
	}
	for _, pin := range s.lower {
		l := label{text: pin.text, at: pt(pin.labelMM, s.face.Bottom+elbowMM), up: true, anchor: 1, font: pin.font()}
		if s.fits(l, pin, window) {
			line(p, leaderStroke, pt(pin.atMM, s.lowest(pin.atMM)), pt(pin.atMM, s.face.Bottom+1.5),
				pt(pin.labelMM, s.face.Bottom+elbowMM-0.8))
			s.write(p, l)
		}
	}
}

// fits tells whether a label and its mark lie in the window.
func (s *sheet) fits(l label, at pin, window box) bool {
	return window.Contains(s.boxOf(l)) && at.atMM >= window.Left && at.atMM <= window.Right
}

// lowest returns where the leader of holes at one distance begins: below the last of them.
func (s *sheet) lowest(atMM float64) float64 {
	y := s.face.Top
	for _, h := range s.plan.Rail.Holes {
		if d := h.FromLeftM*1000 - atMM; d >= -1e-9 && d < sameMM {
			y = max(y, h.FromFrontM*1000+h.DiameterM*500+crossMM)
		}
	}
	return min(y, s.face.Bottom+1)
}

// drawEnds names the two ends.
func (s *sheet) drawEnds(p style.Brush, window box) {
	y := min(s.widthMM/2, 15)
	for _, l := range []label{
		{text: "LEFT END", at: pt(-4.5, y), font: smallBold},
		{text: "right end", at: pt(s.lengthMM+4.5, y), font: smallFont},
	} {
		l.anchor, l.up = 0.5, true
		if window.Contains(s.boxOf(l)) {
			s.write(p, l)
		}
	}
}

// nameKeepOuts writes above the labels which keep-outs there are, between two places along the rail.
func (s *sheet) nameKeepOuts(p style.Brush, window box, lowMM, highMM float64) {
	y := s.paper.Top + 3
	if y < window.Top {
		return
	}
	doneMM := lowMM - 2
	for _, k := range s.plan.Rail.KeepOuts {
		fromMM, toMM := max(k.FromM*1000, window.Left), min(k.ToM*1000, window.Right)
		if fromMM >= toMM {
			continue
		}
		line(p, leaderStroke, pt(fromMM, y+4), pt(fromMM, y+2.6), pt(toMM, y+2.6), pt(toMM, y+4))
		text := fmt.Sprintf("keep out %s to %s", drilling.Millimetres(k.FromM), drilling.Millimetres(k.ToM))
		if k.Why != "" {
			text += ": " + k.Why
		}
		text = s.shorten(text, markFont, highMM-doneMM-2)
		half := s.widthOf(text, markFont) / 2
		at := max(doneMM+2+half, min((fromMM+toMM)/2, highMM-half))
		if highMM-doneMM-2 > 8 {
			s.write(p, label{text: text, at: pt(at, y), anchor: 0.5, font: markFont})
			doneMM = at + half
		}
	}
}
