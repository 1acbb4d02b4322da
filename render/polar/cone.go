package polar

import (
	"fmt"
	"math"
	"strconv"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The sizes of the cone picture, in points.
const (
	coneHeight  = 470.0
	coneTop     = 34.0 // for the lamp and the panel's name
	coneLeast   = 34.0 // between two rows
	columnWidth = 112.0
	panelGap    = 28.0
	widestPanel = 720.0
	headRoom    = 40.0
)

// Cone draws the cone of a beam in the air, one panel a plane, with its figures on the level of each distance. It refuses a
// beam without rows.
func Cone(b *result.Beam, p Page) (*style.Canvas, error) {
	if len(b.Cone) == 0 || !(b.Cone[len(b.Cone)-1].DistanceM > 0) {
		return nil, fmt.Errorf("polar: a cone without distances cannot be drawn")
	}
	t, err := style.NewTypesetter(p.PixelFactor)
	if err != nil {
		return nil, err
	}
	d := cone{beam: b, page: p, planes: planes(b)}
	d.columns = d.figures()
	d.layOut()
	return fig.DrawPage(t, fig.PageWidth, []fig.Block{
		fig.Heading(t, p.Title, p.Subtitle, fig.PageWidth-2*fig.Margin),
		{HeightPt: headRoom + coneTop + d.perM*d.deepest() + 26, Draw: d.draw},
		fig.Paragraph(t, append([]string{"A spot is as wide as the light of half the centre-beam intensity or more; the edge is where it ends. All for 1000 lm that leave the optic, in air, on level planes."}, p.Notes...), style.TextFont, fig.PageWidth-2*fig.Margin),
		fig.Paragraph(t, []string{p.Footer}, style.SmallFont, fig.PageWidth-2*fig.Margin),
	})
}

// cone is a cone picture that is being drawn.
type cone struct {
	beam    *result.Beam
	page    Page
	planes  []plane
	columns []column
	panel   float64 // width of one panel
	perM    float64
}

// column is a column of figures.
type column struct {
	head  [2]string
	cells []string
}

func (d *cone) deepest() float64 { return d.beam.Cone[len(d.beam.Cone)-1].DistanceM }

// layOut chooses the scale: the widest spot fits its panel, unless the rows would then stand closer than text allows.
func (d *cone) layOut() {
	n := float64(len(d.planes))
	d.panel = (fig.PageWidth-2*fig.Margin-columnWidth*float64(len(d.columns)))/n - panelGap
	d.panel = math.Min(d.panel, widestPanel)
	widest := 0.0
	for _, p := range d.planes {
		left, right := d.reaches(p)
		widest = math.Max(widest, left+right)
	}
	d.perM = coneHeight / d.deepest()
	if widest > 0 {
		d.perM = math.Min(d.perM, d.panel/widest)
	}
	least := d.beam.Cone[0].DistanceM
	for i := 1; i < len(d.beam.Cone); i++ {
		least = math.Min(least, d.beam.Cone[i].DistanceM-d.beam.Cone[i-1].DistanceM)
	}
	d.perM = math.Max(d.perM, coneLeast/least)
}

// reaches returns how far a plane's spot reaches to both sides at the deepest row, in metres.
func (d *cone) reaches(p plane) (left, right float64) {
	const steepest = 1.5
	return d.deepest() * math.Tan(math.Min(-p.beam[0], steepest)), d.deepest() * math.Tan(math.Min(p.beam[1], steepest))
}

// figures returns the columns: distance, spots, and the illuminance in the middle and at the edges.
func (d *cone) figures() []column {
	u := d.page.Units
	list := []column{{head: [2]string{"distance", u.Name()}}, {head: [2]string{"spot", u.Name()}}, {head: [2]string{"centre", "lx"}}, {head: [2]string{"edge", "lx"}}}
	if len(d.planes) > 1 {
		list[1].head[0], list[3].head[0] = "spot along", "edge along"
		list = append(list[:2:2], column{head: [2]string{"spot across", u.Name()}}, list[2], list[3], column{head: [2]string{"edge across", "lx"}})
	}
	for _, r := range d.beam.Cone {
		cells := []string{u.Figure(r.DistanceM), spotText(u, r.SpotAlongM), lux(r.CentreLx), lux(r.EdgeAlongLx)}
		if len(d.planes) > 1 {
			cells = []string{cells[0], cells[1], spotText(u, r.SpotAcrossM), cells[2], cells[3], lux(r.EdgeAcrossLx)}
		}
		for i := range list {
			list[i].cells = append(list[i].cells, cells[i])
		}
	}
	return list
}

// none stands for a figure that there is none of.
const none = "\u2013"

func spotText(u style.Units, m float64) string {
	if m <= 0 {
		return none
	}
	return u.Figure(u.Metres() * math.Round(m/u.Metres()*spotDigits(u)) / spotDigits(u))
}

// spotDigits is the part of a unit to which spots are written.
func spotDigits(u style.Units) float64 {
	if u == style.US {
		return 10
	}
	return 1
}

func lux(v float64) string {
	if v <= 0 {
		return none
	}
	return rounded(v)
}

// rounded writes a number with four digits that count.
func rounded(v float64) string {
	if v < 999.5 {
		return style.Number(v)
	}
	step := math.Pow(10, math.Max(0, math.Floor(math.Log10(v))-3))
	return strconv.FormatFloat(math.Round(v/step)*step, 'f', 0, 64)
}

func (d *cone) draw(c *style.Canvas, box style.Box) {
	top := box.Top + headRoom + coneTop
	for i, p := range d.planes {
		left := box.Left + float64(i)*(d.panel+panelGap)
		panel := style.Box{Left: left, Right: left + d.panel, Top: top, Bottom: top + d.perM*d.deepest()}
		d.onePanel(c, p, panel)
	}
	d.table(c, box, top)
}

// onePanel draws the cone of one plane; what is wider than the panel is cut at its edges.
func (d *cone) onePanel(c *style.Canvas, p plane, panel style.Box) {
	left, right := d.reaches(p)
	lean := d.perM * (left - right) / 2 // a leaning beam hangs off the middle, so that both its edges are seen
	x := panel.Centre().X + math.Max(-d.panel/3, math.Min(d.panel/3, lean))
	name := p.name
	if len(d.planes) == 1 {
		name = "all planes"
	}
	c.Write(style.Text{Text: c.Shorten(name, style.LabelFont, d.panel), At: style.Pt(panel.Centre().X, panel.Top-coneTop-10), Anchor: style.BottomMiddle, Font: style.LabelFont, Colour: p.colour})
	at := func(angle, m float64) style.Point {
		return style.Pt(x+d.perM*m*math.Tan(math.Max(-1.55, math.Min(1.55, angle))), panel.Top+d.perM*m)
	}
	for _, r := range d.beam.Cone {
		y := panel.Top + d.perM*r.DistanceM
		c.Line(style.Pt(panel.Left, y), style.Pt(panel.Right, y), style.Pen{Width: 1, Colour: style.Rule})
		if from, to, ok := style.ClipLine(at(p.beam[0], r.DistanceM), at(p.beam[1], r.DistanceM), panel.Grown(1)); ok {
			c.Line(from, style.Pt(to.X, from.Y), style.Pen{Width: 3, Colour: style.Faded(p.colour, 0.75)})
		}
	}
	c.Line(style.Pt(x, panel.Top), style.Pt(x, panel.Bottom), style.Pen{Width: 1, Colour: style.Rule})
	for _, angle := range p.beam {
		if from, to, ok := style.ClipLine(style.Pt(x, panel.Top), at(angle, d.deepest()), panel.Grown(1)); ok {
			c.Polyline([]style.Point{from, to}, style.Pen{Width: 2.2, Colour: p.colour, Dash: p.dash})
		}
	}
	c.FillBox(style.Box{Left: x - 16, Right: x + 16, Top: panel.Top - 9, Bottom: panel.Top}, style.SoftInk)
}

// table writes the figures right of the panels, each row on the level of its distance.
func (d *cone) table(c *style.Canvas, box style.Box, top float64) {
	right := box.Right
	for i := len(d.columns) - 1; i >= 0; i-- {
		col := d.columns[i]
		for line, word := range col.head {
			c.Write(style.Text{Text: word, At: style.Pt(right, box.Top+float64(line)*style.SmallFont.LineHeight()), Anchor: style.TopRight, Font: style.SmallFont, Colour: style.SoftInk})
		}
		for k, cell := range col.cells {
			y := top + d.perM*d.beam.Cone[k].DistanceM
			c.Write(style.Text{Text: cell, At: style.Pt(right, y), Anchor: style.MiddleRight, Font: style.TextFont})
		}
		right -= columnWidth
	}
}
