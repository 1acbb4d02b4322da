package sheet

import (
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The sizes of the maps' grid, in points.
const (
	cellGapX   = 26.0
	cellGapY   = 14.0
	nameRow    = 20.0 // above a map
	noteRow    = 19.0 // below it
	leastCell  = 150.0
	namedCell  = 230.0 // narrow maps keep this much for their names
	mostAcross = 8
	tallest    = 460.0 // of one map
	aimHeight  = 620.0 // of the grid; a large sheet may have aimLarge
	aimLarge   = 1100.0
	largeSheet = 24
	leastShare = 0.35 // of the room for a map; smaller ones have a scale of lengths of their own
)

// layout is where the maps stand: columns of equal width, all maps at one scale of lengths but for tanks so small
// that they would not be seen.
type layout struct {
	Sheet
	columns, rows int
	cellWidth     float64
	mapHeight     float64 // of the highest
	perM          float64 // points a metre
	noted         bool    // there is a row for notes
	sized         bool    // sizes are written, as tanks differ
	longestM      float64
	widestM       float64
	steepest      float64   // the largest width over length
	room          style.Box // for the largest map, in points from its upper left corner
	heightPt      float64   // of the whole grid
}

// newLayout chooses the number of columns whose maps are the largest without the grid growing too high. An empty place
// in the last row costs half its share.
func newLayout(s Sheet) layout {
	base := layout{Sheet: s}
	first := s.Candidates[0]
	for _, c := range s.Candidates {
		base.longestM, base.widestM = math.Max(base.longestM, c.LengthM), math.Max(base.widestM, c.WidthM)
		base.steepest = math.Max(base.steepest, c.WidthM/c.LengthM)
		base.sized = base.sized || c.LengthM != first.LengthM || c.WidthM != first.WidthM
		base.noted = base.noted || c.Note != ""
	}
	n := len(s.Candidates)
	aim := aimHeight
	if n > largeSheet {
		aim = aimLarge
	}
	best, bestScore := layout{}, math.Inf(-1)
	for columns := 1; columns <= min(n, mostAcross); columns++ {
		l := base.with(columns)
		score := l.perM * (1 - 0.5*float64(l.columns*l.rows-n)/float64(l.columns*l.rows))
		if l.heightPt > aim {
			score = -l.heightPt // of those that are too high the lowest
		}
		if score > bestScore && (l.room.Right >= leastCell || columns == 1) {
			best, bestScore = l, score
		}
	}
	return best
}

// with returns the layout for a number of columns.
func (l layout) with(columns int) layout {
	l.columns = columns
	l.rows = (len(l.Candidates) + columns - 1) / columns
	l.cellWidth = (textWidth - float64(columns-1)*cellGapX) / float64(columns)
	l.perM = math.Min(l.cellWidth/l.longestM, tallest/l.widestM)
	l.room = style.Box{Right: l.cellWidth, Bottom: math.Min(tallest, l.steepest*l.cellWidth)}
	widest := 0.0
	l.mapHeight = 0
	for _, c := range l.Candidates {
		wide, high := l.size(c)
		widest, l.mapHeight = math.Max(widest, wide), math.Max(l.mapHeight, high)
	}
	l.cellWidth = math.Min(l.cellWidth, math.Max(widest, namedCell))
	l.heightPt = float64(l.rows)*l.rowHeight() - cellGapY
	return l
}

func (l layout) rowHeight() float64 {
	height := nameRow + l.mapHeight + cellGapY
	if l.noted || l.sized {
		height += noteRow
	}
	return height
}

// block returns the grid of maps as a strip of a page.
func (l layout) block() fig.Block {
	return fig.Block{HeightPt: l.heightPt, Draw: func(c *style.Canvas, box style.Box) {
		for i := range l.Candidates {
			column, row := i%l.columns, i/l.columns
			left, top := box.Left+float64(column)*(l.cellWidth+cellGapX), box.Top+float64(row)*l.rowHeight()
			l.candidate(c, i, style.Box{Left: left, Right: left + l.cellWidth, Top: top, Bottom: top + l.rowHeight() - cellGapY})
		}
	}}
}

// candidate draws one map with its sign and name above and its note below.
func (l layout) candidate(c *style.Canvas, i int, cell style.Box) {
	candidate := l.Candidates[i]
	left, middle := cell.Left, cell.Top+nameRow/2-2
	if mark := l.sign(candidate); mark != fig.NoMark {
		mark.Sign(c, style.Pt(left+6, middle), 5)
		left += 18
	}
	name := c.Shorten(l.name(i), style.LabelFont, cell.Right-left)
	c.Write(style.Text{Text: name, At: style.Pt(left, middle), Anchor: style.MiddleLeft, Font: style.LabelFont})
	wide, high := l.size(candidate)
	frame := style.Box{Left: cell.Left, Right: cell.Left + wide, Top: cell.Top + nameRow, Bottom: cell.Top + nameRow + high}
	l.plan(candidate).DrawSmall(c, frame)
	if note := l.note(candidate); note != "" {
		note = c.Shorten(note, style.LabelFont, cell.Width())
		at := style.Pt(cell.Left, frame.Bottom+noteRow/2+2)
		c.Write(style.Text{Text: note, At: at, Anchor: style.MiddleLeft, Font: style.LabelFont, Colour: style.SoftInk})
	}
}

// size returns a map's width and height in points, in the tank's proportion.
func (l layout) size(c Candidate) (wide, high float64) {
	perM := math.Max(l.perM, l.own(c))
	return math.Max(perM*c.LengthM, 1), math.Max(perM*c.WidthM, 1)
}

// own returns the least scale of lengths, in points a metre, at which a tank is still well seen.
func (l layout) own(c Candidate) float64 {
	return leastShare * math.Min(l.room.Width()/c.LengthM, l.room.Height()/c.WidthM)
}

// uneven tells whether the maps differ in their scale of lengths.
func (l layout) uneven() bool {
	for _, c := range l.Candidates {
		if l.own(c) > l.perM {
			return true
		}
	}
	return false
}

// note returns the line below a map: the tank's size where tanks differ, and the candidate's note.
func (l layout) note(c Candidate) string {
	if !l.sized {
		return c.Note
	}
	note := l.Units.Figure(c.LengthM) + " \u00d7 " + l.Units.Length(c.WidthM)
	if c.Note != "" {
		note += "; " + c.Note
	}
	return note
}
