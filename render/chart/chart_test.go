package chart

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

var longName = strings.Repeat("\u00dcbergro\u00dfes Aquarium, \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u706f ", 12)

// candidates returns marks in a fixed disorder, each labelled, with a line of steps through some and limits on both axes.
func candidates(n int) Chart {
	marks, steps := Series{Name: "candidate", Mark: fig.Disc, Pen: style.SeriesPen(0, 0)}, Series{Pen: style.SeriesPen(0, 1.6), Steps: true}
	for i := range n {
		x := 1500 + math.Mod(float64(i)*617.3, 2000)
		marks.X, marks.Y = append(marks.X, x), append(marks.Y, (0.25+math.Mod(float64(i)*0.3819, 0.6))*(1-(x-1500)/6000))
		marks.Labels = append(marks.Labels, fmt.Sprintf("candidate %d", i+1))
	}
	for i := range min(n, 6) {
		steps.X, steps.Y = append(steps.X, 2000+200*float64(i)), append(steps.Y, 0.8-0.1*float64(i))
	}
	inf := math.Inf(1)
	p := Panel{X: Axis{Label: "mean illuminance, lx"}, Y: Axis{Label: "U0"}, Series: []Series{steps, marks},
		Limits: []Limit{{At: 2500, Label: "goal 2500", Upright: true}, {At: 0.5, Label: "goal 0.5"}},
		Areas:  []Area{{Name: "goal met", X: []float64{2500, inf, inf, 2500}, Y: []float64{0.5, 0.5, inf, inf}}}}
	return Chart{Page: fig.Page{Title: "Library foyer", Subtitle: "spacing and beam", Footer: "computed, not measured"}, Panels: []Panel{p}}
}

// hill is a field that falls from a top, with two cells missing.
func hill() Chart {
	f := &Field{Name: "U0", Goal: 0.5, X: []float64{120, 140, 160, 180, 200, 220, 240, 260}, Y: []float64{20, 30, 40, 50, 60, 70, 80}}
	for _, y := range f.Y {
		for _, x := range f.X {
			z := 0.8 * math.Exp(-math.Pow((x-180)/90, 2)-math.Pow((y-60)/40, 2))
			if x == 240 && y < 40 {
				z = math.NaN()
			}
			f.Z = append(f.Z, z)
		}
	}
	p := Panel{Field: f, X: Axis{Label: "spacing, mm"}, Y: Axis{Label: "beam angle, deg"},
		Series: []Series{{Name: "best", X: []float64{180}, Y: []float64{60}, Mark: fig.Ring, Radius: 20, Pen: style.SeriesPen(1, 0)}}}
	return Chart{Page: fig.Page{Title: "Library foyer"}, Panels: []Panel{p}}
}

// waves is n lines over a rail, one with a gap, one that ends early, and dots on stems.
func waves(n int) Chart {
	p := Panel{X: Axis{Label: "along the rail, mm", Tight: true, High: 1180}, Y: Axis{Label: "temperature, \u00b0C"},
		Limits: []Limit{{At: 60, Label: "limit 60 \u00b0C"}, {At: 59.8, Label: "caution"}}}
	for i := range n {
		pen, mark := Look(i, 2)
		line, dots := Series{Name: fmt.Sprintf("%d round-%d", i+1, 20+i), Pen: pen}, Series{Mark: mark, Pen: pen}
		dots.Pen.Width = 0
		for x := 0.0; x <= 1100 && !(i == 2 && x > 600); x += 20 {
			y := 40 + 10*math.Sin(x/200+float64(i)) + float64(i)
			if i == 1 && x > 400 && x < 500 {
				y = math.NaN()
			}
			line.X, line.Y = append(line.X, x), append(line.Y, y)
		}
		dots.X, dots.Y, dots.From = line.X[:3], []float64{50, math.NaN(), 52}, []float64{40, 40, 40}
		p.Series = append(p.Series, line, dots)
	}
	for i := range 6 {
		p.Ticks = append(p.Ticks, Tick{X: 100 + 180*float64(i), Label: fmt.Sprint(i + 1)})
	}
	return Chart{Page: fig.Page{Title: "Temperature along the rail"}, Panels: []Panel{p}}
}

// gallery is charts that are hard to lay out.
func gallery() map[string]Chart {
	same, wordy, endless, one, odd, none, far, two := candidates(12), candidates(12), candidates(5), hill(), hill(), hill(), waves(3), candidates(20)
	for i := range same.Panels[0].Series[1].X {
		same.Panels[0].Series[1].X[i], same.Panels[0].Series[1].Y[i] = 2000, 0.4
		wordy.Panels[0].Series[1].Labels[i] = longName
	}
	wordy.Title, wordy.Subtitle, wordy.Footer, wordy.Notes = longName, longName, longName, []string{longName, longName}
	wordy.Panels[0].X.Label, wordy.Panels[0].Y.Label, wordy.Panels[0].Areas[0].Name = longName, longName, longName
	endless.Panels[0].Series[1].X[0], endless.Panels[0].Series[1].Y[1] = math.Inf(1), math.NaN()
	f := one.Panels[0].Field
	f.X, f.Y, f.Z = []float64{180}, []float64{60}, []float64{0.4}
	odd.Panels[0].Field.X = []float64{4.7244094, 5.5118110, 6.2992125, 7.0866141, 7.8740157, 8.6614173, 9.4488188, 40}
	odd.Panels[0].Field.Name, odd.Panels[0].X.Label = longName, longName
	for i := range none.Panels[0].Field.Z {
		none.Panels[0].Field.Z[i] = math.NaN()
	}
	far.Panels[0].Series[0].Name, far.Panels[0].Limits[0].Label, far.Panels[0].Ticks[2].Label = longName, longName, longName
	for i := range 60 {
		far.Panels[0].Ticks = append(far.Panels[0].Ticks, Tick{X: float64(i) * 18, Label: fmt.Sprintf("module %d", i)})
	}
	far.Panels[0].Ticks = append(far.Panels[0].Ticks, Tick{X: math.NaN()}, Tick{X: -5})
	two.Panels = append(two.Panels, waves(2).Panels...)
	two.Panels[0].X.Log = true
	return map[string]Chart{
		"none": {Panels: make([]Panel, 1)}, "marks 1": candidates(1), "marks 12": candidates(12), "marks 300": candidates(300), "same": same, "wordy": wordy,
		"endless": endless, "field": hill(), "one pair": one, "odd": odd, "nothing known": none,
		"lines 1": waves(1), "lines 3": waves(3), "lines 60": waves(60), "far": far, "two": two,
	}
}

func TestChartsSayWhatTheyAreGiven(t *testing.T) {
	t.Parallel()
	wants := map[string][]string{
		"none":          {"no values"},
		"marks 12":      {"mean illuminance, lx", "goal 2500", "goal 0.5", "candidate 7\n", "goal met", "\n0.5\n", "computed, not measured"},
		"same":          {"candidate 1 and 11 more"},
		"field":         {"spacing, mm", "\n260\n", "best\n", "no value", "goal 0.5", "\n0.800\n"},
		"one pair":      {"\n180\n", "\n0.400\n"},
		"nothing known": {"no value"},
		"lines 3":       {"1 round-20", "3 round-22", "limit 60 \u00b0C", "caution", "\n6\n"},
		"lines 60":      {"60 round-79"},
		"two":           {"2000", "temperature, \u00b0C"},
	}
	for name, chart := range gallery() {
		for _, factor := range []float64{1, 2} {
			chart.PixelFactor = factor
			c, err := chart.Draw()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for _, fault := range c.Collisions() {
				t.Errorf("%s at %g: %s", name, factor, fault)
			}
			text := "\n"
			for _, placed := range c.Texts() {
				text += placed.Text + "\n"
			}
			for _, want := range wants[name] {
				if !strings.Contains(text, want) {
					t.Errorf("%s: %q is missing in\n%s", name, want, text)
				}
			}
		}
	}
}

// blank returns axes from 0 to 10 on an empty page, to which a panel is drawn.
func drawn(t *testing.T, p Panel) (*style.Canvas, *axes) {
	t.Helper()
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(800, 600, letters)
	if err != nil {
		t.Fatal(err)
	}
	p.X.Tight, p.Y.Tight = true, true
	box := style.Box{Left: 50, Right: 750, Top: 50, Bottom: 550}
	p.draw(c, box)
	other, err := style.NewCanvas(800, 600, letters)
	if err != nil {
		t.Fatal(err)
	}
	xs, ys := []float64{p.X.Low, p.X.High}, []float64{p.Y.Low, p.Y.High}
	if f := p.Field; f != nil {
		p.X.At, p.Y.At, xs, ys = f.X, f.Y, borders(f.X), borders(f.Y)
	}
	a := newAxes(other, box, p.X, p.Y, xs, ys)
	return c, a
}

// TestMarksLinesAndAreasAreWhereTheirValuesAre reads pixels: marks over lines over areas; a step falls right at its point.
func TestMarksLinesAndAreasAreWhereTheirValuesAre(t *testing.T) {
	t.Parallel()
	inf, red, blue := math.Inf(1), color.NRGBA{R: 200, A: 255}, color.NRGBA{B: 200, A: 255}
	c, a := drawn(t, Panel{X: Axis{High: 10}, Y: Axis{High: 10}, Areas: []Area{{X: []float64{2, inf, inf, 2}, Y: []float64{-inf, -inf, 3, 3}}},
		Series: []Series{{X: []float64{1, 4, 9}, Y: []float64{9, 7, 5}, Steps: true, Pen: style.Pen{Width: 3, Colour: blue}},
			{X: []float64{4, 7, math.NaN()}, Y: []float64{7, 2, 1}, Mark: fig.Disc, Pen: style.Pen{Colour: red}}}})
	for at, want := range map[[2]float64]color.NRGBA{
		{4, 7}: red, {7, 2}: red, {1, 8}: blue, {2.5, 7}: blue, {4, 6}: blue, {2.7, 8.3}: style.Paper, {9.3, 1.3}: region, {9.3, 3.4}: style.Paper, {1.3, 1.3}: style.Paper,
	} {
		if got := c.ColourAt(a.place(at[0], at[1])); got != color.RGBA(want) {
			t.Errorf("%v is %v; want %v", at, got, want)
		}
	}
	if p := a.place(0, 0); math.Abs(p.X-a.frame.Left) > 1e-9 || math.Abs(p.Y-a.frame.Bottom) > 1e-9 {
		t.Errorf("the origin is at %v in the frame %v", p, a.frame)
	}
}

func TestCellsHaveTheColoursOfTheScale(t *testing.T) {
	t.Parallel()
	f := &Field{X: []float64{1, 2, 4}, Y: []float64{1, 2}, Z: []float64{0, 0.5, 1, math.NaN(), 0.25, 0.75}}
	c, a := drawn(t, Panel{Field: f})
	for i, z := range f.Z {
		x, y := f.X[i%3]-0.2, f.Y[i/3]-0.3 // off the numbers
		if got, want := c.ColourAt(a.place(x, y)), style.Light().At(z); got != want {
			t.Errorf("the cell of %g is %v; want %v", z, got, want)
		}
	}
	if f.Shows(5, 1) != true || f.Shows(5.1, 1) || f.Shows(1, math.NaN()) {
		t.Error("wrong about which pairs lie on the field")
	}
}

func labelsOf(ticks []mark) string {
	var all []string
	for _, tick := range ticks {
		all = append(all, tick.Label)
	}
	return strings.Join(all, " ")
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		axis      Axis
		low, high float64
		want      string
	}{
		{Axis{}, 0.21, 0.83, "0.3 0.4 0.5 0.6 0.7 0.8"}, {Axis{}, 1480, 3520, "1500 2000 2500 3000 3500"}, {Axis{}, -3, 3, "-3 -2 -1 0 1 2 3"},
		{Axis{}, 0, 1.7e9, "0 5e+08 1e+09 1.5e+09"}, {Axis{}, 0.4, 0.7, "0.40 0.45 0.50 0.55 0.60 0.65 0.70"},
		{Axis{Log: true}, 40, 2100, "50 100 200 500 1000 2000"}, {Axis{Log: true}, 1, 20000, "1   10   100   1000   10000 "},
		{Axis{At: []float64{4.72440945, 9, 120}}, 0, 200, "4.724 120"}, {Axis{At: make([]float64, 90)}, 0, 10, "0 2 4 6 8 10"},
	} {
		if got := labelsOf(c.axis.ticks(c.low, c.high, 400, axisSpacingY)); got != c.want {
			t.Errorf("%+v from %g to %g: %q; want %q", c.axis, c.low, c.high, got, c.want)
		}
	}
}

func TestAroundHoldsAllValues(t *testing.T) {
	for _, values := range [][]float64{{1, 2}, {5}, {0, 0}, {-3, -3}, {1e9, 1e9 + 1e-3}, {math.NaN(), 4, math.Inf(1)}} {
		a := Axis{}.around(values)
		low, high, _ := style.Range(values)
		if !(a.Min < low && a.Max > high) {
			t.Errorf("around %v is %g to %g", values, a.Min, a.Max)
		}
	}
	if a := (Axis{}).around([]float64{math.NaN()}); a.Min != 0 || a.Max != 1 {
		t.Errorf("around nothing is %g to %g", a.Min, a.Max)
	}
	for _, c := range []struct {
		axis     Axis
		from, to float64
	}{{Axis{Tight: true}, 2, 8}, {Axis{Low: -1, High: 12, Tight: true}, -1, 12}, {Axis{Zero: true, Tight: true}, 0, 8}, {Axis{Log: true}, 2 / 1.06, 8 * 1.06}} {
		if a := c.axis.around([]float64{8, 2}); math.Abs(a.Min-c.from) > 1e-9 || math.Abs(a.Max-c.to) > 1e-9 {
			t.Errorf("%+v: %g to %g", c.axis, a.Min, a.Max)
		}
	}
}

func TestLooksAreToldApart(t *testing.T) {
	seen := map[fig.Mark]bool{}
	for i := range 8 {
		_, mark := Look(i, 1)
		if mark < fig.Disc || mark > fig.Cross || seen[mark] {
			t.Errorf("look %d has the mark %d", i, mark)
		}
		seen[mark] = true
	}
	pen, mark := Look(1, 1)
	if again, other := Look(9, 1); again.Colour != pen.Colour || other == mark {
		t.Error("the same colour should come with another mark")
	}
}

func TestPicturesAreTheSameEachTime(t *testing.T) {
	t.Parallel()
	for name, chart := range map[string]Chart{"marks": candidates(60), "field": hill(), "lines": waves(8)} {
		var files [2]bytes.Buffer
		for i := range files {
			c, err := chart.Draw()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Encode(&files[i], style.SVG, style.Meta{}); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
			t.Errorf("%s: two pictures of one chart differ", name)
		}
	}
}

func TestPixelFactorsOutOfRangeAreRefused(t *testing.T) {
	for _, factor := range []float64{50, -1} {
		c := waves(2)
		c.PixelFactor = factor
		if _, err := c.Draw(); err == nil {
			t.Errorf("a pixel factor of %g is taken", factor)
		}
	}
}

// TestAxesThatRunDownwards: on such an axis 0 lies at the top, and a line falls as its values grow.
func TestAxesThatRunDownwards(t *testing.T) {
	t.Parallel()
	blue := color.NRGBA{B: 200, A: 255}
	c, a := drawn(t, Panel{X: Axis{High: 10}, Y: Axis{High: 10, Down: true},
		Series: []Series{{X: []float64{1, 9}, Y: []float64{2, 8}, Pen: style.Pen{Width: 3, Colour: blue}}}})
	if high, low := a.place(0, 0), a.place(0, 10); math.Abs(high.Y-a.frame.Top) > 1e-9 || math.Abs(low.Y-a.frame.Bottom) > 1e-9 {
		t.Errorf("0 lies at %v and 10 at %v in the frame %v", high, low, a.frame)
	}
	if got := c.ColourAt(a.place(5, 5)); got != color.RGBA(blue) || a.place(1, 2).Y >= a.place(9, 8).Y {
		t.Errorf("the middle of the line is %v", got)
	}
}

// TestLabelsOfAxesStayInTheBox: the frame leaves room for the longest label at its left and half of the last one at its right.
func TestLabelsOfAxesStayInTheBox(t *testing.T) {
	t.Parallel()
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(900, 500, letters)
	if err != nil {
		t.Fatal(err)
	}
	box := style.Box{Left: 100, Right: 800, Top: 50, Bottom: 450}
	newAxes(c, box, Axis{Label: "along", Tight: true}, Axis{Label: "light", Tight: true}, []float64{0, 100000}, []float64{0, 250000})
	for _, text := range c.Texts() {
		if !box.Contains(text.Box) {
			t.Errorf("%q stands at %v, beyond %v", text.Text, text.Box, box)
		}
	}
	if n := len(c.Texts()); n < 10 {
		t.Errorf("only %d texts", n)
	}
}

// TestLegendTellsEachOnce: equal names share a sample, and what has no room in a row goes on in the next.
func TestLegendTellsEachOnce(t *testing.T) {
	t.Parallel()
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	list := []Series{{Name: "mean"}, {}, {Name: "mean"}, {Name: "lowest"}, {Name: "highest"}}
	if one, two := Legend(letters, list, 800), Legend(letters, list, 220); one.HeightPt != legendRow || two.HeightPt != 2*legendRow {
		t.Errorf("%g and %g points high", one.HeightPt, two.HeightPt)
	}
	c, err := style.NewCanvas(800, 60, letters)
	if err != nil {
		t.Fatal(err)
	}
	Legend(letters, list, 800).Draw(c, style.Box{Right: 800, Bottom: 60})
	if got := len(c.Texts()); got != 3 {
		t.Errorf("%d names: %v", got, c.Texts())
	}
}
