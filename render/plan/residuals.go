package plan

import (
	"fmt"
	"image/color"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Residuals is the readings of a meter in their places, one plan a depth, all on one scale.
type Residuals struct {
	fig.Page
	Scene  *scene.Scene
	Depths []Depth
}

// Depth is the readings of one depth.
type Depth struct {
	Name     string // such as "420 mm under the surface"
	Readings []result.Measured
}

// The looks, in points.
const (
	tallestDepth = 420.0
	largest      = 26.0 // radius of the largest sign
	smallest     = 2.0
	headRoom     = 30.0
	legendRow    = 64.0
)

var (
	above  = color.NRGBA{R: 196, G: 92, B: 0, A: 200}
	below  = color.NRGBA{R: 28, G: 58, B: 128, A: 255}
	ground = color.NRGBA{R: 240, G: 241, B: 240, A: 255}
	faint  = color.NRGBA{R: 176, G: 180, B: 184, A: 255}
)

// Draw draws the page, 1400 points wide or less where the tank is not long for its width.
func (r Residuals) Draw() (*style.Canvas, error) {
	tank, room := r.Scene.Tank, style.Pt(planRoom.X, tallestDepth)
	v := sized(tank.LengthM, tank.WidthM, room)
	v.units = r.Units
	unit := r.unit()
	return r.Page.Draw(v.pageWidth(room.X), func(*style.Typesetter, float64) (blocks []fig.Block) {
		for _, d := range r.Depths {
			blocks = append(blocks, v.block(headRoom, edgeName, func(v view) { r.draw(v, d, unit) }))
		}
		return append(blocks, fig.Block{HeightPt: legendRow, Draw: func(c *style.Canvas, box style.Box) {
			legend(view{Canvas: c}, box, unit)
		}})
	})
}

// unit is the round residual whose sign is as large as signs get: that of the readings that were kept.
func (r Residuals) unit() float64 {
	most := 0.01
	for _, d := range r.Depths {
		for _, one := range d.Readings {
			if a := math.Abs(one.Residual); !one.Outlier && a-a == 0 {
				most = math.Max(most, a)
			}
		}
	}
	return style.RoundStep(most)
}

// draw draws the tank, faintly what hangs over it, the signs, and the residual in percent beside each where there is
// room.
func (r Residuals) draw(v view, d Depth, unit float64) {
	v.Write(style.Text{Text: v.Shorten(d.Name, style.TextFont, v.frame.Width()/2-30), Anchor: style.BottomLeft,
		At: style.Pt(v.frame.Left, v.frame.Top-8), Font: style.TextFont})
	v.FillBox(v.frame, ground)
	v.blank(r.Scene.Tank.Outline)
	var outlines []style.Box
	pen := style.Pen{Width: 1, Colour: faint}
	for i, rail := range r.Scene.Rails {
		if rail.TurnRad != 0 {
			v.clipped(v.railRing(&r.Scene.Rails[i]), pen)
			continue
		}
		outlines = append(outlines, v.rail(rail))
	}
	for _, s := range v.seats(r.Scene, "") {
		if s.ring != nil {
			v.clipped(s.ring, pen)
			continue
		}
		outlines = append(outlines, s.box)
	}
	for _, o := range r.Scene.Tank.Obstacles {
		outlines = append(outlines, v.obstacle(o))
	}
	for _, b := range outlines {
		if !b.Empty() {
			v.StrokeBox(b, pen)
			v.ClaimEdges(b)
		}
	}
	v.floorEdges(r.Scene.Tank)
	for _, one := range d.Readings {
		v.sign(v.at(one.XM, one.YM), one, unit)
	}
	for _, one := range d.Readings {
		text := style.Text{Text: fmt.Sprintf("%+.1f", math.Round(1000*one.Residual)/10+0),
			Font: style.SmallFont, Colour: style.SoftInk}
		disc := v.at(one.XM, one.YM).Around(signSize(one.Residual, unit))
		v.put(text.Around(disc, 3.5, style.Below, style.Above, style.Rightwards, style.Leftwards), nil)
	}
}

// signSize is the radius of a sign, whose area is in proportion.
func signSize(residual, unit float64) float64 {
	return math.Max(smallest, largest*math.Sqrt(math.Min(1, math.Abs(residual)/unit)))
}

// sign draws a disc for more light than computed, a ring for less, and a cross through one left out.
func (v view) sign(at style.Point, r result.Measured, unit float64) {
	size := signSize(r.Residual, unit)
	if r.Residual > 0 {
		v.Dot(at, size, above)
	} else {
		v.Ring(at, math.Max(1, size-1.3), style.Pen{Width: 2.6, Colour: below})
	}
	v.Claim(at.Around(size * 0.75))
	if r.Outlier {
		v.diagonals(at.Around(7), 2, style.Pen{Width: 2, Colour: style.Ink})
	}
}

func legend(v view, box style.Box, unit float64) {
	x, y := box.Left+largest, box.Centre().Y
	for _, share := range []float64{unit, unit / 4, -unit / 4, -unit} {
		v.sign(style.Pt(x, y), result.Measured{Residual: share}, unit)
		text := style.Text{Text: fmt.Sprintf("%+.3g %%", 100*share), At: style.Pt(x+largest+6, y), Anchor: style.MiddleLeft,
			Font: style.TextFont}
		v.Write(text)
		x = v.Box(text).Right + 24 + largest
	}
	text := v.Shorten("disc: brighter than the fit, ring: darker; crossed: outlier, left out of the fit",
		style.SmallFont, box.Right-x+largest)
	v.Write(style.Text{Text: text, At: style.Pt(x-largest, y), Anchor: style.MiddleLeft, Font: style.SmallFont,
		Colour: style.SoftInk})
}
