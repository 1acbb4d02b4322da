// Package chart draws numbers over numbers: lines, marks, shaded areas, and a value over two variables as coloured
// cells. Axes, ticks, lines and glyphs are the plotting library's; their look is the same in all charts. It knows no
// tank and no light. Next: package fig for the page around a chart, package style for its colours.
package chart

import (
	"fmt"
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Chart is panels beside each other with one legend below.
type Chart struct {
	fig.Page
	Panels   []Panel
	HeightPt float64 // of the panels; 0: the usual
}

// Panel is two axes with what is drawn on them, from the lowest layer to the highest.
type Panel struct {
	X, Y   Axis
	Field  *Field
	Areas  []Area
	Limits []Limit
	Series []Series
	Ticks  []Tick // along the upper edge
}

// Axis is one of a panel's axes. It shows all values, and at least Low to High where High is above Low.
type Axis struct {
	Label     string
	Low, High float64
	Log       bool
	Tight     bool      // ends where the values do
	Zero      bool      // starts at 0 where no value is below
	At        []float64 // the ticks, where they are few; empty: round ones
}

// Series is a line through values, a mark at each, or both. Values that are not finite are gaps.
type Series struct {
	Name   string // in the legend; empty: not told
	X, Y   []float64
	Pen    style.Pen // without width: no line
	Steps  bool      // the line falls to the next value right after each
	Mark   Mark
	Radius float64   // of the marks, in points; 0: the usual
	From   []float64 // along y: where a thin stem to each mark begins; empty: no stems
	Labels []string  // beside the marks, where there is room; empty: none
}

// Mark is the shape of a mark.
type Mark int

// The marks.
const (
	None Mark = iota
	Disc
	Ring
	Block
	Square
	Wedge
	Triangle
	Plus
	Cross
)

// Look returns the pen and the mark of the i-th of several series, from 0: told apart by colour for most eyes, by
// dash and mark for all eyes and in grey print.
func Look(i int, widthPt float64) (style.Pen, Mark) {
	return style.SeriesPen(i, widthPt), Disc + Mark((i+i/int(Cross))%int(Cross))
}

// Area is a shaded area with a name for the legend. A corner that is infinite lies at the chart's edge.
type Area struct {
	Name string
	X, Y []float64
}

// Limit is a value of the y axis, or of the x axis where Upright, that the series are held against.
type Limit struct {
	At      float64
	Label   string
	Upright bool
}

// Tick is a place on the x axis that is marked at the upper edge.
type Tick struct {
	X     float64
	Label string
}

// Field is a value over both axes: Z has index ix + iy*len(X); NaN is missing and grey. Goal is drawn as a line; 0 is
// none.
type Field struct {
	Name  string // of the value
	X, Y  []float64
	Z     []float64
	Goal  float64
	Scale style.Scale // zero: from the lowest to the highest
}

// The sizes of charts, in points.
const (
	usualHeight = 560.0
	panelGap    = 66.0
	lineSample  = 34.0 // width of a sample in the legend
	sampleGap   = 30.0 // to the next sample
	legendRow   = 20.0
	widestName  = 380.0
	markRadius  = 4.6
)

// Draw draws the chart on a page of its own, 1400 points wide. It refuses series whose x and y differ in number, and
// a field whose values are not as many as its pairs; a chart without any value says so.
func (c Chart) Draw() (*style.Canvas, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	return c.Page.Draw(fig.PageWidth, c.Blocks)
}

// Check tells why a chart cannot be drawn.
func (c Chart) Check() error {
	for _, p := range c.Panels {
		for i, s := range p.Series {
			if n := len(s.X); len(s.Y) != n || len(s.From) > 0 && len(s.From) != n || len(s.Labels) > 0 && len(s.Labels) != n {
				return fmt.Errorf("chart: series %d has %d places, %d values, %d feet and %d labels; they must be as many",
					i+1, n, len(s.Y), len(s.From), len(s.Labels))
			}
		}
		if f := p.Field; f != nil {
			if err := f.check(); err != nil {
				return err
			}
		}
	}
	return nil
}

// Blocks returns the panels, the keys of fields and the legend as strips of a page whose text is textPt wide.
func (c Chart) Blocks(t *style.Typesetter, textPt float64) []fig.Block {
	height := c.HeightPt
	if height <= 0 {
		height = usualHeight
	}
	blocks := []fig.Block{{HeightPt: height, Draw: func(page *style.Canvas, box style.Box) {
		n := float64(len(c.Panels))
		wide := (box.Width() - (n-1)*panelGap) / n
		for i, p := range c.Panels {
			left := box.Left + float64(i)*(wide+panelGap)
			p.draw(page, style.Box{Left: left, Right: left + wide, Top: box.Top, Bottom: box.Bottom})
		}
	}}}
	for _, p := range c.Panels {
		if f := p.Field; f != nil {
			blocks = append(blocks, fig.BarFor(f.Name, "", f.scale(), f.Goal, f.Z).Block())
		}
	}
	return append(blocks, c.legend(t, textPt))
}

// sample is an entry of the legend: one of a series and an area.
type sample struct {
	name   string
	series *Series
	left   float64
	row    int
}

// legend is the names of series and areas, each once, in as many rows as they take.
func (c Chart) legend(t *style.Typesetter, widthPt float64) fig.Block {
	var all []sample
	seen, x, row := map[string]bool{"": true}, 0.0, 0
	add := func(name string, s *Series) {
		if seen[name] {
			return
		}
		seen[name] = true
		name = t.Shorten(name, style.SmallFont, widestName)
		wide := lineSample + 8 + t.Width(name, style.SmallFont)
		if x > 0 && x+wide > widthPt {
			x, row = 0, row+1
		}
		all = append(all, sample{name: name, series: s, left: x, row: row})
		x += wide + sampleGap
	}
	for _, p := range c.Panels {
		for i := range p.Series {
			add(p.Series[i].Name, &p.Series[i])
		}
		for _, a := range p.Areas {
			add(a.Name, nil)
		}
	}
	if len(all) == 0 {
		return fig.Block{}
	}
	return fig.Block{HeightPt: float64(row+1) * legendRow, Draw: func(page *style.Canvas, box style.Box) {
		for _, s := range all {
			s.draw(page, style.Pt(box.Left+s.left, box.Top+(float64(s.row)+0.5)*legendRow))
		}
	}}
}

// draw draws a sample whose left end is at a place.
func (s sample) draw(page *style.Canvas, at style.Point) {
	end := style.Pt(at.X+lineSample, at.Y)
	if s.series == nil {
		page.FillBox(style.Box{Left: at.X, Right: end.X, Top: at.Y - 6, Bottom: at.Y + 6}, region)
	} else {
		if s.series.Pen.Width > 0 {
			page.Line(at, end, s.series.Pen)
		}
		one := *s.series
		one.Radius = math.Min(one.radius(), 7)
		one.glyph(page, style.Pt(at.X+lineSample/2, at.Y))
	}
	text := style.Text{Text: s.name, At: style.Pt(end.X+8, at.Y), Anchor: style.MiddleLeft, Font: style.SmallFont,
		Colour: style.SoftInk}
	page.Write(text)
}

// check refuses swept values that do not rise, and values that are not as many as the pairs.
func (f Field) check() error {
	for _, list := range [2][]float64{f.X, f.Y} {
		for i, v := range list {
			if !finite(v) || i > 0 && !(v > list[i-1]) {
				return fmt.Errorf("chart: value %d of an axis is %g; finite values that rise serve", i+1, v)
			}
		}
	}
	if n := len(f.X) * len(f.Y); n == 0 || len(f.Z) != n {
		return fmt.Errorf("chart: %d values for %d by %d pairs", len(f.Z), len(f.X), len(f.Y))
	}
	return nil
}

// Shows tells whether a pair lies on the field.
func (f Field) Shows(x, y float64) bool {
	ex, ey := edges(f.X), edges(f.Y)
	return ex[0] <= x && x <= ex[1] && ey[0] <= y && y <= ey[1]
}

func (f Field) scale() style.Scale {
	if f.Scale.Usable() {
		return f.Scale
	}
	low, high, _ := style.Range(f.Z)
	return style.NewScale(low, high)
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
