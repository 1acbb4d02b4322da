// Package polar draws what an optic does: its intensity over the angle as a polar curve, with beam and field angle
// marked, and the cone of light in the air with the illuminance in its middle and at its edge. Both stand for 1000 lm
// that leave. It computes no light; intensities are cd, angles radians from the aim, negative to the left and to the
// front. Next: package chart for spectra and other lines, package style for pages and text.
package polar

import (
	"fmt"
	"image/color"
	"math"
	"slices"

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

// The sizes of the fan, in points.
const (
	tallest  = 700.0 // of the outermost ring
	arcRoom  = 84.0  // outside it, for angles and the names of edges
	topRoom  = 30.0  // above the apex, for the names of rings
	sideRoom = 64.0
)

// fan is a sector of polar axes that opens downwards from the optic: as wide as the beam needs.
type fan struct {
	*style.Canvas
	beam   *result.Beam
	planes []plane
	scale  style.Scale // cd, from the apex to the outermost ring
	span   float64     // half of the opening, rad
	spoke  float64     // the distance of spokes, rad
	radius float64     // of the outermost ring, points
	apex   style.Point
}

// spans are the halves of openings that a fan may have, each with the distance of its spokes, degrees.
var spans = [][2]float64{{30, 5}, {45, 15}, {60, 15}, {90, 15}}

// dim is the share of the highest intensity that may lie outside the fan.
const dim = 0.03

func newFan(b *result.Beam) *fan {
	f := &fan{beam: b, planes: planes(b), scale: style.ScaleFor(b.AlongCd, b.AcrossCd)}
	widest := 0.0
	for _, p := range f.planes {
		widest = math.Max(widest, math.Max(-p.edges[1][0], p.edges[1][1]))
		for i, cd := range p.values {
			if cd > dim*f.scale.High {
				widest = math.Max(widest, math.Abs(b.AngleRad[i]))
			}
		}
	}
	for _, s := range spans {
		if f.span, f.spoke = s[0]*degree, s[1]*degree; widest*1.12 <= f.span {
			break
		}
	}
	f.radius = math.Min(tallest, ((pageWidth-2*fig.Margin)/2-sideRoom)/math.Sin(f.span))
	return f
}

// at returns the place of an intensity at an angle to straight down.
func (f *fan) at(rad, cd float64) style.Point { return f.off(rad, f.scale.Share(cd)*f.radius) }

// off returns the place of a distance from the apex, in points, at an angle to straight down.
func (f *fan) off(rad, distance float64) style.Point {
	s, c := math.Sincos(rad)
	return style.Pt(f.apex.X+s*distance, f.apex.Y+c*distance)
}

// draw draws the axes, the edges with their names outside, and the curves over them.
func (f *fan) draw(c *style.Canvas, box style.Box) {
	f.Canvas, f.apex = c, style.Pt(box.Centre().X, box.Top+topRoom)
	f.axes()
	for _, p := range f.planes {
		f.edges(p)
	}
	for _, p := range slices.Backward(f.planes) {
		f.curve(p)
	}
	side := style.Text{Text: "left", At: style.Pt(box.Left, box.Bottom-style.TextFont.LineHeight()), Font: style.TextFont,
		Colour: style.SoftInk}
	other := side
	other.Text, other.At.X, other.Anchor = "right", box.Right, style.TopRight
	if len(f.planes) > 1 {
		side.Text, other.Text = "left; front", "right; back"
	}
	f.TryWrite(side)
	f.TryWrite(other)
}

// axes draws rings and spokes with their numbers, those of the rings beside the left spoke, outside the fan.
func (f *fan) axes() {
	thin := style.Pen{Width: 1, Colour: style.Rule}
	steps := int(math.Round(f.span / f.spoke))
	for i := -steps; i <= steps; i++ {
		angle := float64(i) * f.spoke
		f.Line(f.apex, f.off(angle, f.radius), thin)
		f.outside(angle, 14, style.Text{Text: fmt.Sprintf("%g\u00b0", math.Abs(math.Round(angle/degree))),
			Font: style.LabelFont, Colour: style.SoftInk})
	}
	anchor, unit := style.MiddleRight, " cd"
	if f.span > 80*degree {
		anchor = style.BottomMiddle
	}
	var labels []style.Text
	for _, cd := range slices.Backward(f.scale.Ticks) {
		at := f.at(-f.span, cd)
		f.ring(cd, thin)
		if cd > 0 {
			labels = append(labels, style.Text{Text: style.TickText(cd) + unit, Anchor: anchor,
				At: style.Pt(at.X-8*math.Cos(f.span), at.Y-8*math.Sin(f.span)), Font: style.LabelFont, Colour: style.SoftInk})
			unit = ""
		}
	}
	f.ring(f.scale.High, thin)
	for _, l := range f.Thinned(labels) {
		f.TryWrite(l)
	}
}

func (f *fan) ring(cd float64, pen style.Pen) {
	const parts = 120
	var arc []style.Point
	for i := range parts + 1 {
		arc = append(arc, f.at((float64(i)/parts*2-1)*f.span, cd))
	}
	f.Polyline(arc, pen)
}

// outside writes a text out points beyond the outermost ring, at an angle.
func (f *fan) outside(angle, out float64, text style.Text) bool {
	text.Anchor = style.Middle
	if steep := 60 * degree; math.Abs(angle) > steep {
		out -= 8
		text.Anchor.X = 0.5 - math.Copysign(0.5, angle)
	}
	text.At = f.off(angle, f.radius+out)
	return f.TryWrite(text)
}

func (f *fan) curve(p plane) {
	var line []style.Point
	for i, angle := range f.beam.AngleRad {
		if math.Abs(angle) <= f.span*(1+1e-9) {
			line = append(line, f.at(angle, p.values[i]))
		}
	}
	if len(p.pen.Dash) == 0 {
		f.Polygon(append([]style.Point{f.apex}, line...), style.Faded(p.pen.Colour, 0.09))
	}
	f.Polyline(line, p.pen)
}

// shows tells whether an edge is drawn: it lies in the fan, and is no more than the rim up to which a beam is bright.
func (f *fan) shows(angle float64) bool {
	return angle != 0 && math.Abs(angle) <= f.span*(1+1e-9) && math.Abs(angle) < math.Pi/2-1e-9
}

// edges draws the directions of half and of tenth intensity up to the outermost ring, with a dot where the curve meets
// them, and writes beside the arc which is which: on the right of a beam that is the same to both sides, else on both.
func (f *fan) edges(p plane) {
	for i, pair := range p.edges {
		pen := style.Pen{Width: 1.4, Colour: style.Faded(p.pen.Colour, 0.85), Dash: []float64{[2]float64{7, 2}[i], 4}}
		for side, angle := range pair {
			if !f.shows(angle) {
				continue
			}
			f.Line(f.apex, f.off(angle, f.radius), pen)
			f.Dot(f.at(angle, f.beam.CentreCd*[2]float64{0.5, 0.1}[i]), 4, p.pen.Colour)
			text := style.Text{Text: [2]string{"half ", "tenth "}[i] + angleText(math.Abs(angle)), Font: style.LabelFont,
				Colour: p.pen.Colour}
			even := math.Abs(pair[0]+pair[1]) < 1e-6
			for _, out := range []float64{32, 50, 68, 14} {
				if side == 0 && even || f.outside(angle, out, text) {
					break
				}
			}
		}
	}
}
