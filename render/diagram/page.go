package diagram

import (
	"fmt"

	"fathomlux/render/style"
)

// Distances on the page, in points.
const (
	blockGap     = 16.0
	figureHeight = 50.0
	figureGap    = 12.0 // between figures, at least
	mostFigures  = 7    // in a row
	mostWrapped  = 60   // lines of a note or caution: far more than any has
	textWidth    = style.PageWidth - 2*style.Margin
)

// page is a diagram that is laid out: blocks below each other.
type page struct {
	diagram  Diagram
	set      *style.Typesetter
	panels   []panel
	notes    []string
	heightPt float64
}

// newPage lays a diagram out.
func newPage(d Diagram, t *style.Typesetter) (*page, error) {
	p := &page{diagram: d, set: t}
	lanes, cut := mostLanes, 0
	for _, f := range d.Feeds {
		one, left := newPanel(f, t, lanes)
		if len(one.bands) == 0 {
			cut += left
			continue
		}
		lanes, cut = lanes-one.lanes(), cut+left
		one.units = d.Units
		p.panels = append(p.panels, one)
	}
	if len(p.panels) == 0 {
		return nil, errNothing
	}
	p.notes = append([]string{legend}, d.Notes...)
	if cut > 0 {
		p.notes = append(p.notes, fmt.Sprintf("%d further lines of strings are wired alike and not drawn, for want of room.", cut))
	}
	if n := p.thinned(); n > 0 {
		p.notes = append(p.notes, fmt.Sprintf("%d further modules stand between those that are drawn, too close to be told apart.", n))
	}
	p.heightPt = p.height()
	return p, nil
}

// legend says what the signs mean.
const legend = "Each diode stands for one module, in its place along the rail and pointing with the current. The upper line of a string runs from plus through its modules, the lower one takes it back. Lines join only at dots. Numbers above a rail count its modules, those below are distances from its left end."

// thinned returns the number of modules that have no symbol.
func (p *page) thinned() int {
	n := 0
	for _, one := range p.panels {
		for _, b := range one.bands {
			for _, l := range b.lanes {
				n += l.hidden
			}
		}
	}
	return n
}

// lines are paragraphs of a font, wrapped.
type lines struct {
	font  style.Font
	soft  bool
	texts []string
}

// paragraphs returns notes, cautions and footer.
func (p *page) paragraphs() []lines {
	wrap := func(entries []string, font style.Font, soft bool) lines {
		l := lines{font: font, soft: soft}
		for _, e := range entries {
			l.texts = append(l.texts, p.set.Wrap(e, font, textWidth, mostWrapped)...)
		}
		return l
	}
	var cautions []string
	for _, c := range p.diagram.Cautions {
		cautions = append(cautions, "Caution: "+c)
	}
	return []lines{wrap(p.notes, style.SmallFont, true), wrap(cautions, style.TextFont, false), wrap([]string{p.diagram.Footer}, style.SmallFont, true)}
}

func (l lines) height() float64 { return float64(len(l.texts)) * l.font.LineHeight() }

// figureRows returns the figures in rows of equal columns, as many in a row as have room for all texts.
func (p *page) figureRows() [][]Figure {
	widest := 1.0
	for _, f := range p.diagram.Figures {
		widest = max(widest, figureGap+max(p.set.Width(f.Label, style.SmallFont), p.set.Width(f.Value, style.FigureFont)))
	}
	most := style.RowLength(len(p.diagram.Figures), min(mostFigures, int(textWidth/widest)))
	var rows [][]Figure
	for all := p.diagram.Figures; len(all) > 0; {
		n := min(most, len(all))
		rows, all = append(rows, all[:n]), all[n:]
	}
	return rows
}

// height returns the page's height.
func (p *page) height() float64 {
	h := 2*style.Margin - blockGap + p.headHeight() + blockGap
	for _, one := range p.panels {
		h += one.height() + blockGap
	}
	for range p.figureRows() {
		h += figureHeight + blockGap
	}
	for _, l := range p.paragraphs() {
		if len(l.texts) > 0 {
			h += l.height() + blockGap
		}
	}
	return h
}

func (p *page) headHeight() float64 {
	h := 0.0
	for _, l := range p.headLines() {
		h += l.height()
	}
	return h
}

// headLines returns the title and the line below it, wrapped.
func (p *page) headLines() []lines {
	return []lines{
		{font: style.TitleFont, texts: p.set.Wrap(p.diagram.Title, style.TitleFont, textWidth, style.HeadingLines)},
		{font: style.SubtitleFont, texts: p.set.Wrap(p.diagram.Subtitle, style.SubtitleFont, textWidth, style.HeadingLines), soft: true},
	}
}

// drawOn draws all blocks from top to bottom.
func (p *page) drawOn(s surface) {
	y := style.Margin
	for _, l := range p.headLines() {
		l.drawOn(s, y)
		y += l.height()
	}
	y += blockGap
	for i, one := range p.panels {
		if i > 0 {
			s.Line(style.Point{X: style.Margin, Y: y - blockGap/2}, style.Point{X: style.PageWidth - style.Margin, Y: y - blockGap/2}, style.Pen{WidthPt: 1, Colour: style.Rule})
		}
		one.drawOn(s, y)
		y += one.height() + blockGap
	}
	for _, row := range p.figureRows() {
		p.figures(s, row, y)
		y += figureHeight + blockGap
	}
	for _, l := range p.paragraphs() {
		l.drawOn(s, y)
		if len(l.texts) > 0 {
			y += l.height() + blockGap
		}
	}
}

// drawOn writes the lines at the left margin from y down.
func (l lines) drawOn(s surface, y float64) {
	colour := style.Ink
	if l.soft {
		colour = style.SoftInk
	}
	for i, text := range l.texts {
		s.Write(style.Text{Text: text, At: style.Point{X: style.Margin, Y: y + float64(i)*l.font.LineHeight()}, Font: l.font, Colour: colour})
	}
}

// figures draws one row of figures under a thin rule.
func (p *page) figures(s surface, row []Figure, y float64) {
	left, right := style.Margin, style.PageWidth-style.Margin
	s.Line(style.Point{X: left, Y: y}, style.Point{X: right, Y: y}, style.Pen{WidthPt: 1, Colour: style.Rule})
	wide := (right - left) / float64(max(len(row), 4))
	for i, f := range row {
		x, room := left+float64(i)*wide, wide-figureGap
		s.Write(style.Text{Text: p.set.Shorten(f.Label, style.SmallFont, room), At: style.Point{X: x, Y: y + 10}, Font: style.SmallFont, Colour: style.SoftInk})
		s.Write(style.Text{Text: p.set.Shorten(f.Value, style.FigureFont, room), At: style.Point{X: x, Y: y + 38}, Anchor: style.MiddleLeft, Font: style.FigureFont})
	}
}
