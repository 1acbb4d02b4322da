// Package fig holds the pieces that pictures are made of: pages of blocks, tables, figures, rulers, the colour scale,
// fields as colours and as isolines with labels. It knows no tank and no light. Next: package style for what they are
// drawn on.
package fig

import (
	"math"
	"slices"

	"fathomlux/render/style"
)

// Page margins and distances, in points.
const (
	PageWidth = 1400.0 // of a picture whose frame takes all the width
	Margin    = 42.0
	blockGap  = 16.0

	innerMargin = 10.0 // above and below what stands on another page
)

// Block is one strip of a page, from top to bottom: it knows its height before there is a page, and draws itself
// into a box of that height.
type Block struct {
	HeightPt float64
	Draw     func(c *style.Canvas, box style.Box)
}

// Page is the words around a picture, and how sharp it is drawn.
type Page struct {
	Title, Subtitle string
	Notes           []string // below the picture
	Footer          string   // in small letters, at the bottom
	Units           style.Units
	PixelFactor     float64 // 0 is 1; 2 for a sharper picture
	Inner           bool    // stands on a page that has title, figures and notes itself: the strips alone
}

// Draw makes a page as wide as widthPt: the title, the strips that build returns for a text of textPt, notes and
// footer.
func (p Page) Draw(widthPt float64, build func(t *style.Typesetter, textPt float64) []Block) (*style.Canvas, error) {
	t, err := style.NewTypesetter(p.PixelFactor)
	if err != nil {
		return nil, err
	}
	textPt := widthPt - 2*Margin
	if p.Inner {
		return p.titled(drawPage(t, widthPt, innerMargin, build(t, textPt)))
	}
	blocks := append([]Block{lines(t, textPt, style.Text{Text: p.Title, Font: style.TitleFont},
		style.Text{Text: p.Subtitle, Font: style.SubtitleFont, Colour: style.SoftInk})}, build(t, textPt)...)
	blocks = append(blocks, Paragraph(t, p.Notes, style.TextFont, textPt),
		Paragraph(t, []string{p.Footer}, style.SmallFont, textPt))
	return p.titled(drawPage(t, widthPt, Margin, blocks))
}

// titled gives a canvas the page's title, for those who cannot see it.
func (p Page) titled(c *style.Canvas, err error) (*style.Canvas, error) {
	if err == nil {
		c.Title = p.Title + ", " + p.Subtitle
	}
	return c, err
}

// Told is a strip of what a page around the picture tells itself: nothing where there is one.
func (p Page) Told(b Block) Block {
	if p.Inner {
		return Block{}
	}
	return b
}

// drawPage makes a page as wide as widthPt with the blocks below each other, with a margin above and below; blocks
// without height are left out.
func drawPage(t *style.Typesetter, widthPt, marginPt float64, blocks []Block) (*style.Canvas, error) {
	height := 2*marginPt - blockGap
	blocks = slices.DeleteFunc(blocks, func(b Block) bool { return !(b.HeightPt > 0) })
	for _, b := range blocks {
		height += b.HeightPt + blockGap
	}
	c, err := style.NewCanvas(widthPt, math.Ceil(height), t)
	if err != nil {
		return nil, err
	}
	top := marginPt
	for _, b := range blocks {
		b.Draw(c, style.Box{Left: Margin, Right: widthPt - Margin, Top: top, Bottom: top + b.HeightPt})
		top += b.HeightPt + blockGap
	}
	return c, nil
}

// mostLines is the largest number of lines of one text: far more than any answer has.
const mostLines = 60

// Paragraph is text in one font, wrapped to the width; each entry starts a line. That of the small font is softer.
func Paragraph(t *style.Typesetter, entries []string, font style.Font, widthPt float64) Block {
	text := style.Text{Font: font}
	if font == style.SmallFont {
		text.Colour = style.SoftInk
	}
	var all []style.Text
	for _, text.Text = range entries {
		all = append(all, text)
	}
	return lines(t, widthPt, all...)
}

// lines is texts below each other, each wrapped to the width; any may be empty.
func lines(t *style.Typesetter, widthPt float64, texts ...style.Text) (b Block) {
	var all []style.Text
	for _, text := range texts {
		for _, text.Text = range t.Wrap(text.Text, text.Font, widthPt, mostLines) {
			all = append(all, text)
			b.HeightPt += text.Font.LineHeight()
		}
	}
	b.Draw = func(c *style.Canvas, box style.Box) {
		for _, line := range all {
			line.At = style.Pt(box.Left, box.Top)
			c.Write(line)
			box.Top += line.Font.LineHeight()
		}
	}
	return b
}

// Figure is one entry of a row of figures: a small label with a large value below, and the mark before the value.
type Figure struct {
	Label, Value string
	Mark         Mark
}

// The sizes of figures, in points.
const (
	figureHeight = 50.0 // of a row
	figureGap    = 10.0
	figureSign   = 22.0 // for a mark
)

// Figures is figures in columns of equal width, under a thin rule: one row where all texts have room, else more.
func Figures(t *style.Typesetter, figures []Figure, widthPt float64) Block {
	widest, label := 1.0, style.Text{Font: style.SmallFont, Colour: style.SoftInk}
	value := style.Text{Font: style.FigureFont, Anchor: style.MiddleLeft}
	for _, f := range figures {
		widest = math.Max(widest, figureGap+math.Max(f.sign()+t.Width(f.Value, value.Font), t.Width(f.Label, label.Font)))
	}
	columns := max(1, rowLength(len(figures), int(widthPt/widest)))
	rows := (len(figures) + columns - 1) / columns
	return Block{HeightPt: figureHeight * float64(rows), Draw: func(c *style.Canvas, box style.Box) {
		c.Line(style.Pt(box.Left, box.Top), style.Pt(box.Right, box.Top), style.Pen{Width: 1, Colour: style.Rule})
		wide := box.Width() / float64(columns)
		for i, f := range figures {
			x, y := box.Left+float64(i%columns)*wide, box.Top+float64(i/columns)*figureHeight
			label.Text, label.At = c.Shorten(f.Label, label.Font, wide-figureGap), style.Pt(x, y+10)
			c.Write(label)
			f.Mark.Sign(c, style.Pt(x+7, y+38), 5.5)
			value.Text, value.At = c.Shorten(f.Value, value.Font, wide-figureGap-f.sign()), style.Pt(x+f.sign(), y+38)
			c.Write(value)
		}
	}}
}

// sign is the room of a figure's mark.
func (f Figure) sign() float64 { return figureSign * float64(min(f.Mark, Disc)) }

// rowLength returns how many of n things stand in a row that has room for most of them, so that the rows are about
// equally long: 6 with room for 5 stand in rows of 3.
func rowLength(n, most int) int {
	rows := max(1, (n+max(most, 1)-1)/max(most, 1))
	return (n + rows - 1) / rows
}
