package drill

import (
	"strconv"

	"fathomlux/render/style"
)

const (
	rulerMM     = 100
	rulerHighMM = 13 // with its words
)

// drawRuler draws the check ruler, its zero at the point given.
func (s *sheet) drawRuler(p style.Brush, zero point) {
	line(p, rulerStroke, zero, pt(zero.X+rulerMM, zero.Y))
	for i := 0; i <= rulerMM; i++ {
		x, long := zero.X+float64(i), 1.8
		switch {
		case i%rulerMM == 0:
			long = 5
		case i%10 == 0:
			long = 4
		case i%5 == 0:
			long = 3
		}
		line(p, rulerStroke, pt(x, zero.Y), pt(x, zero.Y+long))
		if i%10 == 0 {
			s.write(p, label{text: strconv.Itoa(i), at: pt(x, zero.Y+6.5), anchor: 0.5, font: markFont})
		}
	}
	s.write(p, label{text: "check ruler: 100.0 mm from end to end (3 15/16 in)", at: pt(zero.X+rulerMM/2, zero.Y+10.3),
		anchor: 0.5, font: smallBold})
}
