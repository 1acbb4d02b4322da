package style

import "math"

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
func (b Table) Block(t *Typesetter, widthPt float64) (block Block, left int) {
	if len(b.Columns) == 0 {
		return Block{}, 0
	}
	widths := b.widths(t, widthPt)
	left = len(b.Columns) - len(widths)
	gap := tableGap
	if n := float64(len(widths) - 1); n > 0 {
		gap = math.Min(tableMostGap, gap+(widthPt-wide(widths, gap))/n)
	}
	return Block{HeightPt: float64(len(b.Rows))*tableRow + b.headHeight(t, widths), Draw: func(c *Canvas, box Box) {
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
func (b Table) widths(t *Typesetter, widthPt float64) []float64 {
	widths := make([]float64, len(b.Columns))
	for k, name := range b.Columns {
		for _, line := range t.Wrap(name, SmallFont, tableWidest, tableHeadRows) {
			widths[k] = math.Max(widths[k], t.Width(line, SmallFont))
		}
		if k > 0 {
			widths[k] = math.Min(widths[k], b.narrowHead(t, name))
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

// narrowHead returns the least width at which a name takes no more than its lines without a cut.
func (b Table) narrowHead(t *Typesetter, name string) float64 {
	full := t.Width(name, SmallFont)
	for w := tableHeadLine; w < full; w += 6 {
		lines := t.Wrap(name, SmallFont, w, tableHeadRows)
		widest, letters := 0.0, 0
		for _, line := range lines {
			widest, letters = math.Max(widest, t.Width(line, SmallFont)), letters+len([]rune(line))+1
		}
		if letters-1 == len([]rune(t.Clean(name, SmallFont))) && widest <= w && !cut(lines) {
			return widest
		}
	}
	return math.Min(full, tableWidest)
}

// cut tells whether lines end with an ellipsis.
func cut(lines []string) bool {
	for _, line := range lines {
		if r := []rune(line); len(r) > 0 && r[len(r)-1] == '\u2026' {
			return true
		}
	}
	return false
}

func (b Table) headHeight(t *Typesetter, widths []float64) float64 {
	most := 1
	for k, w := range widths {
		most = max(most, len(t.Wrap(b.Columns[k], SmallFont, w+0.01, tableHeadRows)))
	}
	return float64(most)*SmallFont.LineHeight() + 8
}

// head writes the names of the columns, their last line just above the rule at y.
func (b tableLayout) head(c *Canvas, box Box, y float64) {
	b.each(box, func(k int, at Point, anchor Anchor) {
		lines := c.Wrap(b.Columns[k], SmallFont, b.widths[k]+0.01, tableHeadRows)
		for i, line := range lines {
			at.Y = y - 6 - SmallFont.LineHeight()*(float64(len(lines)-i)-0.5)
			c.Write(Text{Text: line, At: at, Anchor: anchor, Font: SmallFont, Colour: SoftInk})
		}
	})
	c.Line(Point{box.Left, y - 3}, Point{box.Right, y - 3}, Pen{Width: 1, Colour: SoftInk})
}

// each calls f with each column and the place of its texts.
func (b tableLayout) each(box Box, f func(k int, at Point, anchor Anchor)) {
	left := box.Left + tableSign
	for k, w := range b.widths {
		if k == 0 {
			f(k, Point{X: left}, MiddleLeft)
		} else {
			f(k, Point{X: left + w}, MiddleRight)
		}
		left += w + b.gap
	}
}

func (r Row) font() Font { return Font{SizePt: TextFont.SizePt, Bold: r.Bold} }

func (b tableLayout) row(c *Canvas, box Box, row Row) {
	c.Sign(Point{box.Left + 6, box.Centre().Y}, 4.5, row.Mark)
	b.each(box, func(k int, at Point, anchor Anchor) {
		if k < len(row.Cells) {
			at.Y = box.Centre().Y
			c.Write(Text{Text: c.Shorten(row.Cells[k], row.font(), b.widths[k]+0.01), At: at, Anchor: anchor, Font: row.font()})
		}
	})
	c.Line(Point{box.Left, box.Bottom}, Point{box.Right, box.Bottom}, Pen{Width: 1, Colour: Faded(Rule, 0.5)})
}
