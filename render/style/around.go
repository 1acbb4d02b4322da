package style

import (
	"image/color"
	"math"
)

// textGap is the free space, in points, that lines around a text leave.
const textGap = 2.5

// sampleStep is the length, in points, of the pieces in which lines around texts are followed.
const sampleStep = 3.0

// LineAround draws the points' line, left out where a text stands.
func (c *Canvas) LineAround(line []Point, pen Pen) {
	points, start := Resample(line, sampleStep), 0
	for i, p := range points {
		if c.underText(p) {
			c.Polyline(points[start:i], pen)
			start = i + 1
		}
	}
	c.Polyline(points[start:], pen)
}

func (c *Canvas) underText(p Point) bool {
	for _, t := range c.texts {
		if t.Box.Grown(textGap).Holds(p) {
			return true
		}
	}
	return false
}

// Resample returns the line in equal steps of about the given length, with both ends kept.
func Resample(points []Point, step float64) []Point {
	total := 0.0
	for i := 1; i < len(points); i++ {
		total += Distance(points[i-1], points[i])
	}
	n := int(math.Ceil(total / step))
	if n < 1 {
		return nil
	}
	out, walked, j := make([]Point, 0, n+1), 0.0, 1
	for k := range n {
		want := total * float64(k) / float64(n)
		for j < len(points)-1 && walked+Distance(points[j-1], points[j]) < want {
			walked += Distance(points[j-1], points[j])
			j++
		}
		t := (want - walked) / math.Max(Distance(points[j-1], points[j]), 1e-12)
		a, b := points[j-1], points[j]
		out = append(out, Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
	}
	return append(out, points[len(points)-1])
}

// Distance returns how far a is from b.
func Distance(a, b Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

// Halo draws a pale outline with a dark one below, so that it shows on any ground.
func (c *Canvas) Halo(b Box, widthPt float64) {
	c.StrokeBox(b, Pen{Width: widthPt + 1.6, Colour: Shade})
	c.StrokeBox(b, Pen{Width: widthPt, Colour: PaleLine})
}

// DashedHalo is Halo with a dashed pale line, both left out where a text stands.
func (c *Canvas) DashedHalo(b Box, widthPt float64, dash ...float64) {
	corners := b.Corners()
	for i := range corners[1:] {
		c.LineAround(corners[i:i+2], Pen{Width: widthPt + 1.6, Colour: Shade})
		c.LineAround(corners[i:i+2], Pen{Width: widthPt, Colour: PaleLine, Dash: dash})
	}
}

// InkIn returns the ink that stands out on most of the ground in b, whatever single line passes its middle.
func (c *Canvas) InkIn(b Box) color.NRGBA {
	const across, down = 9, 5
	dark := 0
	for i := range across * down {
		x, y := (float64(i%across)+0.5)/across, (float64(i/across)+0.5)/down
		if InkOn(c.ColourAt(Point{X: b.Left + x*b.Width(), Y: b.Top + y*b.Height()})) == Ink {
			dark++
		}
	}
	if 2*dark > across*down {
		return Ink
	}
	return InkOn(color.RGBA{A: 255})
}
