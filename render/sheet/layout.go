package sheet

import (
	"image/color"
	"math"
	"strings"

	"fathomlux/render/fig"
	"fathomlux/render/plan"
	"fathomlux/render/style"
)

// The sizes of the maps' grid, in points.
const (
	cellGapX   = 26.0
	cellGapY   = 14.0
	nameRow    = 20.0 // above a map
	noteRow    = 19.0 // below it
	leastCell  = 150.0
	mostAcross = 8
	tallest    = 460.0 // of one map
	aimHeight  = 620.0 // of the grid; a large sheet may have aimLarge
	aimLarge   = 1100.0
	largeSheet = 24
)

// layout is where the maps stand: columns of equal width, all maps at one scale of lengths.
type layout struct {
	Sheet
	columns   int
	cellWidth float64
	perM      float64 // points a metre
	rowHeight float64
}

// newLayout chooses the number of columns whose maps are the largest without the grid growing too high; an empty
// place in the last row costs half its share.
func newLayout(s Sheet) (best layout) {
	longest, widest, note := 0.0, 0.0, 0.0
	for _, c := range s.Candidates {
		longest, widest = math.Max(longest, c.Scene.Tank.LengthM), math.Max(widest, c.Scene.Tank.WidthM)
		if s.note(c) != "" {
			note = noteRow
		}
	}
	most, aim := math.Inf(-1), aimHeight
	if len(s.Candidates) > largeSheet {
		aim = aimLarge
	}
	for columns := 1; columns <= min(len(s.Candidates), mostAcross); columns++ {
		l := layout{Sheet: s, columns: columns, cellWidth: (textWidth - float64(columns-1)*cellGapX) / float64(columns)}
		if columns > 1 && l.cellWidth < leastCell {
			break
		}
		l.perM = math.Min(l.cellWidth/longest, tallest/widest)
		l.rowHeight = nameRow + l.perM*widest + note + cellGapY
		score := l.perM * (0.5 + 0.5*float64(len(s.Candidates))/float64(columns*l.rows()))
		if l.height() > aim {
			score = -l.height() // of those that are too high the lowest
		}
		if score > most {
			best, most = l, score
		}
	}
	return best
}

func (l layout) rows() int { return (len(l.Candidates) + l.columns - 1) / l.columns }

func (l layout) height() float64 { return float64(l.rows())*l.rowHeight - cellGapY }

func (l layout) block() fig.Block {
	return fig.Block{HeightPt: l.height(), Draw: func(c *style.Canvas, box style.Box) {
		for i := range l.Candidates {
			at := style.Pt(box.Left+float64(i%l.columns)*(l.cellWidth+cellGapX), box.Top+float64(i/l.columns)*l.rowHeight)
			l.candidate(c, i, at)
		}
	}}
}

// candidate draws one map with its sign and name above and its note below.
func (l layout) candidate(c *style.Canvas, i int, at style.Point) {
	one, tank := l.Candidates[i], l.Candidates[i].Scene.Tank
	write := func(text string, x, y float64, ink color.NRGBA) {
		c.Write(style.Text{Text: c.Shorten(text, style.LabelFont, at.X+l.cellWidth-x), At: style.Pt(x, y),
			Anchor: style.MiddleLeft, Font: style.LabelFont, Colour: ink})
	}
	nameX, nameY := at.X, at.Y+nameRow/2-2
	if mark := l.sign(one); mark != fig.None {
		mark.Sign(c, style.Pt(at.X+6, nameY), 5)
		nameX += 18
	}
	write(l.name(i), nameX, nameY, style.Ink)
	frame := style.Box{Left: at.X, Right: at.X + l.perM*tank.LengthM, Top: at.Y + nameRow, Bottom: at.Y + nameRow +
		l.perM*tank.WidthM}
	plan.Small{Scene: one.Scene, Spectrum: one.Spectrum, Field: one.Plane.Field, Quantity: l.Quantity,
		Scale: l.Scale}.Draw(c, frame)
	if note := l.note(one); note != "" {
		write(note, at.X, frame.Bottom+noteRow/2+2, style.SoftInk)
	}
}

// note returns the line below a map: the tank's size and the plane's name where they differ, and why the candidate
// cannot be built.
func (s Sheet) note(c Candidate) string {
	size := func(c Candidate) string {
		return s.Units.Figure(c.Scene.Tank.LengthM) + " \u00d7 " + s.Units.Length(c.Scene.Tank.WidthM)
	}
	var words []string
	if differ(s, size) {
		words = append(words, size(c))
	}
	if s.CommonPlane() == "" {
		words = append(words, "plane \""+c.Plane.Name+"\"")
	}
	if why := c.Goal.Unbuildable; why.Any() {
		words = append(words, why.Words(s.Units))
	}
	return strings.Join(words, "; ")
}
