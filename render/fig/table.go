package fig

import (
	"math"
	"strings"

	"fathomlux/render/style"
)

// Table sizes, in points.
const (
	tableRow      = 21.0
	tableGap      = 22.0 // between columns, at least
	tableMostGap  = 48.0
	tableHeadLine = 70.0 // names of columns up to this width take one line
	tableWidest   = 420.0
	tableLeast    = 120.0 // of the first column
	tableSign     = 20.0  // room for a row's sign
	tableHeadRows = 2
)

// Row is a line of a Table. Mark is the sign before it.
type Row struct {
	Cells []string
	Mark  FigureMark
	Bold  bool
}

// Table is rows of text under their column's names: the first column at the left, all others, which hold numbers, at
// their right edges. Names of columns take two lines where they must, texts that are too long are cut.
type Table struct {
	Columns []string
	Rows    []Row
}

// Block returns the table as a strip of a page whose text is widthPt wide, and the number of columns that had no room.
// Cells beyond the columns are left out.
func (b Table) Block(t *style.Typesetter, widthPt float64) (block Block, left int) {
	if len(b.Columns) == 0 {
		return Block{}, 0
	}
	widths := b.widths(t, widthPt)
	left = len(b.Columns) - len(widths)
	gap := tableGap
	if n := float64(len(widths) - 1); n > 0 {
		gap = math.Min(tableMostGap, gap+(widthPt-wide(widths, gap))/n)
	}
	return Block{HeightPt: float64(len(b.Rows))*tableRow + b.headHeight(t, widths),
		Draw: func(c *style.Canvas, box style.Box) {
			lay := tableLayout{Table: b, widths: widths, gap: gap}
			box.Right = box.Left + wide(widths, gap)
			y := box.Top + b.headHeight(t, widths)
			lay.head(c, box, y)
			for i, row := range b.Rows {
				box.Top, box.Bottom = y+float64(i)*tableRow, y+float64(i+1)*tableRow
				lay.row(c, box, row)
			}
		}}, left
}

// tableLayout is a table with the places of its columns.
type tableLayout struct {
	Table
	widths []float64
	gap    float64
}

// wide returns the width of a table.
func wide(widths []float64, gap float64) float64 {
	sum := tableSign - gap
	for _, w := range widths {
		sum += w + gap
	}
	return sum
}

// widths returns the widths of the columns that have room. The first one takes what the others leave.
func (b Table) widths(t *style.Typesetter, widthPt float64) []float64 {
	widths := make([]float64, len(b.Columns))
	for k, name := range b.Columns {
		widths[k] = widest(t, t.Wrap(name, style.SmallFont, tableWidest, tableHeadRows))
		if k > 0 {
			widths[k] = math.Min(widths[k], narrowHead(t, name))
		}
		for _, row := range b.Rows {
			if k < len(row.Cells) {
				widths[k] = math.Max(widths[k], math.Min(t.Width(row.Cells[k], row.font()), tableWidest))
			}
		}
	}
	first := math.Min(widths[0], tableWidest)
	for n := len(widths); n > 0; n-- {
		room := widthPt - wide(widths[:n], tableGap) + widths[0]
		if n == 1 || room >= math.Min(first, tableLeast) {
			widths[0] = math.Min(first, room)
			return widths[:n]
		}
	}
	return nil
}

// narrowHead returns the least width at which a name takes no more than its lines, with all words whole.
func narrowHead(t *style.Typesetter, name string) float64 {
	w := tableHeadLine
	for _, word := range strings.Fields(name) {
		w = math.Max(w, t.Width(word, style.SmallFont))
	}
	for ; w < tableWidest; w += 6 {
		if lines := t.Wrap(name, style.SmallFont, w, tableHeadRows+1); len(lines) <= tableHeadRows {
			return widest(t, lines)
		}
	}
	return tableWidest
}

func widest(t *style.Typesetter, lines []string) (w float64) {
	for _, line := range lines {
		w = math.Max(w, t.Width(line, style.SmallFont))
	}
	return w
}

func (b Table) headHeight(t *style.Typesetter, widths []float64) float64 {
	most := 1
	for k, w := range widths {
		most = max(most, len(t.Wrap(b.Columns[k], style.SmallFont, w+0.01, tableHeadRows)))
	}
	return float64(most)*style.SmallFont.LineHeight() + 8
}

// head writes the names of the columns, their last line just above the rule at y.
func (b tableLayout) head(c *style.Canvas, box style.Box, y float64) {
	b.each(box, func(k int, at style.Point, anchor style.Anchor) {
		lines := c.Wrap(b.Columns[k], style.SmallFont, b.widths[k]+0.01, tableHeadRows)
		for i, line := range lines {
			at.Y = y - 6 - style.SmallFont.LineHeight()*(float64(len(lines)-i)-0.5)
			c.Write(style.Text{Text: line, At: at, Anchor: anchor, Font: style.SmallFont, Colour: style.SoftInk})
		}
	})
	c.Line(style.Pt(box.Left, y-3), style.Pt(box.Right, y-3), style.Pen{Width: 1, Colour: style.SoftInk})
}

// each calls f with each column and the place of its texts.
func (b tableLayout) each(box style.Box, f func(k int, at style.Point, anchor style.Anchor)) {
	left := box.Left + tableSign
	for k, w := range b.widths {
		if k == 0 {
			f(k, style.Point{X: left}, style.MiddleLeft)
		} else {
			f(k, style.Point{X: left + w}, style.MiddleRight)
		}
		left += w + b.gap
	}
}

func (r Row) font() style.Font { return style.Font{SizePt: style.TextFont.SizePt, Bold: r.Bold} }

func (b tableLayout) row(c *style.Canvas, box style.Box, row Row) {
	row.Mark.Sign(c, style.Pt(box.Left+6, box.Centre().Y), 4.5)
	b.each(box, func(k int, at style.Point, anchor style.Anchor) {
		if k < len(row.Cells) {
			at.Y = box.Centre().Y
			c.Write(style.Text{Text: c.Shorten(row.Cells[k], row.font(), b.widths[k]+0.01), At: at, Anchor: anchor,
				Font: row.font()})
		}
	})
	c.Line(style.Pt(box.Left, box.Bottom), style.Pt(box.Right, box.Bottom),
		style.Pen{Width: 1, Colour: style.Faded(style.Rule, 0.5)})
}
