// Package heatmap draws the plan of one plane: the tank seen from above, front edge at the bottom, the light as
// colours with isolines, rails, modules and obstacles where they are, dark corners, rulers, the colour scale and the
// figures. It computes no light and decides nothing about it: what it says is what it is given.
// Lengths are metres in the tank's axes, light is in the field's own unit.
// Next: package section for the vertical slice, package style for the pieces both are made of.
package heatmap

import (
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Rail is a rail's outline from above. Its middle line runs along x at YM.
type Rail struct {
	LeftM, RightM, YM, WidthM float64
	Name                      string
}

// Mark is a module's outline from above, centred on (XM, YM). Kind tells parts apart: 0 is a plain outline, 1 has a
// diagonal, 2 two. An empty Label is the mark's number, from 1.
type Mark struct {
	XM, YM, LengthM, WidthM float64
	Kind                    int
	Label                   string
}

// Rect is an obstacle's outline from above.
type Rect struct {
	LeftM, FrontM, RightM, BackM float64
	Name                         string
}

// Plan is all that a plan picture shows.
type Plan struct {
	Title, Subtitle string
	Field           result.Field
	Quantity        result.Quantity
	Statistics      result.Statistics // of the quantity
	Unit            string            // empty: the quantity's own
	Goal            result.Goal
	GoalNote        string  // told where the goal asks nothing of this plan: "none set" where empty
	GoalLevel       float64 // of the quantity, drawn as a heavier isoline; 0 where the goal names none
	Engine, Footer  string  // small lines at the bottom
	LengthM, WidthM float64 // of the tank, inside
	Rails           []Rail
	Modules         []Mark
	Signs           string // what the diagonals in modules say; empty where there are none
	Obstacles       []Rect
	Dark            []result.DarkCorner
	DarkLimit       float64     // the limit that the dark corners are below, of the quantity; 0 is not told
	Scale           style.Scale // zero: from 0 to the field's highest
	Units           style.Units
	PixelFactor     float64 // 0 is 1; 2 for a sharper picture
}

// The tallest and lowest plan, in points, and the room around it beyond the rulers.
const (
	tallestPlan = 900.0
	longestPlan = fig.PageWidth - 2*fig.Margin - fig.RulerWidth - 34
	narrowPage  = 1000.0
	edgeName    = 24.0 // a line for "back" above, "front" below
)

// Draw draws the plan. Its true aspect is kept; the page is 1400 points wide, less where the tank is not long
// for its width. It refuses sizes that are no sizes, and a field whose values are not as many as its cells.
func Draw(p Plan) (*style.Canvas, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	t, err := style.NewTypesetter(p.PixelFactor)
	if err != nil {
		return nil, err
	}
	if !p.Scale.Usable() {
		p.Scale = style.ScaleFor(p.values())
	}
	wide, high := p.size()
	pageWidth := math.Max(narrowPage, fig.PageWidth-longestPlan+wide)
	textWidth := pageWidth - 2*fig.Margin
	return fig.DrawPage(t, pageWidth, []fig.Block{
		fig.Heading(t, p.Title, p.Subtitle, textWidth),
		{HeightPt: edgeName + high + fig.RulerHeight + edgeName, Draw: func(c *style.Canvas, box style.Box) {
			frame := style.Box{Left: box.Left + fig.RulerWidth, Top: box.Top + edgeName}
			frame.Right, frame.Bottom = frame.Left+wide, frame.Top+high
			drawing{Plan: p, Canvas: c, frame: frame}.plan()
		}},
		fig.BarFor(p.Quantity.Name(), p.unit(), p.Scale, p.GoalLevel, p.values()).Block(),
		fig.Figures(t, p.figures(), textWidth),
		fig.Paragraph(t, p.notes(), style.TextFont, textWidth),
		fig.Paragraph(t, []string{p.Engine, p.Footer}, style.SmallFont, textWidth),
	})
}

// Check tells why a plan cannot be drawn: a size that is no size, or values that are not as many as the cells.
func (p Plan) Check() error {
	g := p.Field.Grid
	switch {
	case !fig.Floor{LengthM: p.LengthM, WidthM: p.WidthM}.Sound():
		return fmt.Errorf("plan: a tank of %g by %g m has no plan; both must be above 0", p.LengthM, p.WidthM)
	case g.NX < 1 || g.NY < 1:
		return fmt.Errorf("plan: a grid of %d by %d cells holds nothing", g.NX, g.NY)
	case len(p.values()) != g.Cells():
		return fmt.Errorf("plan: %d values of %s for %d by %d cells", len(p.values()), p.Quantity.Name(), g.NX, g.NY)
	}
	return nil
}

func (p Plan) values() []float64 { return p.Quantity.Drawn(p.Field) }

func (p Plan) unit() string {
	if p.Unit != "" {
		return p.Unit
	}
	return p.Quantity.Unit()
}

// size returns the plan's width and height in points, in the tank's proportion.
func (p Plan) size() (wide, high float64) {
	return fig.Floor{LengthM: p.LengthM, WidthM: p.WidthM}.Size(longestPlan, tallestPlan)
}
