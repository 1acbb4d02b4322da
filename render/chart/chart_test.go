package chart

import (
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/plotter"

	"fathomlux/render/style"
)

// blank returns an empty page.
func blank(t *testing.T) *style.Canvas {
	t.Helper()
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(800, 600, letters)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func ticksOf(low, high, lengthPt float64) (labels []string, values []float64) {
	for _, tick := range (roundTicks{lengthPt, axisSpacingY}).Ticks(low, high) {
		labels, values = append(labels, tick.Label), append(values, tick.Value)
	}
	return labels, values
}

func TestTicksAreRoundAndAlike(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0.21, 0.83, "0.3 0.4 0.5 0.6 0.7 0.8"},
		{1480, 3520, "1500 2000 2500 3000 3500"},
		{-3, 3, "-3 -2 -1 0 1 2 3"},
		{0, 1.7e9, "0 5e+08 1e+09 1.5e+09"},
	} {
		labels, values := ticksOf(c.low, c.high, 400)
		got := strings.Join(labels, " ")
		if got != c.want {
			t.Errorf("ticks from %g to %g: %s; want %s", c.low, c.high, got, c.want)
		}
		for _, v := range values {
			if v < c.low || v > c.high {
				t.Errorf("tick %g lies beyond %g to %g", v, c.low, c.high)
			}
		}
	}
	if labels, _ := ticksOf(0.4, 0.7, 500); labels[0] != "0.40" || labels[1] != "0.45" {
		t.Errorf("ticks %v; want all with two decimals", labels)
	}
	if labels, _ := ticksOf(1, 1, 500); len(labels) != 0 {
		t.Errorf("an empty axis has ticks %v", labels)
	}
}

func TestSweptValuesAreTicksWhereTheyAreShort(t *testing.T) {
	round := roundTicks{400, axisSpacingX}
	for _, c := range []struct {
		values []float64
		own    bool
	}{
		{[]float64{120, 150, 180, 210}, true},
		{[]float64{40}, true},
		{[]float64{4.72440945, 5.51181102, 6.2992}, true}, // 4.724: four digits
		{[]float64{1200000, 1300000}, false},              // long texts
		{[]float64{1, 1.01, 1.02, 9}, false},              // they would meet
	} {
		ticks := valueTicks(c.values, round).Ticks(c.values[0], c.values[len(c.values)-1])
		own := len(ticks) == len(c.values)
		for i := range ticks {
			own = own && ticks[i].Value == c.values[i]
		}
		if own != c.own {
			t.Errorf("ticks of %v: %v; own %v, want %v", c.values, ticks, own, c.own)
		}
	}
}

func TestAroundHoldsAllValues(t *testing.T) {
	for _, values := range [][]float64{{1, 2}, {5}, {0, 0}, {-3, -3}, {1e9, 1e9 + 1e-3}, {math.NaN(), 4, math.Inf(1)}} {
		r, ok := around(values...)
		low, high, _ := style.Range(values)
		if !ok || !(r.low < low && r.high > high) {
			t.Errorf("around(%v) is %v, %v", values, r, ok)
		}
	}
	if _, ok := around(math.NaN()); ok {
		t.Error("an interval around nothing")
	}
	if r := (interval{-1, 5}).notBelow(0); r.low != 0 {
		t.Errorf("%v is below 0", r)
	}
	if r := (interval{-5, -1}).notBelow(0); r.low != -5 {
		t.Errorf("%v: values below 0 are lost", r)
	}
}

func TestFrontierRunsFromLeftToRightInSteps(t *testing.T) {
	s := Scatter{Points: []Point{{X: 3, Y: 1, Frontier: true}, {X: 1, Y: 3, Frontier: true}, {X: 1, Y: 1}, {X: 2, Y: 2, Frontier: true}}}
	front := s.front()
	for i, want := range (plotter.XYs{{X: 1, Y: 3}, {X: 2, Y: 2}, {X: 3, Y: 1}}) {
		if front[i] != want {
			t.Errorf("frontier %v; place %d should be %v", front, i, want)
		}
	}
	c := blank(t)
	a := newAxes(c, style.Box{Left: 50, Right: 750, Top: 50, Bottom: 550}, interval{0, 4}, interval{0, 4})
	s.frontier(a)
	a.draw(false)
	on, off := a.place(1, 2.5), a.place(1.5, 2.5) // the step falls right at its point, and not before the next
	if c.ColourAt(on) == color.RGBA(style.Paper) || c.ColourAt(off) != color.RGBA(style.Paper) {
		t.Errorf("the step is %v at its point and %v beyond", c.ColourAt(on), c.ColourAt(off))
	}
}

func TestRegionIsShadedWhereBothGoalsAreMet(t *testing.T) {
	c := blank(t)
	a := newAxes(c, style.Box{Left: 50, Right: 750, Top: 50, Bottom: 550}, interval{0, 4}, interval{0, 4})
	s := Scatter{GoalX: 2, GoalY: 1}
	s.shade(a)
	s.goalLines(a)
	a.draw(false)
	for at, want := range map[[2]float64]color.NRGBA{{3, 2}: region, {1, 2}: style.Paper, {3, 0.5}: style.Paper, {1, 0.5}: style.Paper} {
		if got := c.ColourAt(a.place(at[0], at[1])); got != color.RGBA(want) {
			t.Errorf("%v is %v; want %v", at, got, want)
		}
	}
}

func TestPointsAreWhereTheirValuesAre(t *testing.T) {
	c := blank(t)
	a := newAxes(c, style.Box{Left: 50, Right: 750, Top: 50, Bottom: 550}, interval{0, 10}, interval{0, 10})
	s := Scatter{Points: []Point{{X: 2, Y: 8}, {X: 8, Y: 3, Frontier: true}, {X: 5, Y: 5, Own: true}}}
	s.points(a)
	a.draw(false)
	for i, want := range []color.NRGBA{softBlue, deepBlue, warm} {
		p := a.place(s.Points[i].X, s.Points[i].Y)
		if got := c.ColourAt(p); got != color.RGBA(want) {
			t.Errorf("point %d at %v is %v; want %v", i, p, got, want)
		}
	}
	if p := a.place(0, 0); math.Abs(p.X-a.frame.Left) > 1e-9 || math.Abs(p.Y-a.frame.Bottom) > 1e-9 {
		t.Errorf("the origin is at %v in the frame %v", p, a.frame)
	}
}

func TestMarksTellWhetherTheGoalIsMet(t *testing.T) {
	s := Scatter{GoalX: 1, Points: []Point{{Met: true}, {}}}
	if s.glyph(s.Points[0]).Shape == s.glyph(s.Points[1]).Shape {
		t.Error("met and not met look the same without colour")
	}
	s.GoalX = 0
	if s.glyph(s.Points[1]).Shape != disc {
		t.Error("without a goal a mark is hollow")
	}
}

func TestCellsHaveTheColoursOfTheScale(t *testing.T) {
	s := Surface{X: []float64{1, 2, 4}, Y: []float64{1, 2}, Z: []float64{0, 0.5, 1, math.NaN(), 0.25, 0.75}, Scale: style.Scale{High: 1}}
	c := blank(t)
	ex, ey := edges(s.X), edges(s.Y)
	if ex[0] != 0.5 || ex[2] != 3 || ex[3] != 5 {
		t.Errorf("edges %v around %v", ex, s.X)
	}
	s.chart(c, style.Box{Left: 50, Right: 750, Top: 50, Bottom: 550})
	a := newAxes(c, style.Box{Left: 50, Right: 730, Top: 50, Bottom: 550}, interval{ex[0], ex[3]}, interval{ey[0], ey[2]})
	a.plot.Y.Tick.Marker = valueTicks(s.Y, roundTicks{500, axisSpacingY})
	a.draw(false)
	for iy, y := range s.Y {
		for ix := range s.X {
			z := s.Z[ix+iy*3]
			at := a.place(ex[ix]+0.08*(ex[ix+1]-ex[ix]), y+0.42*(1-2*float64(1-iy))) // off the lines and their labels
			if got, want := c.ColourAt(at), style.Light().At(z); got != want {
				t.Errorf("cell %d, %d of %g is %v; want %v", ix, iy, z, got, want)
			}
		}
	}
}

func TestLinesOfEqualValueEndWhereNothingIsKnown(t *testing.T) {
	s := hill()
	ex, ey := edges(s.X), edges(s.Y)
	values := s.fine(ex, ey)
	at := func(x, y float64) float64 {
		ix := int((x - ex[0]) / (ex[len(ex)-1] - ex[0]) * fineX)
		iy := int((y - ey[0]) / (ey[len(ey)-1] - ey[0]) * fineY)
		return values[iy*fineX+ix]
	}
	if got, want := at(180.1, 60.1), 0.8; math.Abs(got-want) > 0.01 { // a cell of the fine grid is 0.5 mm wide
		t.Errorf("the top is %g; want %g", got, want)
	}
	for _, p := range [][2]float64{{115, 50}, {180, 84}, {235, 25}} {
		if v := at(p[0], p[1]); !math.IsNaN(v) {
			t.Errorf("%v has the value %g; nothing is known there", p, v)
		}
	}
}

func TestSeriesHasGapsAndMarks(t *testing.T) {
	nan := math.NaN()
	parts := runs([]float64{0, 1, 2, 3, 4, 5}, []float64{1, 1, nan, 2, nan, 3})
	if len(parts) != 3 || len(parts[0]) != 2 || parts[2][0] != (plotter.XY{X: 5, Y: 3}) {
		t.Errorf("runs %v", parts)
	}
	places := along(plotter.XYs{{X: 0, Y: 0}, {X: 10, Y: 20}}, 4, 1)
	want := plotter.XYs{{X: 1, Y: 2}, {X: 5, Y: 10}, {X: 9, Y: 18}}
	for i := range want {
		if len(places) != 3 || math.Abs(places[i].Y-want[i].Y) > 1e-9 || math.Abs(places[i].X-want[i].X) > 1e-9 {
			t.Fatalf("marks at %v; want %v", places, want)
		}
	}
	if got := along(plotter.XYs{{X: 2, Y: 3}}, 4, 1); len(got) != 1 {
		t.Errorf("a single place has the marks %v", got)
	}
}

func TestAxisStartsAtZeroWhereAsked(t *testing.T) {
	l := waves(2)
	l.FromZero, l.From, l.To = true, 0, 1180
	x, y, _ := l.ranges()
	if y.low != 0 || y.high <= 60 || x != (interval{0, 1180}) {
		t.Errorf("axes %v and %v; want 0 to above 60, and 0 to 1180", x, y)
	}
	l.Lines[0].Y[3] = -5
	if _, y, _ := l.ranges(); y.low >= -5 {
		t.Errorf("axis %v leaves out -5", y)
	}
}

func TestLooksAreToldApart(t *testing.T) {
	type plain struct {
		dashes int
		first  float64
		mark   shape
	}
	seen := map[plain]int{}
	for i := range looks {
		l := lookOf(i)
		p := plain{dashes: len(l.dash), mark: l.mark}
		if len(l.dash) > 0 {
			p.first = l.dash[0]
		}
		if j, ok := seen[p]; ok {
			t.Errorf("looks %d and %d are the same without colour", i, j)
		}
		seen[p] = i
		if c := contrast(l.colour, style.Paper); c < 3 {
			t.Errorf("look %d has a contrast of %.1f against the page; want 3 (WCAG 2.2, 1.4.11)", i, c)
		}
	}
	if a, b := lookOf(1), lookOf(1+len(looks)); a.colour != b.colour || a.mark == b.mark {
		t.Errorf("looks %v and %v: the same colour should come with another mark", a, b)
	}
}

// contrast is that of WCAG 2.2, from relative luminances.
func contrast(a, b color.NRGBA) float64 {
	luminance := func(c color.NRGBA) float64 {
		linear := func(v uint8) float64 {
			s := float64(v) / 255
			if s <= 0.04045 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	}
	high, low := math.Max(luminance(a), luminance(b)), math.Min(luminance(a), luminance(b))
	return (high + 0.05) / (low + 0.05)
}

// picture returns the pixels of a page.
func picture(c *style.Canvas, err error) (*image.RGBA, error) {
	if err != nil {
		return nil, err
	}
	return c.Image(), nil
}
