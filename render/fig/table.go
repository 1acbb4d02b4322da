package fig

import (
	"image/color"
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
	Mark  Mark
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
	widths, gap := b.widths(t, widthPt), tableGap
	if n := float64(len(widths) - 1); n > 0 {
		gap = math.Min(tableMostGap, gap+(widthPt-wide(widths, gap))/n)
	}
	heads, most := make([][]string, len(widths)), 1
	for k, w := range widths {
		heads[k] = t.Wrap(b.Columns[k], style.SmallFont, w+0.01, tableHeadRows)
		most = max(most, len(heads[k]))
	}
	head := float64(most)*style.SmallFont.LineHeight() + 8
	return Block{HeightPt: float64(len(b.Rows))*tableRow + head, Draw: func(c *style.Canvas, box style.Box) {
		rule := func(y float64, colour color.NRGBA) {
			c.Line(style.Pt(box.Left, y), style.Pt(box.Left+wide(widths, gap), y), style.Pen{Width: 1, Colour: colour})
		}
		cell := func(k int, y float64, text style.Text) { // the first to the left, the others to the right
			text.At, text.Anchor = style.Pt(box.Left+wide(widths[:k+1], gap), y), style.MiddleRight
			if k == 0 {
				text.At.X, text.Anchor = box.Left+tableSign, style.MiddleLeft
			}
			c.Write(text)
		}
		box.Top += head
		for k, lines := range heads {
			for i, line := range lines {
				cell(k, box.Top-6-style.SmallFont.LineHeight()*(float64(len(lines)-i)-0.5),
					style.Text{Text: line, Font: style.SmallFont, Colour: style.SoftInk})
			}
		}
		rule(box.Top-3, style.SoftInk)
		for _, row := range b.Rows {
			row.Mark.Sign(c, style.Pt(box.Left+6, box.Top+tableRow/2), 4.5)
			for k, text := range row.Cells[:min(len(widths), len(row.Cells))] {
				cell(k, box.Top+tableRow/2, style.Text{Text: c.Shorten(text, style.TextFont, widths[k]+0.01), Font: style.TextFont})
			}
			box.Top += tableRow
			rule(box.Top, style.Faded(style.Rule, 0.5))
		}
	}}, len(b.Columns) - len(widths)
}

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
		widths[k] = headWidth(t, name, k == 0)
		for _, row := range b.Rows {
			if k < len(row.Cells) {
				widths[k] = math.Max(widths[k], math.Min(t.Width(row.Cells[k], style.TextFont), tableWidest))
			}
		}
	}
	first := math.Min(widths[0], tableWidest)
	for n := len(widths); ; n-- {
		room := widthPt - wide(widths[:n], tableGap) + widths[0]
		if n == 1 || room >= math.Min(first, tableLeast) {
			widths[0] = math.Min(first, room)
			return widths[:n]
		}
	}
}

// headWidth returns the least width at which a name takes no more than its lines, with all words whole, or the width of
// one line.
func headWidth(t *style.Typesetter, name string, oneLine bool) float64 {
	widest := func(least float64, texts []string) float64 {
		for _, text := range texts {
			least = math.Max(least, t.Width(text, style.SmallFont))
		}
		return least
	}
	whole := math.Min(t.Width(name, style.SmallFont), tableWidest)
	for w := widest(tableHeadLine, strings.Fields(name)); w < whole && !oneLine; w += 6 {
		if lines := t.Wrap(name, style.SmallFont, w, tableHeadRows+1); len(lines) <= tableHeadRows {
			return widest(0, lines)
		}
	}
	return whole
}
