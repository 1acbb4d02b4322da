package plan

import (
	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Wall is the light on a side of the tank under water, as that of its own plane: along it from left to right, up from
// the floor to the surface.
type Wall struct {
	fig.Page
	Wall     *result.Wall
	Quantity result.Quantity
}

// Draw draws the wall: the light as colours with isolines, rulers along and up, the colour scale and the figures.
func (w Wall) Draw() (*style.Canvas, error) {
	f := w.Wall.Field
	v := sized(float64(f.Grid.NX)*f.Grid.StepXM, float64(f.Grid.NY)*f.Grid.StepYM, planRoom)
	v.units = w.Units
	values := w.Quantity.Drawn(f)
	scale := style.ScaleFor(values)
	w.Page.Notes = append(emptiness(values, "face"), w.Page.Notes...)
	return w.Page.Draw(v.pageWidth(planRoom.X), func(t *style.Typesetter, textPt float64) []fig.Block {
		return []fig.Block{
			v.block(edgeName, edgeName, func(v view) { w.draw(v, scale) }),
			fig.Key(w.Quantity.Name(), w.Quantity.Unit(), scale, 0, values),
			w.Told(fig.Figures(t, figuresOf(w.Quantity, w.Wall.Light(w.Quantity), values), textPt)),
		}
	})
}

func (w Wall) draw(v view, scale style.Scale) {
	g := w.Wall.Field.Grid
	light := heat(w.Wall.Field, w.Quantity, v.frame, scale)
	light.Fill(v.Canvas)
	light.Isolines(v.Canvas, 0)
	v.StrokeBox(v.frame, style.Pen{Width: 1.4, Colour: style.Ink})
	fig.Ruler{Frame: v.frame, LengthM: float64(g.NX) * g.StepXM, Units: v.units}.Draw(v.Canvas)
	fig.Ruler{Frame: v.frame, LengthM: float64(g.NY) * g.StepYM, Units: v.units, Upright: true}.Draw(v.Canvas)
	v.TryWrite(style.Text{Text: "water surface", Font: style.TextFont}.Beside(v.frame, 8, style.Above))
	v.TryWrite(style.Text{Text: "floor", Font: style.TextFont}.Beside(v.frame, fig.RulerHeight+6, style.Below))
	low := v.frame.Bottom + fig.RulerHeight + 6
	v.TryWrite(style.Text{Text: w.Wall.Ends[0], Font: style.TextFont, At: style.Pt(v.frame.Left, low)})
	v.TryWrite(style.Text{Text: w.Wall.Ends[1], Font: style.TextFont, At: style.Pt(v.frame.Right, low),
		Anchor: style.TopRight})
}
