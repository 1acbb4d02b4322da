package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// look is how a line is told apart: by colour for most eyes, by dash and mark for all eyes and in grey print.
type look struct {
	colour color.NRGBA
	dash   []float64
	mark   shape
}

// looks are taken in turn: the pens of package style, each with a mark of its own.
var looks = func() (all []look) {
	for i, mark := range []shape{disc, hollowSquare, wedge, ring, square, hollowWedge, diamond, hollowDiamond} {
		pen := style.SeriesPen(i, 0)
		all = append(all, look{colour: pen.Colour, dash: pen.Dash, mark: mark})
	}
	return all
}()

// lookOf returns the i-th look; after all have been used, colours come with other dashes and marks.
func lookOf(i int) look {
	l, round := looks[i%len(looks)], i/len(looks)
	if round > 0 {
		l.dash, l.mark = style.SeriesPen(i, 0).Dash, looks[(i+3*round)%len(looks)].mark
	}
	return l
}

func (l look) line(widthPt float64) draw.LineStyle {
	style := draw.LineStyle{Color: l.colour, Width: vg.Length(widthPt)}
	for _, d := range l.dash {
		style.Dashes = append(style.Dashes, vg.Length(d))
	}
	return style
}

func (l look) glyph(radiusPt float64) draw.GlyphStyle {
	return draw.GlyphStyle{Color: l.colour, Radius: vg.Length(radiusPt), Shape: l.mark}
}

// shape is a mark with corners on a circle, or a whole circle where it has none; a hollow one is filled with paper.
type shape struct {
	corners int
	turnRad float64 // of the first corner against the right
	hollow  bool
}

// The marks.
var (
	disc, ring              = shape{}, shape{hollow: true}
	square, hollowSquare    = shape{corners: 4, turnRad: math.Pi / 4}, shape{corners: 4, turnRad: math.Pi / 4, hollow: true}
	wedge, hollowWedge      = shape{corners: 3, turnRad: math.Pi / 2}, shape{corners: 3, turnRad: math.Pi / 2, hollow: true}
	diamond, hollowDiamond  = shape{corners: 4}, shape{corners: 4, hollow: true}
	hollowWidth, cornerGrow = vg.Length(1.6), vg.Length(1.2)
)

// DrawGlyph implements draw.GlyphDrawer.
func (s shape) DrawGlyph(c *draw.Canvas, sty draw.GlyphStyle, at vg.Point) {
	var p vg.Path
	if s.corners == 0 {
		p.Move(vg.Point{X: at.X + sty.Radius, Y: at.Y})
		p.Arc(at, sty.Radius, 0, 2*math.Pi)
	}
	for i := range s.corners {
		sin, cos := math.Sincos(s.turnRad + 2*math.Pi*float64(i)/float64(s.corners))
		corner := vg.Point{X: at.X + cornerGrow*sty.Radius*vg.Length(cos), Y: at.Y + cornerGrow*sty.Radius*vg.Length(sin)}
		if i == 0 {
			p.Move(corner)
		} else {
			p.Line(corner)
		}
	}
	p.Close()
	if !s.hollow {
		c.SetColor(sty.Color)
		c.Fill(p)
		return
	}
	c.SetColor(style.Paper)
	c.Fill(p)
	c.SetLineStyle(draw.LineStyle{Color: sty.Color, Width: hollowWidth})
	c.Stroke(p)
}

// The colours of marks.
var (
	deepBlue = looks[0].colour
	warm     = looks[1].colour
	softBlue = color.NRGBA{R: 108, G: 128, B: 160, A: 255}
	gridLine = color.NRGBA{R: 226, G: 227, B: 228, A: 255}
	region   = color.NRGBA{R: 214, G: 232, B: 224, A: 255} // where both goals are met
)

// sample is a mark or a piece of a line with its meaning, for a legend.
type sample struct {
	text    string
	widthPt float64
	draw    func(b *board, at style.Point) // around the middle of a space widthPt wide
}

// Legend sizes, in points.
const (
	markSample = 16.0 // width of a mark's sample
	lineSample = 34.0
	sampleGap  = 30.0 // to the next sample
	legendRow  = 20.0
	widestName = 380.0
)

// legend is a row of samples, or several where one is not enough; nothing meets.
func legend(t *style.Typesetter, samples []sample, widthPt float64) fig.Block {
	type placed struct {
		x    float64
		row  int
		text string
	}
	places, x, row := make([]placed, len(samples)), 0.0, 0
	for i, s := range samples {
		name := t.Shorten(s.text, style.SmallFont, min(widestName, widthPt-s.widthPt-8))
		wide := s.widthPt + 8 + t.Width(name, style.SmallFont)
		if x > 0 && x+wide > widthPt {
			x, row = 0, row+1
		}
		places[i] = placed{x, row, name}
		x += wide + sampleGap
	}
	if len(samples) == 0 {
		return fig.Block{}
	}
	return fig.Block{HeightPt: float64(row+1) * legendRow, Draw: func(c *style.Canvas, box style.Box) {
		b := newBoard(c)
		for i, p := range places {
			y := box.Top + (float64(p.row)+0.5)*legendRow
			samples[i].draw(b, style.Pt(box.Left+p.x+samples[i].widthPt/2, y))
			c.Write(style.Text{
				Text: p.text, At: style.Pt(box.Left+p.x+samples[i].widthPt+8, y),
				Anchor: style.MiddleLeft, Font: style.SmallFont, Colour: style.SoftInk,
			})
		}
	}}
}

// sampleOfMark is a mark's sample.
func sampleOfMark(text string, g draw.GlyphStyle) sample {
	return sample{text: text, widthPt: markSample, draw: func(b *board, at style.Point) { b.glyph(g, at) }}
}

// sampleOfRegion is a shaded region's sample.
func sampleOfRegion(text string) sample {
	return sample{text: text, widthPt: 2 * regionWidth, draw: func(b *board, at style.Point) {
		b.page.FillBox(style.Box{Left: at.X - regionWidth, Right: at.X + regionWidth, Top: at.Y - 6, Bottom: at.Y + 6}, region)
	}}
}

// sampleOfLine is a line's sample; g may be without shape.
func sampleOfLine(text string, l draw.LineStyle, g draw.GlyphStyle) sample {
	return sample{text: text, widthPt: lineSample, draw: func(b *board, at style.Point) {
		from, to := b.back(style.Pt(at.X-lineSample/2, at.Y)), b.back(style.Pt(at.X+lineSample/2, at.Y))
		c := draw.Canvas{Canvas: b}
		c.StrokeLine2(l, from.X, from.Y, to.X, to.Y)
		if g.Shape != nil {
			b.glyph(g, at)
		}
	}}
}

// back returns the place on the vector canvas, untransformed, of a place on the page.
func (b *board) back(p style.Point) vg.Point {
	return vg.Point{X: vg.Length(p.X), Y: vg.Length(b.page.Page().Bottom - p.Y)}
}

// glyph draws a mark at a place on the page.
func (b *board) glyph(g draw.GlyphStyle, at style.Point) {
	c := draw.Canvas{Canvas: b}
	c.DrawGlyphNoClip(g, b.back(at))
}
