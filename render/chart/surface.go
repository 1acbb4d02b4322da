package chart

import (
	"fmt"
	"image/color"
	"math"
	"sort"

	"gonum.org/v1/plot/vg/draw"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Surface is a value over two swept variables: a coloured cell for each pair, lines of equal value, the goal's heavier.
type Surface struct {
	Title, Subtitle        string
	XLabel, YLabel, ZLabel string
	X, Y                   []float64   // swept values, rising
	Z                      []float64   // index ix + iy*len(X); NaN: missing, drawn grey
	Goal                   float64     // of Z; 0: none
	Own, Best              *[2]float64 // x and y; nil: not marked
	Scale                  style.Scale // of the colours; zero: from the lowest to the highest
	Notes                  []string
	Footer                 string
	PixelFactor            float64 // 0 is 1; 2 for a sharper picture
}

// The looks of a surface chart.
const (
	surfaceHeight = 640.0
	surfaceLevels = 6
	fineX, fineY  = 320, 200 // grid on which lines of equal value are sought
)

// Draw draws the chart on a page of its own, 1400 points wide. It refuses values that are not as many as the pairs, and
// swept values that do not rise.
func (s Surface) Draw() (*style.Canvas, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	t, err := style.NewTypesetter(s.PixelFactor)
	if err != nil {
		return nil, err
	}
	if low, high, _ := style.Range(s.Z); !s.Scale.Usable() {
		s.Scale = style.NewScale(low, high)
	}
	bar := fig.BarFor(s.ZLabel, "", s.Scale, s.Goal, s.Z)
	blocks := []fig.Block{{HeightPt: surfaceHeight, Draw: s.chart}, bar.Block(), legend(t, s.samples(), pageText)}
	return finishPage(t, pageWords{s.Title, s.Subtitle, s.Notes, s.Footer}, blocks)
}

func (s Surface) check() error {
	if err := rising("x", s.X); err != nil {
		return err
	}
	if err := rising("y", s.Y); err != nil {
		return err
	}
	if len(s.Z) != len(s.X)*len(s.Y) {
		return fmt.Errorf("chart: %d values for %d by %d pairs", len(s.Z), len(s.X), len(s.Y))
	}
	return nil
}

// rising refuses swept values that are none, or do not rise.
func rising(name string, values []float64) error {
	if len(values) == 0 {
		return fmt.Errorf("chart: no %s values; at least one serves", name)
	}
	for i, v := range values {
		if !finite(v) || i > 0 && !(v > values[i-1]) {
			return fmt.Errorf("chart: %s value %d is %g; finite values that rise serve", name, i+1, v)
		}
	}
	return nil
}

// edges returns the borders of the cells around rising values: halfway to the neighbours, and as far beyond the ends.
func edges(values []float64) []float64 {
	n := len(values)
	if n == 1 {
		half := math.Max(math.Abs(values[0])*0.1, 1e-9)
		return []float64{values[0] - half, values[0] + half}
	}
	e := make([]float64, n+1)
	for i := 1; i < n; i++ {
		e[i] = (values[i-1] + values[i]) / 2
	}
	e[0], e[n] = 2*values[0]-e[1], 2*values[n-1]-e[n-1]
	return e
}

func (s Surface) chart(c *style.Canvas, box style.Box) {
	ex, ey := edges(s.X), edges(s.Y)
	box.Right -= 20
	a := newAxes(c, box, interval{ex[0], ex[len(s.X)]}, interval{ey[0], ey[len(s.Y)]})
	a.plot.X.Tick.Marker = valueTicks(s.X, roundTicks{box.Width(), axisSpacingX})
	a.plot.Y.Tick.Marker = valueTicks(s.Y, roundTicks{box.Height(), axisSpacingY})
	a.name(s.XLabel, s.YLabel)
	frame := a.draw(false)
	for iy := range s.Y {
		for ix := range s.X {
			from, to := a.place(ex[ix], ey[iy+1]), a.place(ex[ix+1], ey[iy])
			colour := style.Light().At(s.Scale.Share(s.Z[iy*len(s.X)+ix]))
			c.FillBox(style.Box{Left: from.X, Right: to.X, Top: from.Y, Bottom: to.Y}, color.NRGBA(colour))
		}
	}
	s.marks(a)
	heat := fig.Heat{
		Frame: frame, NX: fineX, NY: fineY, Values: s.fine(ex, ey), Scale: s.Scale, Colours: style.Light(), FirstRowAtBottom: true,
	}
	heat.Isolines(c, fig.GoalLevels(s.Z, surfaceLevels, s.Goal))
	c.StrokeBox(frame, style.Pen{Width: 1.4, Colour: style.Ink})
}

// fine returns the values between the swept ones, bilinear, on an even grid over the frame; NaN beside a missing one and
// beyond the outermost ones, where nothing is known.
func (s Surface) fine(ex, ey []float64) []float64 {
	values := make([]float64, 0, fineX*fineY)
	for iy := range fineY {
		y := ey[0] + (float64(iy)+0.5)/fineY*(ey[len(ey)-1]-ey[0])
		y0, y1, ty := between(s.Y, y)
		for ix := range fineX {
			x := ex[0] + (float64(ix)+0.5)/fineX*(ex[len(ex)-1]-ex[0])
			x0, x1, tx := between(s.X, x)
			near := blend(s.Z[y0*len(s.X)+x0], s.Z[y0*len(s.X)+x1], tx)
			far := blend(s.Z[y1*len(s.X)+x0], s.Z[y1*len(s.X)+x1], tx)
			values = append(values, blend(near, far, ty))
		}
	}
	return values
}

// blend is linear from a to b. Not a number in a value that has no weight does not count.
func blend(a, b, t float64) float64 {
	switch t {
	case 0:
		return a
	case 1:
		return b
	}
	return float64(a*(1-t)) + float64(b*t)
}

// between returns the neighbours of v among rising values, and its place between them, 0 to 1; NaN beyond the ends.
func between(values []float64, v float64) (first, second int, share float64) {
	second = sort.SearchFloat64s(values, v)
	switch {
	case second == 0:
		return 0, 0, math.NaN()
	case second == len(values):
		return second - 1, second - 1, math.NaN()
	}
	first = second - 1
	return first, second, (v - values[first]) / (values[second] - values[first])
}

func (s Surface) samples() []sample {
	var list []sample
	if s.shows(s.Own) {
		list = append(list, sample{text: "the scene as it stands", widthPt: markSample, draw: func(b *board, at style.Point) { drawOwn(b, at) }})
	}
	if s.shows(s.Best) && !s.bestIsOwn() {
		list = append(list, sample{text: "best of the sweep", widthPt: markSample, draw: func(b *board, at style.Point) { drawBest(b, at) }})
	}
	if low, high, ok := style.Range(s.Z); ok && s.Goal > low && s.Goal < high {
		list = append(list, sampleOfLine("heavier line: the goal", draw.LineStyle{Color: style.Ink, Width: 2.2}, draw.GlyphStyle{}))
	}
	return list
}

func drawOwn(b *board, at style.Point) {
	b.glyph(draw.GlyphStyle{Color: style.Paper, Radius: ownRadius + 2.5, Shape: diamond}, at)
	b.glyph(draw.GlyphStyle{Color: warm, Radius: ownRadius, Shape: diamond}, at)
}

func drawBest(b *board, at style.Point) {
	b.glyph(draw.GlyphStyle{Color: style.Paper, Radius: ownRadius + 2, Shape: disc}, at)
	b.glyph(draw.GlyphStyle{Color: deepBlue, Radius: ownRadius - 1, Shape: ring}, at)
	b.glyph(draw.GlyphStyle{Color: deepBlue, Radius: 2.5, Shape: disc}, at)
}

// shows tells whether a pair lies on the chart.
func (s Surface) shows(at *[2]float64) bool {
	if at == nil {
		return false
	}
	ex, ey := edges(s.X), edges(s.Y)
	return ex[0] <= at[0] && at[0] <= ex[len(s.X)] && ey[0] <= at[1] && at[1] <= ey[len(s.Y)]
}

func (s Surface) bestIsOwn() bool { return s.Own != nil && s.Best != nil && *s.Own == *s.Best }

// marks draws the scene's own and the best pair, each with its name on a small piece of paper.
func (s Surface) marks(a *axes) {
	same := s.bestIsOwn()
	for _, m := range []struct {
		at   *[2]float64
		text string
		draw func(*board, style.Point)
	}{{s.Best, "best", drawBest}, {s.Own, "this scene", drawOwn}} {
		if !s.shows(m.at) || same && m.text == "best" {
			continue
		}
		if same {
			m.text = "this scene, the best"
		}
		at := a.place(m.at[0], m.at[1])
		m.draw(a.board, at)
		a.page.Claim(style.Box{Left: at.X, Right: at.X, Top: at.Y, Bottom: at.Y}.Grown(ownRadius + 2))
		a.chip(style.Text{Text: m.text, Font: style.LabelFont}, at, ownRadius)
	}
}
