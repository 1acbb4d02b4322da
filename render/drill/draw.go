package drill

import (
	"fmt"
	"image/color"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

type (
	point = style.Point
	box   = style.Box
)

func pt(x, y float64) point { return point{X: x, Y: y} }

func area(left, top, right, bottom float64) box {
	return box{Left: left, Top: top, Right: right, Bottom: bottom}
}

// The strokes. The three first have widths of their own, so that a check of the written file can tell them apart.
var (
	punchStroke  = style.Pen{Width: 0.13, Colour: black}
	matchStroke  = style.Pen{Width: 0.17, Colour: black}
	rulerStroke  = style.Pen{Width: 0.21, Colour: black}
	holeStroke   = style.Pen{Width: 0.25, Colour: black}
	railStroke   = style.Pen{Width: 0.35, Colour: black}
	boardStroke  = style.Pen{Width: 0.15, Colour: blue}
	middleStroke = style.Pen{Width: 0.15, Colour: blue, Dash: []float64{5, 1.2, 0.8, 1.2}}
	slotStroke   = style.Pen{Width: 0.2, Colour: grey, Dash: []float64{2, 1.5}}
	hatchStroke  = style.Pen{Width: 0.12, Colour: grey}
	leaderStroke = style.Pen{Width: 0.1, Colour: grey}
	frameStroke  = style.Pen{Width: 0.1, Colour: pale}

	black = color.NRGBA{A: 255}
	blue  = color.NRGBA{R: 30, G: 70, B: 140, A: 255}
	grey  = color.NRGBA{R: 110, G: 110, B: 110, A: 255}
	pale  = color.NRGBA{R: 170, G: 170, B: 170, A: 255}
	here  = color.NRGBA{R: 205, G: 215, B: 230, A: 255}
	alarm = color.NRGBA{R: 160, G: 20, B: 20, A: 255}

	headFont  = style.Font{SizePt: 11, Bold: true}
	smallFont = style.Font{SizePt: 8}
	smallBold = style.Font{SizePt: 8, Bold: true}
	markFont  = style.Font{SizePt: 7}
	markBold  = style.Font{SizePt: 7, Bold: true}
	tinyFont  = style.Font{SizePt: 6}
)

const (
	crossMM = 2.5 // of the punch cross beyond the circle
	hatchMM = 3   // between lines of a hatch
)

func line(p style.Brush, pen style.Pen, points ...point) { p.Polyline(points, pen) }

// cross draws a circle with a cross whose arms are so long from its middle.
func cross(p style.Brush, c point, radiusMM, armMM float64, ring, arms style.Pen) {
	p.Ring(c, radiusMM, ring)
	line(p, arms, pt(c.X-armMM, c.Y), pt(c.X+armMM, c.Y))
	line(p, arms, pt(c.X, c.Y-armMM), pt(c.X, c.Y+armMM))
}

// within passes on the shapes that a window shows; the others would only make the file large.
type within struct {
	style.Surface
	window box
}

// Shape implements style.Surface.
func (w within) Shape(s style.Shape) {
	b := s.Points[0].Around(s.Radius)
	for _, p := range s.Points {
		b = area(min(b.Left, p.X), min(b.Top, p.Y), max(b.Right, p.X), max(b.Bottom, p.Y))
	}
	if b.Meets(w.window.Grown(1)) {
		w.Surface.Shape(s)
	}
}

// draw draws what of the sheet lies in a window. Labels that do not lie in it whole are left to the next page.
func (s *sheet) draw(on style.Surface, window box) {
	r, p := s.template.Rail, style.Brush{Surface: within{on, window}}
	for _, k := range r.KeepOuts {
		fromMM, toMM := k.FromM*1000, k.ToM*1000
		p.StrokeBox(area(fromMM, 0, toMM, s.widthMM), hatchStroke)
		for i := int((fromMM-s.widthMM)/hatchMM) - 1; float64(i)*hatchMM < toMM; i++ { // x - y = constant, as on all pages
			x := float64(i) * hatchMM
			if left, right := max(fromMM, x), min(toMM, x+s.widthMM); right > left {
				line(p, hatchStroke, pt(left, left-x), pt(right, right-x))
			}
		}
	}
	for _, slot := range r.Slots {
		for _, y := range []float64{slot.FromFrontM*1000 - slot.WidthM*500, slot.FromFrontM*1000 + slot.WidthM*500} {
			line(p, slotStroke, pt(0, y), pt(s.lengthMM, y))
		}
	}
	for _, b := range r.Boards {
		x, half, y := b.FromLeftM*1000, b.LengthM*500, s.widthMM/2
		p.StrokeBox(area(x-half, y-b.WidthM*500, x+half, y+b.WidthM*500), boardStroke)
		line(p, middleStroke, pt(x, s.face.Top-1.5), pt(x, s.face.Bottom+1.5))
	}
	p.StrokeBox(area(0, 0, s.lengthMM, s.widthMM), railStroke)
	for _, h := range r.Holes {
		c, radius := pt(h.FromLeftM*1000, h.FromFrontM*1000), h.DiameterM*500
		if h.Hold == drilling.SlotNut {
			line(p, holeStroke, pt(c.X-crossMM, c.Y), pt(c.X+crossMM, c.Y)) // a mark along the slot, and nothing to punch
			line(p, holeStroke, pt(c.X, c.Y-crossMM/2), pt(c.X, c.Y+crossMM/2))
			continue
		}
		cross(p, c, radius, radius+crossMM, holeStroke, punchStroke)
		if h.Kind == drilling.Wire && radius > 1 {
			p.Ring(c, radius-0.6, boardStroke)
		}
	}
	s.drawPins(p, s.upper, window, s.face.Top, -1)
	s.drawPins(p, s.lower, window, s.face.Bottom, 1)
	for _, l := range []label{{text: "LEFT END", at: pt(-4.5, 0), font: smallBold},
		{text: "right end", at: pt(s.lengthMM+4.5, 0), font: smallFont}} {
		l.at.Y, l.anchor, l.up = min(s.widthMM/2, 15), 0.5, true
		if window.Contains(s.boxOf(l)) {
			s.write(p, l)
		}
	}
}

// drawPins draws the labels above (down -1) or below (1) an edge of the face, with their leaders.
func (s *sheet) drawPins(p style.Brush, pins []pin, window box, edgeMM, down float64) {
	for _, pin := range pins {
		l := label{text: pin.text, at: pt(pin.labelMM, edgeMM+down*elbowMM), up: true, anchor: (1 + down) / 2, font: pin.font}
		if window.Contains(s.boxOf(l)) && pin.atMM >= window.Left && pin.atMM <= window.Right {
			line(p, leaderStroke, pt(pin.atMM, pin.fromMM), pt(pin.atMM, edgeMM+down*1.5), pt(pin.labelMM,
				edgeMM+down*(elbowMM-0.8)))
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
	for _, k := range s.template.Rail.KeepOuts {
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
