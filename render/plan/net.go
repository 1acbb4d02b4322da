package plan

import (
	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Net is the light on one plane at one moment, seen from above: colours alone, without isolines and outlines, which
// would hide the lines of light. Scale may end below the brightest points.
type Net struct {
	fig.Page
	Scene    *scene.Scene
	Field    result.Field
	Quantity result.Quantity
	Scale    style.Scale
	Figures  []fig.Figure
}

// Draw draws the net with rulers, the colour scale and the figures.
func (n Net) Draw() (*style.Canvas, error) {
	tank := n.Scene.Tank
	v := sized(tank.LengthM, tank.WidthM, planRoom)
	v.units = n.Units
	return n.Page.Draw(v.pageWidth(planRoom.X), func(t *style.Typesetter, textPt float64) []fig.Block {
		return []fig.Block{
			v.block(edgeName, edgeName, func(v view) {
				painted(n.Field, n.Quantity, v.frame, n.Scale, tank.Outline).Fill(v.Canvas)
				v.blank(tank.Outline)
				v.floorEdges(tank)
			}),
			fig.Key(n.Quantity.Name(), n.Quantity.Unit(), n.Scale, 0, n.Quantity.Drawn(n.Field)),
			n.Told(fig.Figures(t, n.Figures, textPt)),
		}
	})
}
