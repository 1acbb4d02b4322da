package drill

import "strconv"

const (
	rulerMM     = 100
	rulerHighMM = 13 // with its words
)

// drawRuler draws the check ruler, its zero at the point given.
func (s *sheet) drawRuler(p pen, zero point) {
	p.line(rulerStroke, zero, point{zero.x + rulerMM, zero.y})
	for i := 0; i <= rulerMM; i++ {
		x, long := zero.x+float64(i), 1.8
		switch {
		case i%rulerMM == 0:
			long = 5
		case i%10 == 0:
			long = 4
		case i%5 == 0:
			long = 3
		}
		p.line(rulerStroke, point{x, zero.y}, point{x, zero.y + long})
		if i%10 == 0 {
			p.write(label{text: strconv.Itoa(i), at: point{x, zero.y + 6.5}, anchor: 0.5, font: markFont})
		}
	}
	p.write(label{text: "check ruler: 100.0 mm from end to end (3 15/16 in)", at: point{zero.x + rulerMM/2, zero.y + 10.3}, anchor: 0.5, font: smallBold})
}
