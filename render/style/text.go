package style

import (
	"fmt"
	"image/color"
	"math"
	"slices"
)

// Anchor says which place of a text's box stands at the point that is given: X 0 left, 0.5 middle, 1 right; Y 0 top,
// 0.5 the middle of the capitals, 1 bottom.
type Anchor struct{ X, Y float64 }

// The anchors that are used most.
var (
	TopLeft      = Anchor{X: 0, Y: 0}
	TopMiddle    = Anchor{X: 0.5, Y: 0}
	TopRight     = Anchor{X: 1, Y: 0}
	MiddleLeft   = Anchor{X: 0, Y: 0.5}
	Middle       = Anchor{X: 0.5, Y: 0.5}
	MiddleRight  = Anchor{X: 1, Y: 0.5}
	BottomMiddle = Anchor{X: 0.5, Y: 1}
	BottomLeft   = Anchor{X: 0, Y: 1}
)

// Text is a line of text at a place.
type Text struct {
	Text   string
	At     Point
	Anchor Anchor
	Font   Font
	Colour color.NRGBA // zero: Ink
}

// LineHeight returns the distance of base lines, in points.
func (f Font) LineHeight() float64 { return 1.35 * f.SizePt }

// CapHeight returns how high capitals and figures stand above the base line, in points.
func (f Font) CapHeight() float64 { return capShare * f.SizePt }

// The directions in which a text may stand beside a box.
var (
	Above, Below          = Point{Y: -1}, Point{Y: 1}
	Leftwards, Rightwards = Point{X: -1}, Point{X: 1}
	Corners               = []Point{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: 1, Y: 1}}
)

// Beside returns the text as it stands off a box by so many points in a direction, or in its middle; a gap below 0 is
// inside the box.
func (t Text) Beside(b Box, gapPt float64, way Point) Text {
	out := math.Copysign(0.5, gapPt)
	b = b.Grown(gapPt)
	t.At = Point{X: b.Centre().X + way.X*b.Width()/2, Y: b.Centre().Y + way.Y*b.Height()/2}
	t.Anchor = Anchor{X: 0.5 - way.X*out, Y: 0.5 - way.Y*out}
	return t
}

// Around returns the text as it stands beside a box in several directions.
func (t Text) Around(b Box, gapPt float64, ways ...Point) (forms []Text) {
	for _, way := range ways {
		forms = append(forms, t.Beside(b, gapPt, way))
	}
	return forms
}

// Box returns where the text would stand.
func (t *Typesetter) Box(text Text) Box {
	w := t.Width(text.Text, text.Font)
	left, high, low := text.At.X-text.Anchor.X*w, text.Font.CapHeight(), descentShare*text.Font.SizePt
	top := text.At.Y - text.Anchor.Y*(high+low)
	if text.Anchor.Y == 0.5 {
		top = text.At.Y - high/2
	}
	return Box{Left: left, Right: left + w, Top: top, Bottom: top + high + low}
}

// Write draws the text and claims its box.
func (c *Canvas) Write(text Text) {
	box := c.Box(text)
	s := c.Clean(text.Text, text.Font)
	if s == "" {
		return
	}
	if text.Colour == (color.NRGBA{}) {
		text.Colour = Ink
	}
	c.Set(Letters{Text: s, At: Point{X: box.Left, Y: box.Top + text.Font.CapHeight()}, Size: text.Font.SizePt,
		Width: box.Width(), Bold: text.Font.Bold, Colour: text.Colour})
	c.texts = append(c.texts, Placed{Text: s, Box: box})
	c.Claim(box)
}

// TryWrite draws the text where it Fits with a margin of two points around it, and tells whether it did.
func (c *Canvas) TryWrite(text Text) bool {
	if !c.Fits(c.Box(text).Grown(2)) {
		return false
	}
	c.Write(text)
	return true
}

// Fits is the layout guard: it tells whether b lies wholly on the page and touches nothing that is claimed.
func (c *Canvas) Fits(b Box) bool {
	return c.page.Contains(b) && !slices.ContainsFunc(c.claims, b.Meets)
}

// Claim marks b as taken: texts that ask Fits keep off it.
func (c *Canvas) Claim(b Box) { c.claims = append(c.claims, b) }

// ClaimEdges marks the four edges of b as taken, but not its inside.
func (c *Canvas) ClaimEdges(b Box) {
	for _, edge := range []Box{{b.Left, b.Top, b.Right, b.Top}, {b.Left, b.Bottom, b.Right, b.Bottom},
		{b.Left, b.Top, b.Left, b.Bottom}, {b.Right, b.Top, b.Right, b.Bottom}} {
		c.Claim(edge.Grown(1))
	}
}

// Thinned returns every label, or where two of those would meet every other one, or the first with every fifth, tenth
// and so on, until none meet. Labels without text count but are left out.
func (t *Typesetter) Thinned(labels []Text) (kept []Text) {
	for _, every := range []int{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		var boxes []Box // of the labels, with a margin of two points around each
		meet := false
		kept = nil
		for i, l := range labels {
			if l.Text != "" && (i == 0 || (i+1)%every == 0 && every != 2 || every == 2 && i%2 == 0) {
				box := t.Box(l).Grown(2)
				meet = meet || slices.ContainsFunc(boxes, box.Meets)
				kept, boxes = append(kept, l), append(boxes, box)
			}
		}
		if !meet {
			break
		}
	}
	return kept
}

// Collisions names the texts that leave the page or meet another text; a page that is laid out well has none.
func (c *Canvas) Collisions() []string {
	var faults []string
	for i, a := range c.texts {
		if !c.page.Contains(a.Box) {
			faults = append(faults, fmt.Sprintf("%q leaves the page", a.Text))
		}
		for _, b := range c.texts[:i] {
			if a.Box.Meets(b.Box) {
				faults = append(faults, fmt.Sprintf("%q and %q meet", a.Text, b.Text))
			}
		}
	}
	return faults
}

// textGap is the free space, in points, that lines around a text leave.
const textGap = 2.5

// SampleStep is the length, in points, of the pieces in which lines around texts are followed.
const SampleStep = 3.0

// LineAround draws the points' line, left out where a text stands.
func (c *Canvas) LineAround(line []Point, pen Pen) {
	points, start := Resample(line, SampleStep), 0
	for i, p := range points {
		if slices.ContainsFunc(c.texts, func(t Placed) bool { return t.Box.Grown(textGap).Holds(p) }) {
			c.Polyline(points[start:i], pen)
			start = i + 1
		}
	}
	c.Polyline(points[start:], pen)
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

// Halo draws a pale outline with a dark one below, so that it shows on any ground. A dashed one leaves out texts.
func (c *Canvas) Halo(b Box, widthPt float64, dash ...float64) {
	for _, pen := range []Pen{{widthPt + 1.6, Shade, nil}, {widthPt, PaleLine, dash}} {
		if corners := b.Corners(); len(dash) == 0 {
			c.Polyline(corners, pen)
		} else {
			for i := range corners[1:] {
				c.LineAround(corners[i:i+2], pen)
			}
		}
	}
}

// InkIn returns the ink that stands out on most of the ground in b, whatever single line passes its middle.
func (c *Canvas) InkIn(b Box) color.NRGBA {
	const across, down = 9, 5
	count := map[color.NRGBA]int{}
	most := Ink
	for i := range across * down {
		x, y := (float64(i%across)+0.5)/across, (float64(i/across)+0.5)/down
		ink := InkOn(c.ColourAt(Point{X: b.Left + x*b.Width(), Y: b.Top + y*b.Height()}))
		if count[ink]++; count[ink] > across*down/2 {
			most = ink
		}
	}
	return most
}
