package chart

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"

	"fathomlux/render/style"
)

// Distances of the axes, in points.
const (
	tickLength    = 6.0
	axisSpacingX  = 92.0 // between tick labels along x, about
	axisSpacingY  = 58.0
	labelPad      = 8.0
	axisLabelRoom = 22.0 // above the frame, for the name of the y axis
	upperRoom     = 18.0 // between it and the frame, for what stands at the upper edge
	leastShareGap = 0.06 // free space beyond the outermost values, as a share of their range
	thinnest      = 1.2  // of the library's glyphs
)

// around returns the ends of an axis that holds all finite values with some space beyond; where they are all equal, a
// tenth of their size to each side. ok is false where there is none.
func (a Axis) around(values []float64) (from, to float64, ok bool) {
	if a.High > a.Low {
		values = append(values, a.Low, a.High)
	}
	low, high, ok := style.Range(values)
	if !ok {
		return 0, 1, false
	}
	if a.Zero {
		low = math.Min(low, 0)
	}
	if a.Log {
		return low / (1 + leastShareGap), high * (1 + leastShareGap), ok
	}
	size := math.Max(math.Abs(low), math.Abs(high))
	gap := leastShareGap * (high - low)
	switch {
	case high-low <= 1e-9*size:
		gap = math.Max(0.1*size, 1e-9)
	case high == low:
		gap = 1
	case a.Tight:
		gap = 0
	}
	from, to = low-gap, high+gap
	if a.Zero && low >= 0 {
		from = 0
	}
	return from, to, ok
}

// ticker returns the axis' ticks: at the values that it names where their texts have room, else at round values, or
// at 1, 2 and 5 times powers of ten.
func (a Axis) ticker(lengthPt, spacingPt float64) plot.Ticker {
	if a.Log {
		return plot.TickerFunc(logTicks)
	}
	return plot.TickerFunc(func(low, high float64) (ticks []plot.Tick) {
		perValue, free := lengthPt/(high-low), math.Inf(-1)
		if n := len(a.At); n > 0 && float64(n) <= lengthPt/spacingPt*1.5 {
			for _, v := range a.At {
				if (v-free)*perValue >= spacingPt/2 { // those that are closer go without
					ticks, free = append(ticks, plot.Tick{Value: v, Label: style.FourDigits(v)}), v
				}
			}
			return ticks
		}
		step := style.RoundStep(math.Min(spacingPt/perValue, high-low))
		for _, v := range style.Levels(low, high, step) {
			ticks = append(ticks, plot.Tick{Value: v, Label: tickLabel(v, step)})
		}
		return ticks
	})
}

// tickLabel writes a multiple of step with as many decimals as step has, so that all labels of an axis are alike.
func tickLabel(v, step float64) string {
	_, decimals, _ := strings.Cut(style.TickText(step), ".")
	if len(decimals) == 0 || strings.ContainsAny(decimals, "e") {
		return style.TickText(v)
	}
	return strconv.FormatFloat(v, 'f', len(decimals), 64)
}

// logTicks are ticks at 1, 2 and 5 times powers of ten.
func logTicks(low, high float64) []plot.Tick {
	var ticks []plot.Tick
	for e := math.Floor(math.Log10(low)); e <= math.Log10(high); e++ {
		for _, m := range []float64{1, 2, 5} {
			t := plot.Tick{Value: m * math.Pow(10, e), Label: style.TickText(m * math.Pow(10, e))}
			if m != 1 && high > 1000*low {
				t.Label = ""
			}
			if t.Value >= low && t.Value <= high {
				ticks = append(ticks, t)
			}
		}
	}
	return ticks
}

// axes is a panel's frame with its two axes on a page, drawn by the plotting library.
type axes struct {
	page   *style.Canvas
	plot   *plot.Plot
	canvas draw.Canvas // the whole of the chart: frame, ticks and labels
	frame  style.Box   // where the data lie, once drawn
}

// newAxes lays the axes into a box; above it the name of the y axis has its place. Names that are too long are cut.
func newAxes(page *style.Canvas, box style.Box, x, y Axis) *axes {
	b := &board{page: page}
	a, hand, width := &axes{page: page, plot: plot.New()}, letters{page}, box.Width()*0.9
	p := a.plot
	p.BackgroundColor, p.TextHandler = nil, hand
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
	p.X.Tick.Marker, p.Y.Tick.Marker = x.ticker(box.Width(), axisSpacingX), y.ticker(box.Height(), axisSpacingY)
	if x.Log {
		p.X.Scale = plot.LogScale{}
	}
	if y.Log {
		p.Y.Scale = plot.LogScale{}
	}
	p.X.Label.Text = page.Shorten(x.Label, style.TextFont, width)
	page.Write(style.Text{Text: page.Shorten(y.Label, style.TextFont, width), At: style.Pt(box.Left, box.Top),
		Font: style.TextFont})
	a.canvas = draw.Canvas{Canvas: b, Rectangle: vg.Rectangle{
		Min: b.back(style.Pt(box.Left, box.Bottom)), Max: b.back(style.Pt(box.Right, box.Top+axisLabelRoom+upperRoom)),
	}}
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color, grid.Vertical.Width, grid.Horizontal.Width = gridLine, gridLine, 1, 1
	a.add(grid.Plot)
	return a
}

// add adds something that takes no room beyond the axes.
func (a *axes) add(draw func(draw.Canvas, *plot.Plot)) { a.plot.Add(plotterFunc(draw)) }

// plotterFunc is something drawn among the plotting library's own things.
type plotterFunc func(draw.Canvas, *plot.Plot)

// Plot implements plot.Plotter.
func (f plotterFunc) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// draw draws all that was added, and the frame around it; place and frame serve afterwards.
func (a *axes) draw() {
	a.plot.Draw(a.canvas)
	inner, bottom := a.plot.DataCanvas(a.canvas), a.page.Page().Bottom
	a.frame = style.Box{
		Left: float64(inner.Min.X), Right: float64(inner.Max.X),
		Top: bottom - float64(inner.Max.Y), Bottom: bottom - float64(inner.Min.Y),
	}
	a.page.StrokeBox(a.frame, style.Pen{Width: 1, Colour: style.SoftInk})
	a.page.ClaimEdges(a.frame)
}

// place returns where on the page a pair of values lies.
func (a *axes) place(x, y float64) style.Point {
	f := a.frame
	return style.Pt(f.Left+a.plot.X.Norm(x)*f.Width(), f.Bottom-a.plot.Y.Norm(y)*f.Height())
}

// board lets the plotting library draw on a page of ours. Its unit is the page's point, its origin the page's lower
// left corner. Charts turn and shift nothing, and their texts go to letters; what the library asks of that is only
// recorded.
type board struct {
	recorder.Canvas
	page *style.Canvas
	pen  style.Pen
}

// SetLineWidth implements vg.Canvas.
func (b *board) SetLineWidth(w vg.Length) { b.pen.Width = float64(w) }

// SetLineDash implements vg.Canvas; where the pattern starts is left to the line's start.
func (b *board) SetLineDash(pattern []vg.Length, _ vg.Length) {
	b.pen.Dash = nil
	for _, d := range pattern {
		b.pen.Dash = append(b.pen.Dash, float64(d))
	}
}

// SetColor implements vg.Canvas.
func (b *board) SetColor(c color.Color) { b.pen.Colour, _ = color.NRGBAModel.Convert(c).(color.NRGBA) }

// Stroke implements vg.Canvas.
func (b *board) Stroke(p vg.Path) {
	pen := b.pen
	if !(pen.Width > 0) {
		return
	}
	pen.Width = math.Max(pen.Width, thinnest)
	for _, line := range b.lines(p) {
		b.page.Polyline(line, pen)
	}
}

// Fill implements vg.Canvas.
func (b *board) Fill(p vg.Path) {
	for _, line := range b.lines(p) {
		b.page.Polygon(line, b.pen.Colour)
	}
}

// lines returns the path as joined lines on the page; arcs, which glyphs alone have, become short pieces. A place
// that is no number ends a line.
func (b *board) lines(p vg.Path) (lines [][]style.Point) {
	var line []style.Point
	end := func() {
		if len(line) > 1 {
			lines = append(lines, line)
		}
		line = nil
	}
	add := func(q vg.Point) {
		if !finite(float64(q.X), float64(q.Y)) {
			end()
			return
		}
		line = append(line, style.Pt(float64(q.X), b.page.Page().Bottom-float64(q.Y)))
	}
	for _, part := range p {
		switch part.Type {
		case vg.MoveComp:
			end()
			add(part.Pos)
		case vg.LineComp:
			add(part.Pos)
		case vg.ArcComp:
			const pieces = 48
			for i := range pieces + 1 {
				sin, cos := math.Sincos(part.Start + part.Angle*float64(i)/pieces)
				add(vg.Point{X: part.Pos.X + part.Radius*vg.Length(cos), Y: part.Pos.Y + part.Radius*vg.Length(sin)})
			}
		case vg.CloseComp:
			if len(line) > 0 {
				line = append(line, line[0])
			}
		}
	}
	end()
	return lines
}

// back returns the place on the vector canvas of a place on the page.
func (b *board) back(p style.Point) vg.Point {
	return vg.Point{X: vg.Length(p.X), Y: vg.Length(b.page.Page().Bottom - p.Y)}
}

// letters implements text.Handler with the page's typesetter, so that the plotting library's tick labels are measured,
// drawn and claimed as every other text is. A text's box reaches from the base line to the capitals' height and
// textGap above; what hangs below the base line is not counted.
type letters struct{ page *style.Canvas }

// textGap is the free space between a tick and the label below it, in points.
const textGap = 4.0

// Cache implements text.Handler; no fonts of the plotting library are used.
func (letters) Cache() *font.Cache { return nil }

// Extents implements text.Handler.
func (l letters) Extents(f font.Font) font.Extents {
	_, height, _ := l.Box("", f)
	return font.Extents{Ascent: height, Height: height}
}

// Lines implements text.Handler: a text is one line.
func (letters) Lines(s string) []string { return []string{s} }

// Box implements text.Handler. A blank, which the axes use as a distance, is as wide as textGap.
func (l letters) Box(s string, f font.Font) (width, height, depth vg.Length) {
	ours := pageFont(f)
	if s == " " {
		return textGap, vg.Length(ours.CapHeight() + textGap), 0
	}
	return vg.Length(l.page.Width(s, ours)), vg.Length(ours.CapHeight() + textGap), 0
}

// Draw implements text.Handler. Text stands upright, whatever the style's rotation.
func (l letters) Draw(_ vg.Canvas, s string, sty text.Style, at vg.Point) {
	width, height, _ := l.Box(s, sty.Font)
	x, y := float64(at.X+vg.Length(sty.XAlign)*width), l.page.Page().Bottom-float64(at.Y+vg.Length(sty.YAlign)*height)
	ours := pageFont(sty.Font)
	ink, _ := color.NRGBAModel.Convert(sty.Color).(color.NRGBA)
	l.page.Write(style.Text{Text: s, Font: ours, Colour: ink, At: style.Pt(x, y-ours.CapHeight())})
}

// plotFont and pageFont translate a font; axes have the regular weight only.
func plotFont(f style.Font) font.Font { return font.Font{Size: vg.Length(f.SizePt)} }

func pageFont(f font.Font) style.Font { return style.Font{SizePt: float64(f.Size)} }
