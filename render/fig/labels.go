package fig

import (
	"image/color"
	"math"
	"slices"
	"sort"

	"fathomlux/render/style"
)

// Isoline pens and the distances of their labels, in points.
const (
	isolineWidth   = 1.1
	strongWidth    = 2.2
	sampleStep     = 3.0   // lines are followed in pieces of this length
	beadLength     = 34.0  // a ring that is shorter is a bead between cells at a step in the field
	labelPadding   = 3.0   // free space around a label
	labelRepeat    = 620.0 // a line as long as this gets another label
	labelApart     = 240.0 // between labels of the same level, at least
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
		levels[i] = Level{Value: v, Label: style.TickText(v)}
	}
	return levels
}

// evenShare is the share of the largest value below which differences are not drawn as lines.
const evenShare = 0.02

// contourLevels returns about n round levels strictly between the lowest and the highest finite value. They are
// never closer than 2 % of the largest value, and a field that is even to 2 % has none: lines would show noise.
func contourLevels(values []float64, n int) []float64 {
	low, high, ok := style.Range(values)
	if !ok || !(high > low) || n < 1 {
		return nil
	}
	size := math.Max(math.Abs(low), math.Abs(high))
	if high-low < evenShare*size {
		return nil
	}
	step := style.RoundStep(math.Max((high-low)/float64(n), evenShare*size))
	var inside []float64
	for _, l := range style.Levels(low, high, step) {
		if l > low && l < high {
			inside = append(inside, l)
		}
	}
	return inside
}

// GoalLevels returns about n round levels of the values, and the goal's own, drawn heavier, in place of a round one
// that is close to it. A goal beyond the values has no line.
func GoalLevels(values []float64, n int, goal float64) []Level {
	round := contourLevels(values, n)
	low, high, ok := style.Range(values)
	if !ok || !(goal > low && goal < high) {
		return plainLevels(round)
	}
	kept := round[:0]
	for _, v := range round {
		if math.Abs(v-goal) > 0.3*(high-low)/float64(n) {
			kept = append(kept, v)
		}
	}
	return append(plainLevels(kept), Level{Value: goal, Label: style.FourDigits(goal), Strong: true})
}

// isoline is one joined line of a level on the page, in steps of about sampleStep.
type isoline struct {
	level  int
	points []style.Point
}

func (l isoline) length() float64 { return sampleStep * float64(len(l.points)-1) }

// Isolines draws the field's lines of the levels, each labelled where there is room: on the line, inside the frame,
// off every other line, text and claimed place. Rings too small to mean anything are left out. Lines are broken at
// texts. Ink follows the ground's lightness.
func (h Heat) Isolines(c *style.Canvas, levels []Level) {
	if !h.sound() || h.Frame.Empty() {
		return
	}
	var lines []isoline
	padded := h.padded()
	for k, level := range levels {
		for _, points := range h.contour(padded, level.Value) {
			ring := len(points) > 2 && points[0] == points[len(points)-1]
			line := isoline{level: k, points: style.Resample(points, sampleStep)}
			if len(line.points) > 1 && !(ring && line.length() < beadLength) {
				lines = append(lines, line)
			}
		}
	}
	sort.SliceStable(lines, func(i, j int) bool { return len(lines[i].points) > len(lines[j].points) })
	for _, line := range lines {
		level := levels[line.level]
		h.label(c, lines, line, style.Text{
			Text: level.Label, Anchor: style.Middle, Font: style.Font{SizePt: style.LabelFont.SizePt, Bold: level.Strong},
			Colour: style.InkOn(h.Colours.At(h.Scale.Share(level.Value))),
		})
	}
	for _, line := range lines {
		level := levels[line.level]
		pen := style.Pen{Width: isolineWidth, Colour: style.Faded(style.InkOn(h.Colours.At(h.Scale.Share(level.Value))), 0.7)}
		if level.Strong {
			pen.Width = strongWidth
		}
		c.LineAround(line.points, pen)
	}
}

// label writes the label of a line once, or more often on a long line.
func (h Heat) label(c *style.Canvas, lines []isoline, line isoline, text style.Text) {
	width := c.Width(text.Text, text.Font)
	if text.Text == "" || line.length() < labelMinLength*width {
		return
	}
	good := func(box style.Box) bool {
		return h.Frame.Grown(-1).Contains(box) && c.Fits(box) && apart(c, text.Text, box) &&
			!touches(c, box, h.Colours.None()) &&
			!crossed(lines, box, line.level)
	}
	parts := 1 + int(line.length()/labelRepeat)
	for part := range parts {
		from, to := part*len(line.points)/parts, (part+1)*len(line.points)/parts
		best, bestSlope := style.Point{}, math.Inf(1)
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
func apart(c *style.Canvas, text string, b style.Box) bool {
	for _, t := range c.Texts() {
		if t.Text == text && style.Distance(t.Box.Centre(), b.Centre()) < labelApart {
			return false
		}
	}
	return true
}

// crossed tells whether a line of another level runs through b.
func crossed(lines []isoline, b style.Box, level int) bool {
	for _, l := range lines {
		if l.level != level && slices.ContainsFunc(l.points, b.Holds) {
			return true
		}
	}
	return false
}

// touches tells whether a corner of b has the colour.
func touches(c *style.Canvas, b style.Box, colour color.RGBA) bool {
	for _, p := range b.Corners()[:4] {
		if c.ColourAt(p) == colour {
			return true
		}
	}
	return false
}

// steepness tells how far the line at i is from level, in steps of 0.1: 0 runs along x, 1 along y. Coarse steps make
// the first good place win.
func steepness(points []style.Point, i int) float64 {
	a, b := points[max(i-4, 0)], points[min(i+4, len(points)-1)]
	return math.Round(10*math.Abs(b.Y-a.Y)/math.Max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-9)) / 10
}
