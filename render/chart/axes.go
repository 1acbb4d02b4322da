package chart

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/style"
)

// Distances of the axes, in points.
const (
	tickLength    = 6.0
	axisSpacingX  = 92.0 // between tick labels along x, about
	axisSpacingY  = 58.0
	labelPad      = 8.0
	axisLabelRoom = 22.0 // above the frame, for the name of the y axis
	leastShareGap = 0.06 // free space beyond the outermost values, as a share of their range
)

// interval is the part of an axis that is shown.
type interval struct{ low, high float64 }

// around returns an interval that holds all finite values with some space beyond; where they are all equal, a tenth of
// their size to each side. ok is false where there is none.
func around(values ...float64) (r interval, ok bool) {
	low, high, ok := style.Range(values)
	if !ok {
		return interval{0, 1}, false
	}
	size := math.Max(math.Abs(low), math.Abs(high))
	gap := leastShareGap * (high - low)
	if high-low <= 1e-9*size {
		gap = math.Max(0.1*size, 1e-9)
		if size == 0 {
			gap = 1
		}
	}
	return interval{low - gap, high + gap}, true
}

// notBelow cuts the interval at a floor that no value lies below, such as 0.
func (r interval) notBelow(floor float64) interval {
	if r.low < floor && r.high > floor {
		r.low = floor
	}
	return r
}

// roundTicks are ticks at round numbers about spacing points apart on an axis of the given length.
type roundTicks struct{ lengthPt, spacingPt float64 }

// Ticks implements plot.Ticker.
func (t roundTicks) Ticks(low, high float64) []plot.Tick {
	if !(high > low) || !(t.lengthPt > 0) {
		return nil
	}
	step := style.RoundStep((high - low) * math.Min(t.spacingPt/t.lengthPt, 1))
	var ticks []plot.Tick
	for _, v := range style.Levels(low, high, step) {
		ticks = append(ticks, plot.Tick{Value: v, Label: tickLabel(v, step)})
	}
	return ticks
}

// tickLabel writes a multiple of step with as many decimals as step has, so that all labels of an axis are alike.
func tickLabel(v, step float64) string {
	_, decimals, _ := strings.Cut(style.TickText(step), ".")
	if len(decimals) == 0 || strings.ContainsAny(decimals, "e") {
		return style.TickText(v)
	}
	return strconv.FormatFloat(v, 'f', len(decimals), 64)
}

// valueTicks are ticks at the values themselves where their texts are short and do not meet; round ticks otherwise.
func valueTicks(values []float64, other roundTicks) plot.Ticker {
	if len(values) == 1 {
		return plot.ConstantTicks{{Value: values[0], Label: style.FourDigits(values[0])}}
	}
	if len(values) > int(other.lengthPt/other.spacingPt*2)+1 {
		return other
	}
	least := math.Inf(1)
	var ticks plot.ConstantTicks
	for i, v := range values {
		label := style.FourDigits(v)
		if len(label) > 6 {
			return other
		}
		ticks = append(ticks, plot.Tick{Value: v, Label: label})
		if i > 0 {
			least = math.Min(least, v-values[i-1])
		}
	}
	if least/(values[len(values)-1]-values[0])*other.lengthPt < other.spacingPt/2 {
		return other
	}
	return ticks
}

// axes is a chart's frame with its two axes on a page, drawn by the plotting library.
type axes struct {
	page   *style.Canvas
	board  *board
	plot   *plot.Plot
	canvas draw.Canvas // the whole of the chart: frame, ticks and labels

	frame     style.Box // where the data lie, once drawn
	nameAbove float64   // free space between the frame and the name of the y axis
}

// newAxes lays the axes into a box; above it the name of the y axis has its place. Names that are too long are cut.
func newAxes(page *style.Canvas, box style.Box, x, y interval) *axes {
	a := &axes{page: page, board: newBoard(page), plot: plot.New()}
	p, hand := a.plot, letters{a.board}
	p.BackgroundColor, p.TextHandler = nil, hand
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = x.low, x.high, y.low, y.high
	for _, axis := range []*plot.Axis{&p.X, &p.Y} {
		axis.Padding, axis.Width = 0, 0
		axis.Label.Padding = labelPad
		axis.Tick.Length, axis.Tick.Width, axis.Tick.Color = tickLength, 1, style.SoftInk
		axis.Tick.Label.Font, axis.Tick.Label.Color, axis.Tick.Label.Handler = plotFont(style.LabelFont), style.SoftInk, hand
		axis.Label.TextStyle.Font, axis.Label.TextStyle.Color = plotFont(style.TextFont), style.Ink
		axis.Label.TextStyle.Handler, axis.Label.TextStyle.YAlign = hand, draw.YBottom
	}
	height := style.LabelFont.CapHeight()
	p.Y.Tick.Label.YAlign = text.YAlignment(-0.5 * height / (height + textGap)) // figures centred on their ticks
	p.X.Tick.Marker = roundTicks{box.Width(), axisSpacingX}
	p.Y.Tick.Marker = roundTicks{box.Height(), axisSpacingY}
	bottom := page.Page().Bottom
	a.canvas = draw.Canvas{Canvas: a.board, Rectangle: vg.Rectangle{
		Min: vg.Point{X: vg.Length(box.Left), Y: vg.Length(bottom - box.Bottom)},
		Max: vg.Point{X: vg.Length(box.Right), Y: vg.Length(bottom - box.Top - axisLabelRoom)},
	}}
	return a
}

// name gives the axes their names.
func (a *axes) name(x, y string) {
	width := float64(a.canvas.Max.X-a.canvas.Min.X) * 0.8
	a.plot.X.Label.Text = a.page.Shorten(x, style.TextFont, width)
	if y != "" {
		a.page.Write(style.Text{
			Text: a.page.Shorten(y, style.TextFont, width), Font: style.TextFont,
			At: style.Pt(float64(a.canvas.Min.X), a.page.Page().Bottom-float64(a.canvas.Max.Y)-axisLabelRoom-a.nameAbove),
		})
	}
}

// grid adds pale lines at the ticks. It comes before what it lies under.
func (a *axes) grid() {
	g := plotter.NewGrid()
	g.Vertical.Color, g.Horizontal.Color = gridLine, gridLine
	g.Vertical.Width, g.Horizontal.Width = 1, 1
	a.plot.Add(plotterFunc(func(c draw.Canvas, p *plot.Plot) { g.Plot(c, p) }))
}

// plotterFunc is something drawn among the plotting library's own things.
type plotterFunc func(draw.Canvas, *plot.Plot)

// Plot implements plot.Plotter.
func (f plotterFunc) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// line adds a line through places; nil where one of them is not finite, or there are none.
func (a *axes) line(places plotter.XYs, pen draw.LineStyle) *plotter.Line {
	line, err := plotter.NewLine(places)
	if err != nil {
		return nil
	}
	line.LineStyle = pen
	a.plot.Add(line)
	return line
}

// area adds a filled area inside its corners.
func (a *axes) area(corners plotter.XYs, colour color.Color) {
	if area, err := plotter.NewPolygon(corners); err == nil {
		area.Color, area.LineStyle.Width = colour, 0
		a.plot.Add(area)
	}
}

// marks adds a mark at each place, which takes no room beyond the axes.
func (a *axes) marks(places plotter.XYs, glyph func(int) draw.GlyphStyle) {
	if marks, err := plotter.NewScatter(places); err == nil {
		marks.GlyphStyleFunc = glyph
		a.plot.Add(plotterFunc(func(c draw.Canvas, p *plot.Plot) { marks.Plot(c, p) }))
	}
}

// draw draws all that was added, and the frame around it; place and frame serve afterwards. A chart that is empty says so.
func (a *axes) draw(empty bool) style.Box {
	a.plot.Draw(a.canvas)
	inner, bottom := a.plot.DataCanvas(a.canvas), a.page.Page().Bottom
	a.frame = style.Box{
		Left: float64(inner.Min.X), Right: float64(inner.Max.X),
		Top: bottom - float64(inner.Max.Y), Bottom: bottom - float64(inner.Min.Y),
	}
	a.page.StrokeBox(a.frame, style.Pen{Width: 1, Colour: style.SoftInk})
	a.page.ClaimEdges(a.frame)
	if empty {
		a.page.Write(style.Text{Text: "no values", At: a.frame.Centre(), Anchor: style.Middle, Font: style.TextFont, Colour: style.SoftInk})
	}
	return a.frame
}

// place returns where on the page a pair of values lies.
func (a *axes) place(x, y float64) style.Point {
	f := a.frame
	return style.Pt(f.Left+a.plot.X.Norm(x)*f.Width(), f.Bottom-a.plot.Y.Norm(y)*f.Height())
}
