package polar

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

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

// curve draws the intensity of one plane.
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
