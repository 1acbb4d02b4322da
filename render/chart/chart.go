// Package chart draws numbers over numbers: lines, marks, shaded areas, and a value over two variables as coloured
// cells. Scales and clipping are the plotting library's; the look of axes is the same in all charts. It knows no
// tank and no light. Next: package fig for the page around a chart, package style for its colours.
package chart

import (
	"cmp"
	"math"
	"slices"

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
	Down      bool      // values grow downwards, or to the left
	At        []float64 // the ticks, where they are few; empty: round ones
}

// Series is a line through values, a mark at each, or both. Values that are not finite are gaps. All lists are as long
// as X, or empty where they may be.
type Series struct {
	Name   string // in the legend; empty: not told
	X, Y   []float64
	Pen    style.Pen // without width: no line
	Steps  bool      // the line falls to the next value right after each
	Mark   fig.Mark
	Radius float64   // of the marks, in points; 0: the usual
	From   []float64 // along y: where a thin stem to each mark begins; empty: no stems
	Labels []string  // beside the marks, where there is room; empty: none
}

// Look returns the pen and the mark of the i-th of several series, from 0: told apart by colour for most eyes, by
// dash and mark for all eyes and in grey print.
func Look(i int, widthPt float64) (style.Pen, fig.Mark) {
	return style.SeriesPen(i, widthPt), fig.Disc + fig.Mark((i+i/int(fig.Cross))%int(fig.Cross))
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

// Field is a value over both axes, along which X and Y rise: Z has index ix + iy*len(X); NaN is missing and grey. Goal
// is drawn as a line; 0 is none.
type Field struct {
	Name string // of the value
	X, Y []float64
	Z    []float64
	Goal float64
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
	markWidth   = 1.2
)

// Draw draws the chart on a page of its own, 1400 points wide. A chart without any value says so.
func (c Chart) Draw() (*style.Canvas, error) { return c.Page.Draw(fig.PageWidth, c.Blocks) }

// Blocks returns the panels, the keys of fields and the legend as strips of a page whose text is textPt wide.
func (c Chart) Blocks(t *style.Typesetter, textPt float64) []fig.Block {
	blocks := []fig.Block{{HeightPt: cmp.Or(c.HeightPt, usualHeight), Draw: func(page *style.Canvas, box style.Box) {
		n := float64(len(c.Panels))
		wide := (box.Width() - (n-1)*panelGap) / n
		for _, p := range c.Panels {
			box.Right = box.Left + wide
			p.draw(page, box)
			box.Left = box.Right + panelGap
		}
	}}}
	var named []Series
	for _, p := range c.Panels {
		if f := p.Field; f != nil {
			blocks = append(blocks, fig.Key(f.Name, "", f.scale(), f.Goal, f.Z))
		}
		named = append(named, p.Series...)
		for _, a := range p.Areas {
			named = append(named, Series{Name: a.Name, Pen: style.Pen{Width: 12, Colour: region}})
		}
	}
	return append(blocks, Legend(t, named, textPt))
}

// Legend is the names of series, each once and beside a sample of it, in as many rows as they take.
func Legend(t *style.Typesetter, list []Series, widthPt float64) fig.Block {
	var ends []style.Point // of the samples
	var shown []Series
	seen, at := map[string]bool{"": true}, style.Pt(lineSample, legendRow/2)
	for _, s := range list {
		if seen[s.Name] {
			continue
		}
		seen[s.Name] = true
		s.Name = t.Shorten(s.Name, style.SmallFont, widestName)
		name := 8 + t.Width(s.Name, style.SmallFont)
		if at.X > lineSample && at.X+name > widthPt {
			at = style.Pt(lineSample, at.Y+legendRow)
		}
		shown, ends = append(shown, s), append(ends, at)
		at.X += name + sampleGap + lineSample
	}
	if len(shown) == 0 {
		return fig.Block{}
	}
	return fig.Block{HeightPt: at.Y + legendRow/2, Draw: func(page *style.Canvas, box style.Box) {
		for i, s := range shown {
			end := style.Pt(box.Left+ends[i].X, box.Top+ends[i].Y)
			if s.Pen.Width > 0 {
				page.Line(style.Pt(end.X-lineSample, end.Y), end, s.Pen)
			}
			s.Radius = math.Min(s.radius(), 7)
			s.mark(page, style.Pt(end.X-lineSample/2, end.Y))
			page.Write(style.Text{Text: s.Name, At: style.Pt(end.X+8, end.Y), Anchor: style.MiddleLeft,
				Font: style.SmallFont, Colour: style.SoftInk})
		}
	}}
}

// Shows tells whether a pair lies on the field.
func (f Field) Shows(x, y float64) bool {
	xs, ys := borders(f.X), borders(f.Y)
	return xs[0] <= x && x <= xs[len(f.X)] && ys[0] <= y && y <= ys[len(f.Y)]
}

func (f Field) scale() style.Scale {
	low, high, _ := style.Range(f.Z)
	return style.NewScale(low, high)
}

func finite(values ...float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return v-v != 0 }) // NaN or infinite
}
