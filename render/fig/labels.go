package fig

import (
	"cmp"
	"image/color"
	"math"
	"slices"

	"fathomlux/render/style"
)

// Isoline pens, the number of levels, and the distances of their labels, in points.
const (
	contours       = 8 // levels, about
	isolineWidth   = 1.1
	strongWidth    = 2.2
	beadLength     = 34.0  // a ring that is shorter is a bead between cells at a step in the field
	labelPadding   = 3.0   // free space around a label
	labelRepeat    = 620.0 // a line as long as this gets another label
	labelApart     = 240.0 // between labels of the same level, at least
	labelMinLength = 2.2   // a line shorter than this many label widths gets none
	evenShare      = 0.02  // of the largest value: lesser differences are not drawn as lines
)

// level is one value that isolines are drawn for; that of a goal is drawn heavier.
type level struct {
	value float64
	goal  bool
}

// levelsOf returns about n round levels strictly between the lowest and the highest finite value, and the goal's own,
// in place of a round one that is close to it. They are never closer than 2 % of the largest value, and a field that is
// even to 2 % has none: lines would show noise. A goal beyond the values has no line.
func levelsOf(values []float64, n int, goal float64) (list []level) {
	low, high, ok := style.Range(values)
	between := func(v float64) bool { return ok && v > low && v < high }
	least := evenShare * math.Max(math.Abs(low), math.Abs(high))
	if ok && high > low && high-low >= least {
		for _, v := range style.Levels(low, high, style.RoundStep(math.Max((high-low)/float64(n), least))) {
			if near := math.Abs(v-goal) <= 0.3*(high-low)/float64(n); between(v) && !(near && between(goal)) {
				list = append(list, level{value: v})
			}
		}
	}
	if between(goal) {
		list = append(list, level{goal, true})
	}
	return list
}

// isoline is one joined line of a level on the page, in steps of about style.SampleStep.
type isoline struct {
	level
	ink    color.NRGBA // follows the ground's lightness
	points []style.Point
}

func (l isoline) length() float64 { return style.SampleStep * float64(len(l.points)-1) }

// Isolines draws the field's lines of about eight round levels and of the goal, 0 for none, each labelled where there
// is room: on the line, inside the frame, off every other line, text and claimed place. Rings too small to mean
// anything are left out. Lines are broken at texts.
func (h Heat) Isolines(c *style.Canvas, goal float64) {
	h.isolines(c, levelsOf(h.Values, contours, goal))
}

func (h Heat) isolines(c *style.Canvas, levels []level) {
	if !h.sound() || h.Frame.Empty() {
		return
	}
	var lines []isoline
	padded := h.padded()
	for _, one := range levels {
		ink := style.InkOn(style.Light().At(h.Scale.Share(one.value)))
		for _, points := range h.contour(padded, one.value) {
			ring := len(points) > 2 && points[0] == points[len(points)-1]
			line := isoline{one, ink, style.Resample(points, style.SampleStep)}
			if len(line.points) > 1 && !(ring && line.length() < beadLength) {
				lines = append(lines, line)
			}
		}
	}
	slices.SortStableFunc(lines, func(a, b isoline) int { return cmp.Compare(len(b.points), len(a.points)) })
	for _, line := range lines {
		h.label(c, lines, line)
	}
	for _, line := range lines {
		pen := style.Pen{Width: isolineWidth, Colour: style.Faded(line.ink, 0.7)}
		if line.goal {
			pen.Width = strongWidth
		}
		c.LineAround(line.points, pen)
	}
}

// label writes the label of a line once, or more often on a long line.
func (h Heat) label(c *style.Canvas, lines []isoline, line isoline) {
	text := style.Text{Text: style.FourDigits(line.value), Anchor: style.Middle, Colour: line.ink,
		Font: style.Font{SizePt: style.LabelFont.SizePt, Bold: line.goal}}
	if line.length() < labelMinLength*c.Width(text.Text, text.Font) {
		return
	}
	near := func(box style.Box) bool { // an equal text stands close
		return slices.ContainsFunc(c.Texts(), func(t style.Placed) bool {
			return t.Text == text.Text && style.Distance(t.Box.Centre(), box.Centre()) < labelApart
		})
	}
	missing := func(p style.Point) bool { return c.ColourAt(p) == style.Light().None() }
	crossed := func(box style.Box) bool { // by a line of another level
		return slices.ContainsFunc(lines, func(l isoline) bool {
			return l.level != line.level && slices.ContainsFunc(l.points, box.Holds)
		})
	}
	good := func(box style.Box) bool {
		return h.Frame.Grown(-1).Contains(box) && c.Fits(box) && !near(box) &&
			!slices.ContainsFunc(box.Corners(), missing) && !crossed(box)
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

// steepness tells how far the line at i is from level, in steps of 0.1: 0 runs along x, 1 along y. Coarse steps make
// the first good place win.
func steepness(points []style.Point, i int) float64 {
	a, b := points[max(i-4, 0)], points[min(i+4, len(points)-1)]
	return math.Round(10*math.Abs(b.Y-a.Y)/math.Max(style.Distance(a, b), 1e-9)) / 10
}
