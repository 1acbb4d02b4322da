// Package polar draws what an optic does: its intensity over the angle as a polar curve, with beam and field angle
// marked, and the cone of light in the air with the illuminance in its middle and at its edge. Both stand for 1000 lm
// that leave. It computes no light; intensities are cd, angles radians from the aim, negative to the left and to the
// front. Next: package chart for spectra and other lines, package style for pages and text.
package polar

import (
	"fmt"
	"image/color"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The two planes of a beam and their looks: apart in lightness too, and one dashed, so that grey prints keep them
// apart.
var (
	alongColour  = color.NRGBA{R: 22, G: 74, B: 148, A: 255}
	acrossColour = color.NRGBA{R: 204, G: 104, B: 24, A: 255}
	acrossDash   = []float64{9, 5}
)

// pageWidth is the width of the curve's page, in points. A cone takes the usual page.
const pageWidth = 1000.0

// Curve is the polar curve of a beam.
type Curve struct {
	fig.Page
	Beam *result.Beam
}

// Draw refuses curves whose values are not as many as their angles.
func (p Curve) Draw() (*style.Canvas, error) {
	b := p.Beam
	if len(b.AlongCd) != len(b.AngleRad) || len(b.AcrossCd) != len(b.AngleRad) || len(b.AngleRad) < 2 {
		return nil, fmt.Errorf("polar: %d angles with %d and %d values cannot be drawn", len(b.AngleRad), len(b.AlongCd),
			len(b.AcrossCd))
	}
	f := newFan(b)
	return p.Page.Draw(pageWidth, func(t *style.Typesetter, textPt float64) []fig.Block {
		return []fig.Block{{HeightPt: f.heightPt(), Draw: f.draw}, key(b), fig.Figures(t, figures(b), textPt)}
	})
}

// figures are the large numbers below the curve.
func figures(b *result.Beam) []fig.Figure {
	list := []fig.Figure{
		{Label: "centre, cd for 1000 lm", Value: style.FourDigits(b.CentreCd)},
		{Label: "beam angle (half)", Value: both(b, b.BeamEdge)},
		{Label: "field angle (tenth)", Value: both(b, b.FieldEdge)},
		{Label: "light within the beam", Value: fmt.Sprintf("%.0f %%", 100*b.InBeam)},
	}
	if b.PeakCd > b.CentreCd*1.005 {
		list = append(list, fig.Figure{Label: "highest, cd for 1000 lm", Value: style.FourDigits(b.PeakCd)})
	}
	if b.Behind > 0.0005 {
		list = append(list, fig.Figure{Label: "backward flux, spilt", Value: fmt.Sprintf("%.1f %%", 100*b.Behind)})
	}
	return list
}

// both writes a full angle, or the one along and the one across where they differ.
func both(b *result.Beam, e result.Edges) string {
	along, across := angleText(e.AlongRad())+"\u00b0", angleText(e.AcrossRad())+"\u00b0"
	if b.Round || along == across {
		return along
	}
	return along + " \u00d7 " + across
}

// angleText writes an angle in degrees to a tenth.
func angleText(rad float64) string {
	return style.TickText(math.Round(rad*180/math.Pi*10) / 10)
}

// key says which line is which plane.
func key(b *result.Beam) fig.Block {
	return fig.Block{HeightPt: style.TextFont.LineHeight(), Draw: func(c *style.Canvas, box style.Box) {
		x, y := box.Left, box.Top+box.Height()/2
		for _, s := range planes(b) {
			c.Polyline([]style.Point{{X: x, Y: y}, {X: x + 44, Y: y}}, style.Pen{Width: 2.6, Colour: s.colour, Dash: s.dash})
			text := style.Text{Text: s.name, At: style.Pt(x+54, y), Anchor: style.MiddleLeft, Font: style.TextFont}
			c.Write(text)
			x = c.Box(text).Right + 40
		}
	}}
}

// plane is one cut through a beam, as it is drawn.
type plane struct {
	name        string
	values      []float64
	colour      color.NRGBA
	dash        []float64
	beam, field [2]float64 // angles to the left and to the right
}

// planes returns the cuts to draw: one for a round beam.
func planes(b *result.Beam) []plane {
	along := plane{name: "along the rail (left to right)", values: b.AlongCd, colour: alongColour,
		beam: [2]float64{-b.BeamEdge.LeftRad, b.BeamEdge.RightRad}, field: [2]float64{-b.FieldEdge.LeftRad,
			b.FieldEdge.RightRad}}
	if b.Round {
		along.name = "all planes (the beam is round)"
		return []plane{along}
	}
	return []plane{along, {name: "across the rail (front to back)", values: b.AcrossCd, colour: acrossColour,
		dash: acrossDash,
		beam: [2]float64{-b.BeamEdge.FrontRad, b.BeamEdge.BackRad}, field: [2]float64{-b.FieldEdge.FrontRad,
			b.FieldEdge.BackRad}}}
}
