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

// Heading is a title with a second line below; either may be empty. What is too long ends with an ellipsis.
func Heading(title, subtitle string) Block {
	height := 0.0
	if title != "" {
		height += TitleFont.LineHeight()
	}
	if subtitle != "" {
		height += SubtitleFont.LineHeight()
	}
	return Block{HeightPt: height, Draw: func(c *Canvas, box Box) {
		top := box.Top
		if title != "" {
			c.Write(Text{Text: c.Shorten(title, TitleFont, box.Width()), At: Point{box.Left, top}, Font: TitleFont})
			top += TitleFont.LineHeight()
		}
		c.Write(Text{Text: c.Shorten(subtitle, SubtitleFont, box.Width()), At: Point{box.Left, top}, Font: SubtitleFont, Colour: SoftInk})
	}}
}

// Paragraph is text in one font, wrapped to the width; each entry starts a line, and takes at most maxLines.
func Paragraph(t *Typesetter, entries []string, font Font, widthPt float64, maxLines int) Block {
	var lines []string
	for _, e := range entries {
		lines = append(lines, t.Wrap(e, font, widthPt, maxLines)...)
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
		c.Ring(at, radiusPt*5/6, Pen{WidthPt: radiusPt / 3, Colour: Ink})
	}
}

// figureHeight is the height of a row of figures, in points.
const figureHeight = 50.0

// Figures is a row of figures in columns of equal width, under a thin rule.
func Figures(figures []Figure) Block {
	if len(figures) == 0 {
		return Block{}
	}
	return Block{HeightPt: figureHeight, Draw: func(c *Canvas, box Box) {
		c.Line(Point{box.Left, box.Top}, Point{box.Right, box.Top}, Pen{WidthPt: 1, Colour: Rule})
		wide := box.Width() / float64(len(figures))
		for i, f := range figures {
			left, room := box.Left+float64(i)*wide, wide-10
			c.Write(Text{Text: c.Shorten(f.Label, SmallFont, room), At: Point{left, box.Top + 10}, Font: SmallFont, Colour: SoftInk})
			c.Sign(Point{left + 7, box.Top + 38}, 6, f.Mark)
			if f.Mark != NoMark {
				left, room = left+22, room-22
			}
			c.Write(Text{Text: c.Shorten(f.Value, FigureFont, room), At: Point{left, box.Top + 38}, Anchor: MiddleLeft, Font: FigureFont})
		}
	}}
}
