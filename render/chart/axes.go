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
	size, gap := math.Max(math.Abs(low), math.Abs(high)), leastShareGap*(high-low)
	switch {
	case high-low <= 1e-9*size:
		gap = math.Max(0.1*size, 1e-9)
	case a.Tight:
		gap = 0
	}
	if from, to = low-gap, high+gap; a.Zero && low >= 0 {
		from = 0
	}
	return from, to, ok
}

// scale returns how values lie along the axis.
func (a Axis) scale() plot.Normalizer {
	switch {
	case a.Log:
		return plot.LogScale{}
	case a.Down:
		return plot.InvertedScale{Normalizer: plot.LinearScale{}}
	}
	return plot.LinearScale{}
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

// axes is a panel's frame on a page. The plotting library lays out and draws its two axes and the grid, and scales
// values; what stands in the frame is drawn on the page.
type axes struct {
	*style.Canvas
	plot  *plot.Plot
	data  draw.Canvas // the frame, to the library
	frame style.Box
}

// newAxes draws axes that hold all values into a box; above them the name of the y axis has its place. Names that are
// too long are cut. some is false where one of the axes has no value.
func newAxes(page *style.Canvas, box style.Box, x, y Axis, xs, ys []float64) (a *axes, some bool) {
	a = &axes{Canvas: page, plot: plot.New()}
	p, hand, width := a.plot, letters{page}, box.Width()*0.9
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
	p.X.Scale, p.Y.Scale = x.scale(), y.scale()
	var someX, someY bool
	p.X.Min, p.X.Max, someX = x.around(xs)
	p.Y.Min, p.Y.Max, someY = y.around(ys)
	p.X.Label.Text = page.Shorten(x.Label, style.TextFont, width)
	page.Write(style.Text{Text: page.Shorten(y.Label, style.TextFont, width), At: style.Pt(box.Left, box.Top),
		Font: style.TextFont})
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color, grid.Vertical.Width, grid.Horizontal.Width = gridLine, gridLine, 1, 1
	p.Add(grid)
	all := draw.Canvas{Canvas: &board{page: page}, Rectangle: vg.Rectangle{
		Min: a.back(style.Pt(box.Left, box.Bottom)), Max: a.back(style.Pt(box.Right, box.Top+axisLabelRoom+upperRoom)),
	}}
	p.Draw(all)
	a.data = p.DataCanvas(all)
	a.frame = style.Box{
		Left: float64(a.data.Min.X), Right: float64(a.data.Max.X),
		Top: page.Page().Bottom - float64(a.data.Max.Y), Bottom: page.Page().Bottom - float64(a.data.Min.Y),
	}
	page.ClaimEdges(a.frame)
	return a, someX && someY
}

// place returns where on the page a pair of values lies.
func (a *axes) place(x, y float64) style.Point {
	f := a.frame
	return style.Pt(f.Left+a.plot.X.Norm(x)*f.Width(), f.Bottom-a.plot.Y.Norm(y)*f.Height())
}

// back returns where a place on the page is to the library, whose origin is the page's lower left corner.
func (a *axes) back(p style.Point) vg.Point {
	return vg.Point{X: vg.Length(p.X), Y: vg.Length(a.Page().Bottom - p.Y)}
}

// board lets the plotting library draw axes on a page of ours: full, straight lines. Its texts go to letters; what the
// library asks besides is only recorded.
type board struct {
	recorder.Canvas
	page *style.Canvas
	pen  style.Pen
}

// SetLineWidth implements vg.Canvas.
func (b *board) SetLineWidth(w vg.Length) { b.pen.Width = float64(w) }

// SetColor implements vg.Canvas.
func (b *board) SetColor(c color.Color) { b.pen.Colour, _ = color.NRGBAModel.Convert(c).(color.NRGBA) }

// Stroke implements vg.Canvas.
func (b *board) Stroke(p vg.Path) {
	var line []style.Point
	for _, part := range p {
		line = append(line, style.Pt(float64(part.Pos.X), b.page.Page().Bottom-float64(part.Pos.Y)))
	}
	if b.pen.Width > 0 {
		b.page.Polyline(line, b.pen)
	}
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
	if width = textGap; s != " " {
		width = vg.Length(l.page.Width(s, ours))
	}
	return width, vg.Length(ours.CapHeight() + textGap), 0
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
