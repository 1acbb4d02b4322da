package polar

import (
	"fmt"
	"math"

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

// degree is one degree in radians.
const degree = math.Pi / 180

// fan is a sector of polar axes that opens downwards from the optic: as wide as the beam needs.
type fan struct {
	planes []plane
	angles []float64
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
	f := &fan{planes: planes(b), angles: b.AngleRad, scale: style.ScaleFor(b.AlongCd, b.AcrossCd)}
	widest := 0.0
	for _, p := range f.planes {
		widest = math.Max(widest, math.Max(-p.field[0], p.field[1]))
		for i, cd := range p.values {
			if cd > dim*f.scale.High {
				widest = math.Max(widest, math.Abs(f.angles[i]))
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

func (f *fan) heightPt() float64 { return topRoom + f.radius + arcRoom }

// at returns the place of a distance from the apex, in points, at an angle to straight down.
func (f *fan) at(rad, distance float64) style.Point {
	s, c := math.Sincos(rad)
	return style.Pt(f.apex.X+s*distance, f.apex.Y+c*distance)
}

func (f *fan) draw(c *style.Canvas, box style.Box) {
	f.apex = style.Pt(box.Centre().X, box.Top+topRoom)
	f.axes(c)
	for _, p := range f.planes {
		f.edges(c, p)
	}
	for i := range f.planes {
		f.curve(c, f.planes[len(f.planes)-1-i])
	}
	f.names(c)
	f.sides(c, box)
}

// axes draws rings and spokes with their numbers.
func (f *fan) axes(c *style.Canvas) {
	thin := style.Pen{Width: 1, Colour: style.Rule}
	steps := int(math.Round(f.span / f.spoke))
	for i := -steps; i <= steps; i++ {
		angle := float64(i) * f.spoke
		c.Polyline([]style.Point{f.apex, f.at(angle, f.radius)}, thin)
		f.outside(c, angle, 14, style.Text{Text: fmt.Sprintf("%g\u00b0", math.Abs(math.Round(angle/degree))),
			Font: style.LabelFont, Colour: style.SoftInk})
	}
	for _, cd := range append(append([]float64(nil), f.scale.Ticks...), f.scale.High) {
		f.ring(c, f.scale.Share(cd)*f.radius, thin)
	}
	f.ringNames(c)
}

func (f *fan) ring(c *style.Canvas, radius float64, pen style.Pen) {
	const parts = 120
	var arc []style.Point
	for i := range parts + 1 {
		arc = append(arc, f.at((float64(i)/parts*2-1)*f.span, radius))
	}
	c.Polyline(arc, pen)
}

// ringNames writes the rings' intensities beside the left spoke, outside the fan.
func (f *fan) ringNames(c *style.Canvas) {
	anchor, out := style.MiddleRight, 8.0
	if f.span > 80*degree {
		anchor = style.BottomMiddle
	}
	var labels []style.Text
	for _, cd := range f.scale.Ticks {
		if cd <= 0 {
			continue
		}
		at := f.at(-f.span, f.scale.Share(cd)*f.radius)
		at.X -= out * math.Cos(f.span)
		at.Y -= out * math.Sin(f.span)
		text := style.TickText(cd)
		if cd == f.scale.Ticks[len(f.scale.Ticks)-1] {
			text += " cd"
		}
		labels = append(labels, style.Text{Text: text, At: at, Anchor: anchor, Font: style.LabelFont, Colour: style.SoftInk})
	}
	for _, l := range c.Thinned(labels) {
		c.TryWrite(l)
	}
}

// outside writes a text out points beyond the outermost ring, at an angle.
func (f *fan) outside(c *style.Canvas, angle, out float64, text style.Text) bool {
	text.At, text.Anchor = f.at(angle, f.radius+out), style.Middle
	switch {
	case angle > 60*degree:
		text.Anchor = style.MiddleLeft
		text.At = f.at(angle, f.radius+out-8)
	case angle < -60*degree:
		text.Anchor = style.MiddleRight
		text.At = f.at(angle, f.radius+out-8)
	}
	return c.TryWrite(text)
}

// curve draws the intensity of one plane.
func (f *fan) curve(c *style.Canvas, p plane) {
	var line []style.Point
	for i, angle := range f.angles {
		if math.Abs(angle) <= f.span*(1+1e-9) {
			line = append(line, f.at(angle, f.scale.Share(p.values[i])*f.radius))
		}
	}
	if len(p.dash) == 0 {
		c.Polygon(append([]style.Point{f.apex}, line...), style.Faded(p.colour, 0.09))
	}
	c.Polyline(line, style.Pen{Width: 2.6, Colour: p.colour, Dash: p.dash})
}

// shows tells whether an edge is drawn: it lies in the fan, and is no more than the rim up to which a beam is bright.
func (f *fan) shows(angle float64) bool {
	return angle != 0 && math.Abs(angle) <= f.span*(1+1e-9) && math.Abs(angle) < math.Pi/2-1e-9
}

// edges draws the directions of half and of tenth intensity up to the outermost ring, and a dot where the curve meets
// them.
func (f *fan) edges(c *style.Canvas, p plane) {
	for i, pair := range [2][2]float64{p.beam, p.field} {
		pen := style.Pen{Width: 1.4, Colour: style.Faded(p.colour, 0.85), Dash: []float64{[2]float64{7, 2}[i], 4}}
		for _, angle := range pair {
			if !f.shows(angle) {
				continue
			}
			c.Polyline([]style.Point{f.apex, f.at(angle, f.radius)}, pen)
			c.Dot(f.at(angle, f.scale.Share(value(f.angles, p.values, angle))*f.radius), 4, p.colour)
		}
	}
}

// names writes beside the arc which edge is which: on the right of a beam that is the same to both sides, else on both.
func (f *fan) names(c *style.Canvas) {
	for _, p := range f.planes {
		for i, pair := range [2][2]float64{p.beam, p.field} {
			name := [2]string{"half", "tenth"}[i]
			for side, angle := range pair {
				even := math.Abs(pair[0]+pair[1]) < 1e-6
				if !f.shows(angle) || side == 0 && even {
					continue
				}
				text := style.Text{Text: fmt.Sprintf("%s %s\u00b0", name, angleText(math.Abs(angle))), Font: style.LabelFont,
					Colour: p.colour}
				for _, out := range []float64{32, 50, 68, 14} {
					if f.outside(c, angle, out, text) {
						break
					}
				}
			}
		}
	}
}

// sides says which way the fan lies.
func (f *fan) sides(c *style.Canvas, box style.Box) {
	left, right := "left", "right"
	if len(f.planes) > 1 {
		left, right = "left; front", "right; back"
	}
	y := box.Bottom - style.TextFont.LineHeight()
	c.TryWrite(style.Text{Text: left, At: style.Pt(box.Left, y), Font: style.TextFont, Colour: style.SoftInk})
	c.TryWrite(style.Text{Text: right, At: style.Pt(box.Right, y), Anchor: style.TopRight, Font: style.TextFont,
		Colour: style.SoftInk})
}

// value returns y at x by straight lines between the places.
func value(xs, ys []float64, x float64) float64 {
	for i := 1; i < len(xs); i++ {
		if x <= xs[i] {
			return ys[i-1] + (ys[i]-ys[i-1])*(x-xs[i-1])/(xs[i]-xs[i-1])
		}
	}
	return ys[len(ys)-1]
}
