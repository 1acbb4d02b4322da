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
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

const degree = math.Pi / 180

// pageWidth is the width of the curve's page, in points. A cone takes the usual page.
const pageWidth = 1000.0

// Curve is the polar curve of a beam.
type Curve struct {
	fig.Page
	Beam *result.Beam
}

// Draw draws the curve with its edges, and its figures below.
func (p Curve) Draw() (*style.Canvas, error) {
	b, f := p.Beam, newFan(p.Beam)
	return p.Page.Draw(pageWidth, func(t *style.Typesetter, textPt float64) []fig.Block {
		var key []chart.Series
		for _, cut := range f.planes {
			key = append(key, chart.Series{Name: cut.name, Pen: cut.pen})
		}
		return []fig.Block{{HeightPt: topRoom + f.radius + arcRoom, Draw: f.draw}, chart.Legend(t, key, textPt),
			fig.Figures(t, figures(b), textPt)}
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
		list = append(list, fig.Figure{Label: "backward flux (spill)", Value: fmt.Sprintf("%.1f %%", 100*b.Behind)})
	}
	return list
}

// both writes a full angle, or the one along and the one across where they differ.
func both(b *result.Beam, e result.Edges) string {
	along, across := angleText(e.AlongRad()), angleText(e.AcrossRad())
	if b.Round || along == across {
		return along
	}
	return along + " \u00d7 " + across
}

func angleText(rad float64) string { return style.TickText(math.Round(rad/degree*10)/10) + "\u00b0" }

// plane is one cut through a beam, as it is drawn.
type plane struct {
	name   string
	values []float64
	pen    style.Pen
	edges  [2][2]float64 // angles of half and of tenth of the centre-beam intensity, to the left and to the right
}

// planes returns the cuts to draw: one for a round beam. They are apart in lightness too, and one is dashed, so that
// grey prints keep them apart.
func planes(b *result.Beam) []plane {
	along := plane{name: "along the rail (left to right)", values: b.AlongCd,
		pen: style.Pen{Width: 2.6, Colour: color.NRGBA{R: 22, G: 74, B: 148, A: 255}}}
	across := plane{name: "across the rail (front to back)", values: b.AcrossCd,
		pen: style.Pen{Width: 2.6, Colour: color.NRGBA{R: 204, G: 104, B: 24, A: 255}, Dash: []float64{9, 5}}}
	for i, e := range []result.Edges{b.BeamEdge, b.FieldEdge} {
		along.edges[i], across.edges[i] = [2]float64{-e.LeftRad, e.RightRad}, [2]float64{-e.FrontRad, e.BackRad}
	}
	if b.Round {
		along.name = "all planes (the beam is round)"
		return []plane{along}
	}
	return []plane{along, across}
}
