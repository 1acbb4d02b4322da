package chart

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Pair is a measured value beside the computed one. Place is where it was measured along the second chart's axis; Series
// tells kinds apart; Out marks a value that was left out.
type Pair struct {
	Computed, Measured float64
	Place              float64
	Series             int
	Out                bool
	Label              string
}

// Against holds measured values against computed ones: measured over computed with the line on which both are equal and a
// band about it, and beside it by how much each differs over a place such as the depth.
type Against struct {
	Title, Subtitle        string
	ValueUnit              string
	PlaceLabel             string
	Names                  []string // of the series
	Pairs                  []Pair
	BandShare              float64 // half width of the band, as a share of the computed value
	BandText               string
	Notes                  []string
	Footer                 string
	PixelFactor            float64
	ComputedText, MeasText string // names of the axes without the unit
}

// The looks of the charts, in points.
const (
	againstHeight = 620.0
	againstShare  = 0.52 // of the page's width that the left chart has
	againstGap    = 66.0
	pairRadius    = 4.6
	logFrom       = 8.0 // ratio of the highest to the lowest value from which axes are logarithmic
	mostDecades   = 5.0
)

var bandColour = style.Faded(region, 0.9)

// Draw draws both charts on a page of their own, 1400 points wide.
func (a Against) Draw() (*style.Canvas, error) {
	t, err := style.NewTypesetter(a.PixelFactor)
	if err != nil {
		return nil, err
	}
	kept := a.Pairs[:0:0]
	for _, p := range a.Pairs {
		if finite(p.Computed, p.Measured, p.Place) && p.Computed > 0 {
			kept = append(kept, p)
		}
	}
	a.Pairs = kept
	charts := fig.Block{HeightPt: againstHeight, Draw: func(c *style.Canvas, box style.Box) {
		left, right := box, box
		left.Right = box.Left + againstShare*box.Width() - againstGap/2
		right.Left = left.Right + againstGap
		a.values(c, left)
		a.differences(c, right)
	}}
	return finishPage(t, pageWords{a.Title, a.Subtitle, a.Notes, a.Footer}, []fig.Block{charts, legend(t, a.samples(), pageText)})
}

func (a Against) samples() []sample {
	var list []sample
	for i, name := range a.Names {
		list = append(list, sampleOfMark(name, lookOf(i).glyph(pairRadius)))
	}
	for _, p := range a.Pairs {
		if p.Out {
			list = append(list, sampleOfMark("left out of the fit", outGlyph))
			break
		}
	}
	list = append(list, sampleOfLine("measured as computed", equalLine, draw.GlyphStyle{}))
	if a.BandShare > 0 && a.BandText != "" {
		list = append(list, sampleOfRegion(a.BandText))
	}
	return list
}

var (
	equalLine = draw.LineStyle{Color: style.Ink, Width: 1.2}
	outGlyph  = draw.GlyphStyle{Color: warm, Radius: 6.5, Shape: cross{}}
)

// cross is a mark of two strokes.
type cross struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (cross) DrawGlyph(c *draw.Canvas, sty draw.GlyphStyle, at vg.Point) {
	r := sty.Radius * 0.8
	c.SetLineStyle(draw.LineStyle{Color: sty.Color, Width: 2.2})
	for _, s := range []vg.Length{1, -1} {
		var p vg.Path
		p.Move(vg.Point{X: at.X - r, Y: at.Y - s*r})
		p.Line(vg.Point{X: at.X + r, Y: at.Y + s*r})
		c.Stroke(p)
	}
}

// valueScale maps values to what the axes count: themselves, or their logarithms.
type valueScale struct {
	log    bool
	lowest float64 // what lies below is drawn here
}

func (s valueScale) at(v float64) float64 {
	if !s.log {
		return v
	}
	return math.Log10(math.Max(v, s.lowest))
}

// scale chooses between even and logarithmic axes.
func (a Against) scale() valueScale {
	low, high := math.Inf(1), 0.0
	for _, p := range a.Pairs {
		high = math.Max(high, math.Max(p.Computed, p.Measured))
		for _, v := range []float64{p.Computed, p.Measured} {
			if v > 0 {
				low = math.Min(low, v)
			}
		}
	}
	return valueScale{log: high > logFrom*low, lowest: math.Max(low, high/math.Pow(10, mostDecades))}
}

// logTicks are ticks at 1, 2 and 5 times powers of ten on an axis that counts logarithms.
type logTicks struct{}

// Ticks implements plot.Ticker.
func (logTicks) Ticks(low, high float64) []plot.Tick {
	var ticks []plot.Tick
	for e := math.Floor(low); e <= math.Ceil(high); e++ {
		for _, m := range []float64{1, 2, 5} {
			v := m * math.Pow(10, e)
			if at := math.Log10(v); at >= low && at <= high {
				t := plot.Tick{Value: at, Label: style.TickText(v)}
				if m != 1 && high-low > 3 {
					t.Label = ""
				}
				ticks = append(ticks, t)
			}
		}
	}
	return ticks
}

// values draws measured over computed.
func (a Against) values(c *style.Canvas, box style.Box) {
	s := a.scale()
	var all []float64
	for _, p := range a.Pairs {
		all = append(all, s.at(p.Computed), s.at(p.Measured))
	}
	r, ok := around(all...)
	if !s.log {
		r = r.notBelow(0)
	}
	axes := newAxes(c, box, r, r)
	if s.log {
		axes.plot.X.Tick.Marker, axes.plot.Y.Tick.Marker = logTicks{}, logTicks{}
	}
	axes.name(a.ComputedText+", "+a.ValueUnit, a.MeasText+", "+a.ValueUnit)
	a.band(axes, s, r)
	axes.grid()
	axes.line(plotter.XYs{{X: r.low, Y: r.low}, {X: r.high, Y: r.high}}, equalLine)
	a.marks(axes, func(p Pair) plotter.XY { return plotter.XY{X: s.at(p.Computed), Y: s.at(p.Measured)} })
	a.finish(axes, ok, func(p Pair) (float64, float64) { return s.at(p.Computed), s.at(p.Measured) })
}

// band adds the area about the line of equal values.
func (a Against) band(axes *axes, s valueScale, r interval) {
	if !(a.BandShare > 0) {
		return
	}
	corners := s.bandEdge(1+a.BandShare, r)
	below := s.bandEdge(math.Max(1-a.BandShare, 1e-3), r)
	slices.Reverse(below)
	axes.area(append(corners, below...), bandColour)
}

// bandEdge is the line on which measured is factor times computed: straight on either kind of axes, from one side of the
// chart to the other, with a corner where it meets the top or the bottom.
func (s valueScale) bandEdge(factor float64, r interval) plotter.XYs {
	up, down := func(x float64) float64 { return x * factor }, func(y float64) float64 { return y / factor }
	if s.log {
		shift := math.Log10(factor)
		up, down = func(x float64) float64 { return x + shift }, func(y float64) float64 { return y - shift }
	}
	within := func(v float64) float64 { return math.Min(math.Max(v, r.low), r.high) }
	bound := r.high
	if factor < 1 {
		bound = r.low
	}
	var edge plotter.XYs
	for _, x := range []float64{r.low, within(down(bound)), r.high} {
		edge = append(edge, plotter.XY{X: x, Y: within(up(x))})
	}
	return edge
}

// differences draws by how many percent each value differs, over its place.
func (a Against) differences(c *style.Canvas, box style.Box) {
	var xs []float64
	ys := []float64{-100 * a.BandShare, 100 * a.BandShare}
	for _, p := range a.Pairs {
		xs, ys = append(xs, p.Place), append(ys, p.difference())
	}
	x, ok := around(xs...)
	y, _ := around(ys...)
	axes := newAxes(c, box, x.notBelow(math.Min(0, x.low)), y)
	axes.name(a.PlaceLabel, "measured over computed, less 1, %")
	if b := 100 * a.BandShare; b > 0 {
		axes.area(plotter.XYs{{X: axes.plot.X.Min, Y: -b}, {X: axes.plot.X.Max, Y: -b}, {X: axes.plot.X.Max, Y: b}, {X: axes.plot.X.Min, Y: b}}, bandColour)
	}
	axes.grid()
	axes.line(plotter.XYs{{X: axes.plot.X.Min}, {X: axes.plot.X.Max}}, equalLine)
	a.marks(axes, func(p Pair) plotter.XY { return plotter.XY{X: p.Place, Y: p.difference()} })
	a.finish(axes, ok, func(p Pair) (float64, float64) { return p.Place, p.difference() })
}

// difference is how far the measured value lies above the computed one, %.
func (p Pair) difference() float64 { return 100 * (p.Measured/p.Computed - 1) }

// marks adds the marks of all pairs, those left out on top.
func (a Against) marks(axes *axes, at func(Pair) plotter.XY) {
	for _, out := range []bool{false, true} {
		var list []Pair
		var places plotter.XYs
		for _, p := range a.Pairs {
			if p.Out == out {
				list, places = append(list, p), append(places, at(p))
			}
		}
		axes.marks(places, func(i int) draw.GlyphStyle {
			if out {
				return outGlyph
			}
			return lookOf(list[i].Series).glyph(pairRadius)
		})
	}
}

// finish draws a chart and the labels of the values that were left out.
func (a Against) finish(axes *axes, ok bool, at func(Pair) (x, y float64)) {
	axes.draw(!ok)
	for _, p := range a.Pairs {
		x, y := at(p)
		place := axes.place(x, y)
		axes.page.Claim(style.Box{Left: place.X, Right: place.X, Top: place.Y, Bottom: place.Y}.Grown(pairRadius))
	}
	for _, p := range a.Pairs {
		if p.Out && p.Label != "" {
			x, y := at(p)
			axes.beside(style.Text{Text: axes.page.Shorten(p.Label, style.LabelFont, labelWide), Font: style.LabelFont}, axes.place(x, y), pairRadius)
		}
	}
}

// BandTextFor words a band for the legend.
func BandTextFor(confidence, share float64) string {
	return fmt.Sprintf("%.0f %% of readings are expected within %.1f %%", 100*confidence, 100*share)
}
