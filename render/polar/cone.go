package polar

import (
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The sizes of the cone picture, in points.
const (
	coneHeight = 520.0 // of the panels
	axesHigh   = 90.0  // of this, for the names and figures of the axes
	axesWide   = 120.0 // of a panel's width, and the distance of panels
	mostFlat   = 2.5   // lengths to the sides may be drawn so much shorter, that a wide beam finds room
)

// Cone is the cone of a beam in the air, one panel a plane, with a table of its figures.
type Cone struct {
	fig.Page
	Beam *result.Beam
}

// Draw refuses a beam without rows.
func (p Cone) Draw() (*style.Canvas, error) {
	rows, u := p.Beam.Cone, p.Units
	if len(rows) == 0 || !(rows[len(rows)-1].DistanceM > 0) {
		return nil, fmt.Errorf("polar: a cone without distances cannot be drawn")
	}
	c := chart.Chart{Page: p.Page, HeightPt: coneHeight}
	c.Notes = append([]string{"The spot is where the intensity is at least half the centre-beam intensity; the edge is " +
		"its rim. All for 1000 lm leaving the optic, in air, on horizontal planes."},
		p.Notes...)
	cuts, deepest := planes(p.Beam), rows[len(rows)-1].DistanceM
	wide := fig.PageWidth/float64(len(cuts)) - axesWide
	even := wide / (coneHeight - axesHigh) * deepest / 2 // m to each side, at which both axes have one scale
	half := even
	for _, cut := range cuts {
		for _, angle := range cut.edges[0] {
			half = math.Max(half, math.Min(1.05*deepest*math.Tan(math.Abs(angle)), mostFlat*even))
		}
	}
	for _, cut := range cuts {
		c.Panels = append(c.Panels, p.panel(cut, half/u.Metres()))
	}
	return c.Page.Draw(fig.PageWidth, func(t *style.Typesetter, textPt float64) []fig.Block {
		table, _ := p.table().Block(t, textPt)
		return append(c.Blocks(t, textPt), table)
	})
}

// panel returns the cone of one plane as lines from the optic downwards, with its spots at the distances. What is wider
// than half is cut there. Lengths are in the page's unit.
func (p Cone) panel(cut plane, half float64) chart.Panel {
	u := p.Units
	panel := chart.Panel{Y: chart.Axis{Label: "distance from the optic, " + u.Name(), Tight: true, Down: true},
		X: chart.Axis{Label: cut.name + ", " + u.Name(), Tight: true, Low: -half, High: half}}
	spotPen := style.Pen{Width: 3, Colour: style.Faded(cut.pen.Colour, 0.75)}
	deepest := 0.0
	for _, r := range p.Beam.Cone {
		deepest = r.DistanceM / u.Metres()
		panel.Y.At = append(panel.Y.At, deepest)
		spot := chart.Series{Pen: spotPen}
		for _, angle := range cut.edges[0] {
			x := math.Max(-half, math.Min(half, deepest*math.Tan(angle)))
			spot.X, spot.Y = append(spot.X, x), append(spot.Y, deepest)
		}
		panel.Series = append(panel.Series, spot)
	}
	for _, angle := range cut.edges[0] {
		slope := math.Tan(angle)
		end := math.Min(deepest, half/math.Abs(slope))
		panel.Series = append(panel.Series, chart.Series{Pen: cut.pen, X: []float64{0, slope * end}, Y: []float64{0, end}})
	}
	return panel
}

// table is the figures: distance, spots, and the illuminance in the middle and at the edges.
func (p Cone) table() fig.Table {
	u := p.Units
	t := fig.Table{Columns: []string{"distance, " + u.Name(), "spot along, " + u.Name(), "spot across, " + u.Name(),
		"centre, lx", "edge along, lx", "edge across, lx"}}
	if p.Beam.Round {
		t.Columns = []string{t.Columns[0], "spot, " + u.Name(), "centre, lx", "edge, lx"}
	}
	positive := func(v float64, say func(float64) string) string {
		if v <= 0 {
			return "\u2013"
		}
		return say(v)
	}
	spot := func(m float64) string { return positive(m/u.Metres(), style.Number) }
	for _, r := range p.Beam.Cone {
		cells := []string{u.Figure(r.DistanceM), spot(r.SpotAlongM), spot(r.SpotAcrossM)}
		for _, lx := range []float64{r.CentreLx, r.EdgeAlongLx, r.EdgeAcrossLx} {
			cells = append(cells, positive(lx, style.FourDigits))
		}
		if p.Beam.Round {
			cells = []string{cells[0], cells[1], cells[3], cells[4]}
		}
		t.Rows = append(t.Rows, fig.Row{Cells: cells})
	}
	return t
}
