package polar

import (
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The sizes of the cone picture, in points.
const (
	coneHeight  = 470.0
	coneTop     = 34.0 // for the module and the panel's name
	panelGap    = 90.0
	widestPanel = 1000.0
	rowLabel    = 80.0 // right of a panel, for the distances
	leastRow    = 16.0 // between the names of two distances
)

// Cone is the cone of a beam in the air, one panel a plane, with a table of its figures.
type Cone struct {
	fig.Page
	Beam *result.Beam
}

// Draw refuses a beam without rows.
func (p Cone) Draw() (*style.Canvas, error) {
	rows := p.Beam.Cone
	if len(rows) == 0 || !(rows[len(rows)-1].DistanceM > 0) {
		return nil, fmt.Errorf("polar: a cone without distances cannot be drawn")
	}
	p.Page.Notes = append([]string{"A spot is as wide as the light of half the centre-beam intensity or more; the " +
		"edge is where it ends. " +
		"All for 1000 lm that leave the optic, in air, on level planes."}, p.Page.Notes...)
	return p.Page.Draw(fig.PageWidth, func(t *style.Typesetter, textPt float64) []fig.Block {
		table, _ := p.table().Block(t, textPt)
		cuts := planes(p.Beam)
		wide := math.Min((textPt+panelGap)/float64(len(cuts))-panelGap-rowLabel, widestPanel)
		perM, deepest := p.scale(cuts, wide), rows[len(rows)-1].DistanceM
		return []fig.Block{{HeightPt: coneTop + 20 + perM*deepest + 12, Draw: func(c *style.Canvas, box style.Box) {
			for i, cut := range cuts {
				panel := style.Box{Left: box.Left + float64(i)*(wide+rowLabel+panelGap), Top: box.Top + coneTop + 20}
				panel.Right, panel.Bottom = panel.Left+wide, panel.Top+perM*deepest
				p.panel(c, cut, panel, perM)
			}
		}}, table}
	})
}

// scale returns the points a metre: the widest spot fits its panel, unless the cone would then be too flat to be read.
func (p Cone) scale(cuts []plane, wide float64) float64 {
	deepest, widest := p.Beam.Cone[len(p.Beam.Cone)-1].DistanceM, 0.0
	for _, cut := range cuts {
		left, right := cut.reach(deepest)
		widest = math.Max(widest, left+right)
	}
	perM := coneHeight / deepest
	if widest > 0 {
		perM = math.Max(math.Min(perM, wide/widest), coneHeight/3/deepest)
	}
	return perM
}

// reach returns how far a plane's spot reaches to both sides at a distance, in metres.
func (p plane) reach(distanceM float64) (left, right float64) {
	const steepest = 1.5
	return distanceM * math.Tan(math.Min(-p.beam[0], steepest)), distanceM * math.Tan(math.Min(p.beam[1], steepest))
}

// table is the figures: distance, spots, and the illuminance in the middle and at the edges.
func (p Cone) table() fig.Table {
	u := p.Units
	t := fig.Table{Columns: []string{"distance, " + u.Name(), "spot, " + u.Name(), "centre, lx", "edge, lx"}}
	if !p.Beam.Round {
		t.Columns = []string{"distance, " + u.Name(), "spot along, " + u.Name(), "spot across, " + u.Name(), "centre, lx",
			"edge along, lx", "edge across, lx"}
	}
	positive := func(v float64, text string) string {
		if v <= 0 {
			return "\u2013"
		}
		return text
	}
	spot := func(m float64) string { return positive(m, style.Number(m/u.Metres())) }
	lux := func(v float64) string { return positive(v, style.FourDigits(v)) }
	for _, r := range p.Beam.Cone {
		cells := []string{u.Figure(r.DistanceM), spot(r.SpotAlongM), lux(r.CentreLx), lux(r.EdgeAlongLx)}
		if !p.Beam.Round {
			cells = []string{cells[0], cells[1], spot(r.SpotAcrossM), cells[2], cells[3], lux(r.EdgeAcrossLx)}
		}
		t.Rows = append(t.Rows, fig.Row{Cells: cells})
	}
	return t
}

// panel draws the cone of one plane; what is wider than the panel is cut at its edges.
func (p Cone) panel(c *style.Canvas, cut plane, panel style.Box, perM float64) {
	rows := p.Beam.Cone
	deepest := rows[len(rows)-1].DistanceM
	left, right := cut.reach(deepest)
	x := panel.Centre().X + math.Max(-panel.Width()/3, math.Min(panel.Width()/3,
		perM*(left-right)/2)) // so that both edges are seen
	c.Write(style.Text{Text: c.Shorten(cut.name, style.LabelFont, panel.Width()), At: style.Pt(x, panel.Top-coneTop),
		Anchor: style.BottomMiddle,
		Font:   style.LabelFont, Colour: cut.colour})
	at := func(angle, m float64) style.Point {
		return style.Pt(x+perM*m*math.Tan(math.Max(-1.55, math.Min(1.55, angle))), panel.Top+perM*m)
	}
	named := panel.Top
	for _, r := range rows {
		y := panel.Top + perM*r.DistanceM
		c.Line(style.Pt(panel.Left, y), style.Pt(panel.Right, y), style.Pen{Width: 1, Colour: style.Rule})
		if from, to, ok := style.ClipLine(at(cut.beam[0], r.DistanceM), at(cut.beam[1], r.DistanceM), panel.Grown(1)); ok {
			c.Line(from, style.Pt(to.X, from.Y), style.Pen{Width: 3, Colour: style.Faded(cut.colour, 0.75)})
		}
		if y-named >= leastRow {
			named = y
			c.Write(style.Text{Text: p.Units.Length(r.DistanceM), At: style.Pt(panel.Right+8, y), Anchor: style.MiddleLeft,
				Font: style.LabelFont, Colour: style.SoftInk})
		}
	}
	c.Line(style.Pt(x, panel.Top), style.Pt(x, panel.Bottom), style.Pen{Width: 1, Colour: style.Rule})
	for _, angle := range cut.beam {
		if from, to, ok := style.ClipLine(style.Pt(x, panel.Top), at(angle, deepest), panel.Grown(1)); ok {
			c.Line(from, to, style.Pen{Width: 2.2, Colour: cut.colour, Dash: cut.dash})
		}
	}
	c.FillBox(style.Box{Left: x - 16, Right: x + 16, Top: panel.Top - 9, Bottom: panel.Top}, style.SoftInk)
}
