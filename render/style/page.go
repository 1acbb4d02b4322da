package style

import "math"

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
	Draw     func(c *Canvas, box Box)
}

// DrawPage makes a page as wide as widthPt with the blocks below each other; blocks without height are left out.
func DrawPage(t *Typesetter, widthPt float64, blocks []Block) (*Canvas, error) {
	height := 2*Margin - blockGap
	for _, b := range blocks {
		if b.HeightPt > 0 {
			height += b.HeightPt + blockGap
		}
	}
	c, err := NewCanvas(widthPt, math.Ceil(height), t)
	if err != nil {
		return nil, err
	}
	top := Margin
	for _, b := range blocks {
		if b.HeightPt > 0 {
			b.Draw(c, Box{Left: Margin, Right: widthPt - Margin, Top: top, Bottom: top + b.HeightPt})
			top += b.HeightPt + blockGap
		}
	}
	return c, nil
}

// headingLines is the largest number of lines of a title or a second line; no text of a scene takes more.
const headingLines = 24

// Heading is a title with a second line below, both wrapped to the width; either may be empty.
func Heading(t *Typesetter, title, subtitle string, widthPt float64) Block {
	titles, seconds := t.Wrap(title, TitleFont, widthPt, headingLines), t.Wrap(subtitle, SubtitleFont, widthPt, headingLines)
	height := float64(len(titles))*TitleFont.LineHeight() + float64(len(seconds))*SubtitleFont.LineHeight()
	return Block{HeightPt: height, Draw: func(c *Canvas, box Box) {
		for _, line := range titles {
			c.Write(Text{Text: line, At: Point{box.Left, box.Top}, Font: TitleFont})
			box.Top += TitleFont.LineHeight()
		}
		for _, line := range seconds {
			c.Write(Text{Text: line, At: Point{box.Left, box.Top}, Font: SubtitleFont, Colour: SoftInk})
			box.Top += SubtitleFont.LineHeight()
		}
	}}
}

// paragraphLines is the largest number of lines of one entry of a Paragraph: far more than any answer has.
const paragraphLines = 60

// Paragraph is text in one font, wrapped to the width; each entry starts a line.
func Paragraph(t *Typesetter, entries []string, font Font, widthPt float64) Block {
	var lines []string
	for _, e := range entries {
		lines = append(lines, t.Wrap(e, font, widthPt, paragraphLines)...)
	}
	colour := Ink
	if font == SmallFont {
		colour = SoftInk
	}
	return Block{HeightPt: float64(len(lines)) * font.LineHeight(), Draw: func(c *Canvas, box Box) {
		for i, line := range lines {
			c.Write(Text{Text: line, At: Point{box.Left, box.Top + float64(i)*font.LineHeight()}, Font: font, Colour: colour})
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
func (c *Canvas) Sign(at Point, radiusPt float64, mark FigureMark) {
	switch mark {
	case Filled:
		c.Dot(at, radiusPt, Ink)
	case Hollow:
		c.Ring(at, radiusPt*5/6, Pen{Width: radiusPt / 3, Colour: Ink})
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
func Figures(t *Typesetter, figures []Figure, widthPt float64) Block {
	if len(figures) == 0 {
		return Block{}
	}
	widest := 0.0
	for _, f := range figures {
		value := t.Width(f.Value, FigureFont)
		if f.Mark != NoMark {
			value += figureSign
		}
		widest = math.Max(widest, math.Max(value, t.Width(f.Label, SmallFont))+figureGap)
	}
	columns := rowLength(len(figures), int(widthPt/widest))
	rows := (len(figures) + columns - 1) / columns
	return Block{HeightPt: figureHeight * float64(rows), Draw: func(c *Canvas, box Box) {
		c.Line(Point{box.Left, box.Top}, Point{box.Right, box.Top}, Pen{Width: 1, Colour: Rule})
		wide := box.Width() / float64(columns)
		for i, f := range figures {
			f.draw(c, Point{box.Left + float64(i%columns)*wide, box.Top + float64(i/columns)*figureHeight}, wide-figureGap)
		}
	}}
}

// rowLength returns how many of n things stand in a row that has room for most of them, so that the rows are about equally
// long: 6 with room for 5 stand in rows of 3.
func rowLength(n, most int) int {
	rows := max(1, (n+max(most, 1)-1)/max(most, 1))
	return (n + rows - 1) / rows
}

// draw writes a figure with its upper left corner at a place.
func (f Figure) draw(c *Canvas, at Point, room float64) {
	c.Write(Text{Text: c.Shorten(f.Label, SmallFont, room), At: Point{at.X, at.Y + 10}, Font: SmallFont, Colour: SoftInk})
	c.Sign(Point{at.X + 7, at.Y + 38}, 6, f.Mark)
	if f.Mark != NoMark {
		at.X, room = at.X+figureSign, room-figureSign
	}
	c.Write(Text{Text: c.Shorten(f.Value, FigureFont, room), At: Point{at.X, at.Y + 38}, Anchor: MiddleLeft, Font: FigureFont})
}
