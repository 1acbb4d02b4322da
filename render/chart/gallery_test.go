package chart

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/render/style"
)

var longName = strings.Repeat("\u00dcbergro\u00dfes Aquarium, \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u706f ", 12)

// candidates returns a design chart of n points that lie in a fixed disorder; the frontier is worked out by comparing all.
func candidates(n int) Scatter {
	s := Scatter{
		Title: "Library foyer", Subtitle: "spacing and beam", XLabel: "mean illuminance, lx", YLabel: "min/mean",
		GoalX: 2500, GoalY: 0.5, Footer: "computed, not measured",
	}
	for i := range n {
		x := 1500 + math.Mod(float64(i)*617.3, 2000)
		y := (0.25 + math.Mod(float64(i)*0.3819, 0.6)) * (1 - (x-1500)/6000)
		s.Points = append(s.Points, Point{X: x, Y: y, Label: fmt.Sprintf("candidate %d", i+1), Met: x >= 2500 && y >= 0.5})
	}
	for i := range s.Points {
		front := true
		for j, other := range s.Points {
			front = front && (j == i || other.X < s.Points[i].X || other.Y < s.Points[i].Y)
		}
		s.Points[i].Frontier = front
	}
	if n > 0 {
		s.Points[n/2].Own = true
	}
	return s
}

// hill is a surface that falls from a top, with two cells missing.
func hill() Surface {
	s := Surface{
		Title: "Library foyer", XLabel: "spacing, mm", YLabel: "beam angle, deg", ZLabel: "min/mean", Goal: 0.5,
		X: []float64{120, 140, 160, 180, 200, 220, 240, 260}, Y: []float64{20, 30, 40, 50, 60, 70, 80},
		Own: &[2]float64{180, 40}, Best: &[2]float64{180, 60},
	}
	for _, y := range s.Y {
		for _, x := range s.X {
			z := 0.8 * math.Exp(-math.Pow((x-180)/90, 2)-math.Pow((y-60)/40, 2))
			if x == 240 && y < 40 {
				z = math.NaN()
			}
			s.Z = append(s.Z, z)
		}
	}
	return s
}

// waves is n lines over a rail, one with a gap, one that ends early.
func waves(n int) Lines {
	l := Lines{
		Title: "Temperature along the rail", XLabel: "along the rail, mm", YLabel: "temperature, \u00b0C", LowNote: "thin: lowest",
		Limits: []Limit{{Y: 60, Label: "limit 60 \u00b0C"}, {Y: 59.8, Label: "caution"}},
	}
	for i := range n {
		line := Line{Name: fmt.Sprintf("%d round-%d", i+1, 20+i)}
		for x := 0.0; x <= 1100; x += 20 {
			y := 40 + 10*math.Sin(x/200+float64(i)) + float64(i)
			if i == 1 && x > 400 && x < 500 {
				y = math.NaN()
			}
			line.X, line.Y, line.Low = append(line.X, x), append(line.Y, y), append(line.Low, 0.7*y)
		}
		if i == 2 {
			line.X, line.Y, line.Low = line.X[:30], line.Y[:30], line.Low[:30]
		}
		l.Lines = append(l.Lines, line)
	}
	for i := range 6 {
		l.Marks = append(l.Marks, Mark{X: 100 + 180*float64(i), Label: fmt.Sprint(i + 1)})
	}
	return l
}

// gallery is charts that are hard to lay out.
func gallery() map[string]func(factor float64) (*style.Canvas, error) {
	scatter := func(s Scatter) func(float64) (*style.Canvas, error) {
		return func(f float64) (*style.Canvas, error) { s.PixelFactor = f; return s.Draw() }
	}
	surface := func(s Surface) func(float64) (*style.Canvas, error) {
		return func(f float64) (*style.Canvas, error) { s.PixelFactor = f; return s.Draw() }
	}
	lines := func(l Lines) func(float64) (*style.Canvas, error) {
		return func(f float64) (*style.Canvas, error) { l.PixelFactor = f; return l.Draw() }
	}
	same, wordy, endless := candidates(12), candidates(12), candidates(5)
	for i := range same.Points {
		same.Points[i].X, same.Points[i].Y, same.Points[i].Frontier = 2000, 0.4, true
		wordy.Points[i].Label = longName
	}
	wordy.Title, wordy.Subtitle, wordy.XLabel, wordy.YLabel, wordy.Footer, wordy.Notes = longName, longName, longName, longName, longName, []string{longName, longName}
	endless.Points[0].X, endless.Points[1].Y = math.Inf(1), math.NaN()
	one, odd, none := hill(), hill(), hill()
	one.X, one.Y, one.Z, one.Own, one.Best = []float64{180}, []float64{40}, []float64{0.4}, &[2]float64{180, 40}, &[2]float64{180, 40}
	odd.X = []float64{4.7244094, 5.5118110, 6.2992125, 7.0866141, 7.8740157, 8.6614173, 9.4488188, 40}
	odd.XLabel, odd.ZLabel, odd.Own, odd.Best = longName, longName, &[2]float64{40, 80}, &[2]float64{-5, math.NaN()}
	for i := range none.Z {
		none.Z[i] = math.NaN()
	}
	crowded, far := waves(60), waves(3)
	far.Lines[0].Name, far.Limits[0].Label, far.Marks[2].Label, far.XLabel, far.YLabel = longName, longName, longName, longName, longName
	for i := range 60 {
		far.Marks = append(far.Marks, Mark{X: float64(i) * 18, Label: fmt.Sprintf("module %d", i)})
	}
	far.Marks = append(far.Marks, Mark{X: math.NaN()}, Mark{X: -5})
	return map[string]func(float64) (*style.Canvas, error){
		"scatter 0": scatter(Scatter{}), "scatter 1": scatter(candidates(1)), "scatter 3": scatter(candidates(3)), "scatter 12": scatter(candidates(12)),
		"scatter 60": scatter(candidates(60)), "scatter 1000": scatter(candidates(1000)), "same": scatter(same), "wordy": scatter(wordy), "endless": scatter(endless),
		"surface": surface(hill()), "one pair": surface(one), "odd": surface(odd), "nothing known": surface(none),
		"lines 0": lines(Lines{}), "lines 1": lines(waves(1)), "lines 3": lines(waves(3)), "lines 12": lines(waves(12)), "lines 60": lines(crowded), "lines far": lines(far),
	}
}

func TestNoTextIsCutOrCovered(t *testing.T) {
	for name, draw := range gallery() {
		for _, factor := range []float64{1, 2} {
			c, err := draw(factor)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			for _, fault := range c.Collisions() {
				t.Errorf("%s at %g: %s", name, factor, fault)
			}
		}
	}
}

// onPage returns the texts of a chart, one a line.
func onPage(t *testing.T, c *style.Canvas, err error) string {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, text := range c.Texts() {
		b.WriteString(text.Text + "\n")
	}
	return b.String()
}

func TestChartsSayWhatTheyAreGiven(t *testing.T) {
	for name, wants := range map[string][]string{
		"scatter 0":     {"no values"},
		"scatter 12":    {"mean illuminance, lx", "goal 2500", "goal 0.5", "candidate 7\n", "both goals met", "the scene as it stands", "\n0.50\n"},
		"scatter 1000":  {"candidate 501\n"},
		"same":          {"candidate 7 and 11 more"},
		"endless":       {"Not shown: 2 of 5 candidates, which have no value."},
		"surface":       {"spacing, mm", "\n260\n", "best\n", "this scene\n", "no value", "goal 0.5", "heavier line: the goal"},
		"one pair":      {"this scene, the best", "\n180\n"},
		"nothing known": {"no value"},
		"lines 0":       {"no values"},
		"lines 3":       {"1 round-20", "3 round-22", "limit 60 \u00b0C", "caution", "thin: lowest", "\n6\n"},
		"lines 60":      {"60 round-79", "limit 60 \u00b0C"},
	} {
		c, err := gallery()[name](1)
		text := "\n" + onPage(t, c, err)
		for _, want := range wants {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, text)
			}
		}
	}
}

func TestPairsBeyondTheChartAreNotMarked(t *testing.T) {
	c, err := gallery()["odd"](1)
	if text := onPage(t, c, err); strings.Contains(text, "best") {
		t.Errorf("a best pair beyond the chart is told of in\n%s", text)
	}
}

func TestPicturesAreTheSameEachTime(t *testing.T) {
	for name, draw := range map[string]func() (*style.Canvas, error){"scatter": candidates(60).Draw, "surface": hill().Draw, "lines": waves(8).Draw} {
		var files [2]bytes.Buffer
		for i := range files {
			img, err := picture(draw())
			if err != nil {
				t.Fatal(err)
			}
			if err := style.EncodePNG(&files[i], img, style.Meta{Title: "x"}); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
			t.Errorf("%s: two pictures of one chart differ", name)
		}
	}
}

func TestChartsAreRefusedThatAreNone(t *testing.T) {
	few, falling, empty, endless := hill(), hill(), hill(), hill()
	few.Z = few.Z[1:]
	falling.X = []float64{120, 140, 140, 180, 200, 220, 240, 260}
	empty.Y = nil
	endless.Y = []float64{20, 30, 40, 50, 60, 70, math.Inf(1)}
	for name, s := range map[string]Surface{"few": few, "falling": falling, "empty": empty, "endless": endless} {
		if _, err := s.Draw(); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
	uneven, low, large := waves(2), waves(2), waves(2)
	uneven.Lines[1].Y = uneven.Lines[1].Y[1:]
	low.Lines[1].Low = low.Lines[1].Low[1:]
	large.PixelFactor = 50
	for name, l := range map[string]Lines{"uneven": uneven, "low": low, "large": large} {
		if _, err := l.Draw(); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
	if _, err := (Scatter{PixelFactor: -1}).Draw(); err == nil {
		t.Error("a negative pixel factor is drawn")
	}
}
