package chart

import (
	"math"

	"fathomlux/render/style"
)

// Distances of the axes, in points.
const (
	tickLength    = 6.0
	axisSpacingX  = 92.0 // between tick labels along x, about
	axisSpacingY  = 58.0
	labelPad      = 12.0
	axisLabelRoom = 22.0 // above the frame, for the name of the y axis
	upperRoom     = 18.0 // between it and the frame, for what stands at the upper edge
	textGap       = 4.0  // between a tick and its label
	leastShareGap = 0.06 // free space beyond the outermost values, as a share of their range
)

// scale is what an axis shows, and how values lie along it.
type scale struct {
	Min, Max  float64
	log, down bool
}

// Norm returns where a value lies, as a share of the axis' length.
func (s scale) Norm(v float64) float64 {
	low, high := s.Min, s.Max
	if s.down {
		low, high = high, low
	}
	if s.log {
		low, high, v = math.Log(low), math.Log(high), math.Log(v)
	}
	return (v - low) / (high - low)
}

// mark is a value with its text at an axis.
type mark struct {
	Value float64
	Label string
}

// around returns the scale of an axis: it holds all finite values with some space beyond; where they are all equal, a
// tenth of their size to each side, and 0 to 1 where there is none.
func (a Axis) around(values []float64) scale {
	if a.High > a.Low {
		values = append(values, a.Low, a.High)
	}
	low, high, ok := style.Range(values)
	if !ok {
		return scale{Max: 1}
	}
	if a.Log {
		return scale{Min: low / (1 + leastShareGap), Max: high * (1 + leastShareGap), log: true}
	}
	if a.Zero {
		low = math.Min(low, 0)
	}
	size, gap := math.Max(math.Abs(low), math.Abs(high)), leastShareGap*(high-low)
	switch {
	case high-low <= 1e-9*size:
		gap = math.Max(0.1*size, 1e-9)
	case a.Tight:
		gap = 0
	}
	axis := scale{Min: low - gap, Max: high + gap, down: a.Down}
	if a.Zero && low >= 0 {
		axis.Min = 0
	}
	return axis
}

// ticks returns the ticks of an axis of a length: at the values that it names where their texts have room, else at
// round values, or at 1, 2 and 5 times powers of ten.
func (a Axis) ticks(low, high, lengthPt, spacingPt float64) (ticks []mark) {
	for e := math.Floor(math.Log10(low)); a.Log && e <= math.Log10(high); e++ {
		for _, m := range []float64{1, 2, 5} {
			t := mark{Value: m * math.Pow(10, e), Label: style.TickText(m * math.Pow(10, e))}
			if m != 1 && high > 1000*low {
				t.Label = ""
			}
			if t.Value >= low && t.Value <= high {
				ticks = append(ticks, t)
			}
		}
	}
	if a.Log {
		return ticks
	}
	perValue, free := lengthPt/(high-low), math.Inf(-1)
	if n := len(a.At); n > 0 && float64(n) <= lengthPt/spacingPt*1.5 {
		for _, v := range a.At {
			if (v-free)*perValue >= spacingPt/2 { // those that are closer go without
				ticks, free = append(ticks, mark{Value: v, Label: style.FourDigits(v)}), v
			}
		}
		return ticks
	}
	step := style.RoundStep(math.Min(spacingPt/perValue, high-low))
	for _, v := range style.Levels(low, high, step) {
		ticks = append(ticks, mark{Value: v, Label: style.TickLabel(v, step)})
	}
	return ticks
}

// axes is a panel's frame on a page, with how values lie along its sides.
type axes struct {
	*style.Canvas
	x, y  scale
	frame style.Box
}

// newAxes draws axes that hold all values, with a grid, into a box; above them the name of the y axis has its place.
// Names that are too long are cut.
func newAxes(page *style.Canvas, box style.Box, x, y Axis, xs, ys []float64) *axes {
	a := &axes{Canvas: page, x: x.around(xs), y: y.around(ys)}
	name := style.Text{Text: page.Shorten(y.Label, style.TextFont, box.Width()*0.9), At: style.Pt(box.Left, box.Top),
		Font: style.TextFont}
	page.Write(name)
	label := style.Text{Font: style.LabelFont, Colour: style.SoftInk}
	across := x.ticks(a.x.Min, a.x.Max, box.Width(), axisSpacingX)
	down := y.ticks(a.y.Min, a.y.Max, box.Height(), axisSpacingY)
	a.frame = style.Box{Left: box.Left, Right: box.Right, Top: box.Top + axisLabelRoom + upperRoom, Bottom: box.Bottom -
		tickLength - 2*textGap - label.Font.LineHeight() - labelPad}
	for _, t := range down {
		a.frame.Left = math.Max(a.frame.Left, box.Left+page.Width(t.Label, label.Font)+textGap+tickLength)
	}
	for _, t := range across { // whose labels stay in the box
		over := page.Width(t.Label, label.Font)/2 - (1-a.x.Norm(t.Value))*box.Width()
		a.frame.Right = math.Min(a.frame.Right, box.Right-over)
	}
	name.Text, name.Anchor = page.Shorten(x.Label, style.TextFont, box.Width()*0.9), style.BottomMiddle
	name.At = style.Pt(a.frame.Centre().X, box.Bottom)
	page.Write(name)
	grid, pen := style.Pen{Width: 1, Colour: gridLine}, style.Pen{Width: 1, Colour: style.SoftInk}
	for _, t := range across {
		foot := style.Pt(a.place(t.Value, a.y.Min).X, a.frame.Bottom)
		page.Line(style.Pt(foot.X, a.frame.Top), foot, grid)
		page.Line(foot, style.Pt(foot.X, foot.Y+tickLength), pen)
		label.Text = t.Label
		page.TryWrite(label.Beside(foot.Around(0), tickLength+textGap, style.Below))
	}
	for _, t := range down {
		foot := style.Pt(a.frame.Left, a.place(a.x.Min, t.Value).Y)
		page.Line(foot, style.Pt(a.frame.Right, foot.Y), grid)
		page.Line(style.Pt(foot.X-tickLength, foot.Y), foot, pen)
		label.Text = t.Label
		page.TryWrite(label.Beside(foot.Around(0), tickLength+textGap, style.Leftwards))
	}
	page.ClaimEdges(a.frame)
	return a
}

// place returns where on the page a pair of values lies.
func (a *axes) place(x, y float64) style.Point {
	f := a.frame
	return style.Pt(f.Left+a.x.Norm(x)*f.Width(), f.Bottom-a.y.Norm(y)*f.Height())
}
