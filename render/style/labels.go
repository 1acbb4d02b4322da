package style

import (
	"image/color"
	"math"
	"sort"
)

// Isoline pens and the distances of their labels, in points.
const (
	isolineWidth   = 1.1
	strongWidth    = 2.2
	sampleStep     = 3.0   // lines are followed in pieces of this length
	beadLength     = 34.0  // a ring that is shorter is a bead that a step in the field leaves between its cells: none is drawn
	labelPadding   = 3.0   // free space around a label
	labelRepeat    = 620.0 // a line as long as this gets another label
	labelApart     = 240.0 // between labels of the same level, at least
	occupancyCell  = 2.0   // cells of the picture of which line runs where
	labelMinLength = 2.2   // a line shorter than this many label widths gets none
)

// Level is one value that isolines are drawn for. Label is its text; Strong draws it heavier, as for a goal.
type Level struct {
	Value  float64
	Label  string
	Strong bool
}

// plainLevels returns levels labelled with their values.
func plainLevels(values []float64) []Level {
	levels := make([]Level, len(values))
	for i, v := range values {
		levels[i] = Level{Value: v, Label: TickText(v)}
	}
	return levels
}

// GoalLevels returns about n round levels of the values, and the goal's own, drawn heavier, in place of a round one that
// is close to it. A goal beyond the values has no line.
func GoalLevels(values []float64, n int, goal float64) []Level {
	round := contourLevels(values, n)
	low, high, ok := Range(values)
	if !ok || !(goal > low && goal < high) {
		return plainLevels(round)
	}
	kept := round[:0]
	for _, v := range round {
		if math.Abs(v-goal) > 0.3*(high-low)/float64(n) {
			kept = append(kept, v)
		}
	}
	return append(plainLevels(kept), Level{Value: goal, Label: FourDigits(goal), Strong: true})
}

// isoline is one joined line of a level on the page, in steps of about sampleStep.
type isoline struct {
	level  int
	points []Point
}

func (l isoline) length() float64 { return sampleStep * float64(len(l.points)-1) }

// Isolines draws the field's lines of the levels, each labelled where there is room: on the line, inside the frame,
// off every other line, text and claimed place. Rings too small to mean anything are left out. Lines are broken at texts.
// Ink follows the ground's lightness.
func (c *Canvas) Isolines(h Heat, levels []Level) {
	if !h.sound() || h.Frame.Empty() {
		return
	}
	var lines []isoline
	padded := h.padded()
	for k, level := range levels {
		for _, points := range h.contour(padded, level.Value) {
			ring := len(points) > 2 && points[0] == points[len(points)-1]
			line := isoline{level: k, points: resample(points, sampleStep)}
			if len(line.points) > 1 && !(ring && line.length() < beadLength) {
				lines = append(lines, line)
			}
		}
	}
	sort.SliceStable(lines, func(i, j int) bool { return len(lines[i].points) > len(lines[j].points) })
	traffic := newTraffic(h.Frame, lines)
	traffic.none = h.Colours.None()
	for _, line := range lines {
		level := levels[line.level]
		c.labelLine(line, traffic, Text{
			Text: level.Label, Anchor: Middle, Font: Font{SizePt: LabelFont.SizePt, Bold: level.Strong},
			Colour: InkOn(h.Colours.At(h.Scale.Share(level.Value))),
		})
	}
	for _, line := range lines {
		level := levels[line.level]
		pen := Pen{Width: isolineWidth, Colour: Faded(InkOn(h.Colours.At(h.Scale.Share(level.Value))), 0.7)}
		if level.Strong {
			pen.Width = strongWidth
		}
		c.brokenLine(line.points, pen)
	}
}

// labelLine writes the label once, or more often on a long line.
func (c *Canvas) labelLine(line isoline, traffic *traffic, text Text) {
	width := c.Width(text.Text, text.Font)
	if text.Text == "" || line.length() < labelMinLength*width {
		return
	}
	good := func(box Box) bool {
		return traffic.frame.Grown(-1).Contains(box) && c.Fits(box) && !traffic.other(box, line.level) &&
			c.apart(text.Text, box) && !c.touches(box, traffic.none)
	}
	parts := 1 + int(line.length()/labelRepeat)
	for part := range parts {
		from, to := part*len(line.points)/parts, (part+1)*len(line.points)/parts
		best, bestSlope := Point{}, math.Inf(1)
		for i := from + 2; i < to-2; i += 3 {
			text.At = line.points[i]
			if slope := steepness(line.points, i); slope < bestSlope && good(c.Box(text).Grown(labelPadding)) {
				best, bestSlope = text.At, slope
			}
		}
		if !math.IsInf(bestSlope, 1) {
			text.At = best
			c.Write(text)
		}
	}
}

// apart tells whether no equal text stands close to b.
func (c *Canvas) apart(text string, b Box) bool {
	for _, t := range c.texts {
		if t.Text == text && distance(t.Box.Centre(), b.Centre()) < labelApart {
			return false
		}
	}
	return true
}

// touches tells whether a corner of b has the colour.
func (c *Canvas) touches(b Box, colour color.RGBA) bool {
	for _, p := range [4]Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Left, b.Bottom}, {b.Right, b.Bottom}} {
		if c.ColourAt(p) == colour {
			return true
		}
	}
	return false
}

// steepness tells how far the line at i is from level, in steps of 0.1: 0 runs along x, 1 along y. Coarse steps make
// the first good place win.
func steepness(points []Point, i int) float64 {
	a, b := points[max(i-4, 0)], points[min(i+4, len(points)-1)]
	return math.Round(10*math.Abs(b.Y-a.Y)/math.Max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-9)) / 10
}

// brokenLine draws the points' line, leaving out what runs through a text.
func (c *Canvas) brokenLine(points []Point, pen Pen) {
	start := 0
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
		if t.Box.Grown(labelPadding - 0.5).holds(p) {
			return true
		}
	}
	return false
}

// resample returns the line in equal steps of about the given length, with both ends kept.
func resample(points []Point, step float64) []Point {
	total := 0.0
	for i := 1; i < len(points); i++ {
		total += distance(points[i-1], points[i])
	}
	n := int(math.Ceil(total / step))
	if n < 1 {
		return nil
	}
	out, walked, j := make([]Point, 0, n+1), 0.0, 1
	for k := range n {
		want := total * float64(k) / float64(n)
		for j < len(points)-1 && walked+distance(points[j-1], points[j]) < want {
			walked += distance(points[j-1], points[j])
			j++
		}
		t := (want - walked) / math.Max(distance(points[j-1], points[j]), 1e-12)
		a, b := points[j-1], points[j]
		out = append(out, Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
	}
	return append(out, points[len(points)-1])
}

func distance(a, b Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

// traffic knows roughly which level's line runs where in the frame.
type traffic struct {
	frame  Box
	nx, ny int
	levels []uint16   // level + 1; 0 is free
	none   color.RGBA // of places without a value, which labels keep off
}

func newTraffic(frame Box, lines []isoline) *traffic {
	t := &traffic{frame: frame, nx: int(frame.Width()/occupancyCell) + 1, ny: int(frame.Height()/occupancyCell) + 1}
	t.levels = make([]uint16, t.nx*t.ny)
	for _, l := range lines {
		for _, p := range l.points {
			x, y := t.cell(p)
			t.levels[y*t.nx+x] = uint16(l.level + 1)
		}
	}
	return t
}

func (t *traffic) cell(p Point) (x, y int) {
	x = int((p.X - t.frame.Left) / occupancyCell)
	y = int((p.Y - t.frame.Top) / occupancyCell)
	return min(max(x, 0), t.nx-1), min(max(y, 0), t.ny-1)
}

// other tells whether a line of another level runs through b.
func (t *traffic) other(b Box, level int) bool {
	x0, y0 := t.cell(Point{b.Left, b.Top})
	x1, y1 := t.cell(Point{b.Right, b.Bottom})
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if l := t.levels[y*t.nx+x]; l != 0 && int(l) != level+1 {
				return true
			}
		}
	}
	return false
}

// Halo draws a pale outline with a dark one below, so that it shows on any ground.
func (c *Canvas) Halo(b Box, widthPt float64) {
	c.StrokeBox(b, Pen{Width: widthPt + 1.6, Colour: Shade})
	c.StrokeBox(b, Pen{Width: widthPt, Colour: PaleLine})
}

// LineAround draws a straight line, left out where a text stands.
func (c *Canvas) LineAround(from, to Point, pen Pen) {
	c.brokenLine(resample([]Point{from, to}, sampleStep), pen)
}

// DashedHalo is Halo with a dashed pale line, both left out where a text stands.
func (c *Canvas) DashedHalo(b Box, widthPt float64, dash ...float64) {
	corners := []Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Right, b.Bottom}, {b.Left, b.Bottom}, {b.Left, b.Top}}
	for i := range corners[1:] {
		c.LineAround(corners[i], corners[i+1], Pen{Width: widthPt + 1.6, Colour: Shade})
		c.LineAround(corners[i], corners[i+1], Pen{Width: widthPt, Colour: PaleLine, Dash: dash})
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
