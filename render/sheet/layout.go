package sheet

import (
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
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
	for i, c := range s.Candidates {
		longest, widest = math.Max(longest, c.Scene.Tank.LengthM), math.Max(widest, c.Scene.Tank.WidthM)
		if s.note(i) != "" {
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

// block returns the grid of maps as a strip of a page.
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
	one, text := l.Candidates[i], style.Text{At: style.Pt(at.X, at.Y+nameRow/2-2), Anchor: style.MiddleLeft,
		Font: style.LabelFont}
	if mark := l.sign(one); mark != fig.NoMark {
		mark.Sign(c, style.Pt(at.X+6, text.At.Y), 5)
		text.At.X += 18
	}
	text.Text = c.Shorten(l.name(i), style.LabelFont, at.X+l.cellWidth-text.At.X)
	c.Write(text)
	tank := one.Scene.Tank
	frame := style.Box{Left: at.X, Right: at.X + l.perM*tank.LengthM, Top: at.Y + nameRow, Bottom: at.Y + nameRow +
		l.perM*tank.WidthM}
	l.small(one).Draw(c, frame)
	if note := l.note(i); note != "" {
		c.Write(style.Text{Text: c.Shorten(note, style.LabelFont, l.cellWidth), At: style.Pt(at.X, frame.Bottom+noteRow/2+2),
			Anchor: style.MiddleLeft, Font: style.LabelFont, Colour: style.SoftInk})
	}
}

// note returns the line below a map: the tank's size where tanks differ, and the candidate's note.
func (s Sheet) note(i int) string {
	size := func(sc *scene.Scene) string {
		return s.Units.Figure(sc.Tank.LengthM) + " \u00d7 " + s.Units.Length(sc.Tank.WidthM)
	}
	one := s.Candidates[i]
	for _, other := range s.Candidates {
		if size(other.Scene) != size(one.Scene) {
			if one.Note != "" {
				return size(one.Scene) + "; " + one.Note
			}
			return size(one.Scene)
		}
	}
	return one.Note
}
