// Package fig holds the pieces that pictures are made of: pages of blocks, tables, figures, rulers, the colour scale,
// fields as colours and as isolines with labels. It knows no tank and no light. Next: package style for what they are
// drawn on.
package fig

import (
	"math"

	"fathomlux/render/style"
)

// Page margins and distances, in points.
const (
	PageWidth = 1400.0 // of a picture whose frame takes all the width
	Margin    = 42.0
	blockGap  = 16.0
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
}

// Draw makes a page as wide as widthPt: the title, the strips that build returns for a text of textPt, notes and
// footer.
func (p Page) Draw(widthPt float64, build func(t *style.Typesetter, textPt float64) []Block) (*style.Canvas, error) {
	t, err := style.NewTypesetter(p.PixelFactor)
	if err != nil {
		return nil, err
	}
	textPt := widthPt - 2*Margin
	blocks := append([]Block{heading(t, p.Title, p.Subtitle, textPt)}, build(t, textPt)...)
	blocks = append(blocks, Paragraph(t, p.Notes, style.TextFont, textPt),
		Paragraph(t, []string{p.Footer}, style.SmallFont, textPt))
	c, err := drawPage(t, widthPt, blocks)
	if err == nil {
		c.Title = p.Title + ", " + p.Subtitle
	}
	return c, err
}

// drawPage makes a page as wide as widthPt with the blocks below each other; blocks without height are left out.
func drawPage(t *style.Typesetter, widthPt float64, blocks []Block) (*style.Canvas, error) {
	height := 2*Margin - blockGap
	for _, b := range blocks {
		if b.HeightPt > 0 {
			height += b.HeightPt + blockGap
		}
	}
	c, err := style.NewCanvas(widthPt, math.Ceil(height), t)
	if err != nil {
		return nil, err
	}
	top := Margin
	for _, b := range blocks {
		if b.HeightPt > 0 {
			b.Draw(c, style.Box{Left: Margin, Right: widthPt - Margin, Top: top, Bottom: top + b.HeightPt})
			top += b.HeightPt + blockGap
		}
	}
	return c, nil
}

// mostLines is the largest number of lines of one text: far more than any answer has.
const mostLines = 60

// heading is a title with a second line below, both wrapped to the width; either may be empty.
func heading(t *style.Typesetter, title, subtitle string, widthPt float64) Block {
	return stack(append(lines(t, title, style.TitleFont, widthPt), lines(t, subtitle, style.SubtitleFont, widthPt)...))
}

// Paragraph is text in one font, wrapped to the width; each entry starts a line.
func Paragraph(t *style.Typesetter, entries []string, font style.Font, widthPt float64) Block {
	var all []style.Text
	for _, e := range entries {
		all = append(all, lines(t, e, font, widthPt)...)
	}
	return stack(all)
}

// lines returns a text wrapped to the width; that of the lesser fonts is softer.
func lines(t *style.Typesetter, text string, font style.Font, widthPt float64) (list []style.Text) {
	colour := style.Ink
	if font == style.SmallFont || font == style.SubtitleFont {
		colour = style.SoftInk
	}
	for _, line := range t.Wrap(text, font, widthPt, mostLines) {
		list = append(list, style.Text{Text: line, Font: font, Colour: colour})
	}
	return list
}

// stack sets lines below each other.
func stack(list []style.Text) Block {
	height := 0.0
	for _, line := range list {
		height += line.Font.LineHeight()
	}
	return Block{HeightPt: height, Draw: func(c *style.Canvas, box style.Box) {
		for _, line := range list {
			line.At = style.Pt(box.Left, box.Top)
			c.Write(line)
			box.Top += line.Font.LineHeight()
		}
	}}
}

// Figure is one entry of a row of figures: a small label with a large value below. Mark draws a dot before
// the value: filled for good, an empty ring for not good.
type Figure struct {
	Label, Value string
	Mark         FigureMark
}

// FigureMark is the sign before a figure's value.
type FigureMark int

// The signs of figures.
const (
	NoMark FigureMark = iota
	Filled
	Hollow
)

// Sign draws a mark around a place: a disc, or a ring of the same size.
func (m FigureMark) Sign(c *style.Canvas, at style.Point, radiusPt float64) {
	switch m {
	case Filled:
		c.Dot(at, radiusPt, style.Ink)
	case Hollow:
		c.Ring(at, radiusPt*5/6, style.Pen{Width: radiusPt / 3, Colour: style.Ink})
	}
}

// figureHeight is the height of a row of figures, in points.
const figureHeight = 50.0

// The room that a figure needs beyond its texts, in points.
const (
	figureGap  = 10.0
	figureSign = 22.0 // for its mark
)

// Figures is figures in columns of equal width, under a thin rule: one row where all texts have room, else more.
func Figures(t *style.Typesetter, figures []Figure, widthPt float64) Block {
	widest := 1.0
	for _, f := range figures {
		widest = math.Max(widest, figureGap+math.Max(f.sign()+t.Width(f.Value, style.FigureFont),
			t.Width(f.Label, style.SmallFont)))
	}
	columns := max(1, rowLength(len(figures), int(widthPt/widest)))
	rows := (len(figures) + columns - 1) / columns
	return Block{HeightPt: figureHeight * float64(rows), Draw: func(c *style.Canvas, box style.Box) {
		c.Line(style.Pt(box.Left, box.Top), style.Pt(box.Right, box.Top), style.Pen{Width: 1, Colour: style.Rule})
		wide := box.Width() / float64(columns)
		for i, f := range figures {
			f.draw(c, style.Pt(box.Left+float64(i%columns)*wide, box.Top+float64(i/columns)*figureHeight), wide-figureGap)
		}
	}}
}

// sign is the room of a figure's mark.
func (f Figure) sign() float64 {
	if f.Mark == NoMark {
		return 0
	}
	return figureSign
}

// rowLength returns how many of n things stand in a row that has room for most of them, so that the rows are about
// equally long: 6 with room for 5 stand in rows of 3.
func rowLength(n, most int) int {
	rows := max(1, (n+max(most, 1)-1)/max(most, 1))
	return (n + rows - 1) / rows
}

// draw writes a figure with its upper left corner at a place.
func (f Figure) draw(c *style.Canvas, at style.Point, room float64) {
	c.Write(style.Text{Text: c.Shorten(f.Label, style.SmallFont, room), At: style.Pt(at.X, at.Y+10),
		Font: style.SmallFont, Colour: style.SoftInk})
	f.Mark.Sign(c, style.Pt(at.X+7, at.Y+38), 6)
	c.Write(style.Text{Text: c.Shorten(f.Value, style.FigureFont, room-f.sign()), Font: style.FigureFont,
		At: style.Pt(at.X+f.sign(), at.Y+38), Anchor: style.MiddleLeft})
}
