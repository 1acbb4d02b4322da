package heatmap

import (
	"bytes"
	"image"
	"io"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// planOf returns a plan of a tank with f as its light on a grid of nx by ny cells.
func planOf(lengthM, widthM float64, nx, ny int, f func(x, y float64) float64) Plan {
	grid := result.Grid{NX: nx, NY: ny, StepXM: lengthM / float64(nx), StepYM: widthM / float64(ny)}
	values, s, sum := make([]float64, grid.Cells()), result.Statistics{Min: math.Inf(1), Max: math.Inf(-1)}, 0.0
	for iy := range ny {
		for ix := range nx {
			v := f(grid.CentreX(ix), grid.CentreY(iy))
			values[iy*nx+ix], sum = v, sum+v
			s.Min, s.Max = math.Min(s.Min, v), math.Max(s.Max, v)
		}
	}
	s.Mean = sum / float64(len(values))
	s.MinOverMean = s.Min / s.Mean
	return Plan{
		Title: "Library foyer, planted tank", Subtitle: "floor, 420 mm deep: illuminance",
		Field: result.Field{Grid: grid, Illuminance: values, PPFD: values}, Statistics: s,
		LengthM: lengthM, WidthM: widthM, Engine: "engine full", Footer: "computed, not measured",
	}
}

// spots is the light of n lamps in a row along the middle.
func spots(n int, lengthM, widthM, spreadM float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		sum := 300.0
		for i := range n {
			dx, dy := x-lengthM*(float64(i)+0.5)/float64(n), y-widthM/2
			sum += 2000 * math.Exp(-(dx*dx+dy*dy)/(2*spreadM*spreadM))
		}
		return sum
	}
}

func modules(n int, lengthM, widthM, sizeM float64) []Mark {
	marks := make([]Mark, n)
	for i := range marks {
		marks[i] = Mark{XM: lengthM * (float64(i) + 0.5) / float64(n), YM: widthM / 2, LengthM: sizeM, WidthM: sizeM, Kind: i % 3}
	}
	return marks
}

// foyer is a plan with all that a plan can have.
func foyer() Plan {
	p := planOf(1.18, 0.43, 236, 86, spots(6, 1.18, 0.43, 0.11))
	p.Rails = []Rail{{LeftM: 0.04, RightM: 1.14, YM: 0.215, WidthM: 0.04, Name: "main"}}
	p.Modules = modules(6, 1.18, 0.43, 0.03)
	p.Obstacles = []Rect{{LeftM: 0.56, RightM: 0.62, BackM: 0.43, Name: "brace"}}
	p.Dark = []result.DarkCorner{{Where: "back left", ToXM: 0.1, FromYM: 0.38, ToYM: 0.43, AreaShare: 0.012, Lowest: 612}}
	p.DarkLimit, p.GoalLevel = 900, 2500
	p.Goal = result.Goal{Asked: true, Missing: []string{"mean 2140 lx, goal 2500 lx"}}
	return p
}

// gallery is plans that are hard to lay out.
func gallery() map[string]Plan {
	long := foyer()
	long.Title = strings.Repeat("\u00dcbergro\u00dfes Aquarium, \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u706f ", 12)
	long.Subtitle, long.Footer = long.Title, long.Title+long.Title
	long.Goal.Missing = []string{long.Title, long.Title}
	long.Rails[0].Name, long.Obstacles[0].Name, long.Modules[2].Label = long.Title, long.Title, long.Title
	inches := foyer()
	inches.Units, inches.Quantity, inches.Goal.Met, inches.PixelFactor = style.US, result.PPFD, true, 2
	crowd := planOf(3, 0.6, 150, 30, spots(30, 3, 0.6, 0.1))
	crowd.Modules = append(modules(60, 3, 0.6, 0.03), Mark{XM: 9, YM: 9}, Mark{XM: math.NaN()})
	crowd.Rails = []Rail{{RightM: 3, YM: 0.3, WidthM: 0.04}, {LeftM: math.NaN()}, {LeftM: -5, RightM: -4, YM: 0.1, WidthM: 0.1}}
	holes := planOf(1, 0.5, 40, 20, func(x, y float64) float64 {
		if x > 0.4 && x < 0.6 {
			return math.NaN()
		}
		return 1000 * (x + y)
	})
	dark := foyer()
	for range 9 {
		dark.Dark = append(dark.Dark, dark.Dark[0])
	}
	return map[string]Plan{
		"foyer": foyer(), "long": long, "inches": inches, "crowd": crowd, "holes": holes, "dark": dark,
		"tiny":    planOf(0.2, 0.1, 20, 10, spots(1, 0.2, 0.1, 0.05)),
		"huge":    planOf(20, 10, 200, 100, spots(5, 20, 10, 2)),
		"thin":    planOf(20, 0.3, 400, 6, spots(20, 20, 0.3, 0.4)),
		"tall":    planOf(0.3, 1.2, 30, 120, spots(1, 0.3, 1.2, 0.2)),
		"even":    planOf(1, 0.5, 40, 20, func(x, _ float64) float64 { return 2500 + x }),
		"zero":    planOf(1, 0.5, 40, 20, func(_, _ float64) float64 { return 0 }),
		"nothing": planOf(1, 0.5, 40, 20, func(_, _ float64) float64 { return math.NaN() }),
		"one":     planOf(1, 0.5, 1, 1, func(_, _ float64) float64 { return 5 }),
		"endless": planOf(1, 0.5, 4, 4, func(_, _ float64) float64 { return math.Inf(1) }),
	}
}

func TestNoTextIsCutOrCovered(t *testing.T) {
	for name, p := range gallery() {
		c, err := Draw(p)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, fault := range c.Collisions() {
			t.Errorf("%s: %s", name, fault)
		}
	}
}

func onPage(t *testing.T, p Plan) string {
	t.Helper()
	c, err := Draw(p)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, text := range c.Texts() {
		b.WriteString(text.Text + "\n")
	}
	return b.String()
}

func TestPlanSaysWhatItIsGiven(t *testing.T) {
	for name, wants := range map[string][]string{
		"foyer": {
			"Library foyer, planted tank", "front\n", "back\n", "1180 mm", "430 mm", "main\n", "brace\n", "illuminance, lx", "goal 2500",
			"\n1\n", "\n6\n", "\nA\n", "min/mean", "area at or above 2500 lx", "not met", "Missing: mean 2140 lx, goal 2500 lx",
			"Dark corners (below 900 lx), dashed: A: back left, lowest 612 lx, 1.2 % of the area.", "engine full",
		},
		"inches":  {"46.46 in", "16.93 in", "PPFD, \u00b5mol/m\u00b2/s", "met\n"},
		"crowd":   {"none set", "Not shown: 2 of 62 modules"},
		"holes":   {"no value"},
		"dark":    {"and 4 more"},
		"zero":    {"No light reaches this plane."},
		"nothing": {"No cell of this plane has a value.", "\u2013 lx"},
	} {
		text := onPage(t, gallery()[name])
		for _, want := range wants {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, text)
			}
		}
	}
}

// frameOf returns where the plan lies in the picture of p at factor 1.
func frameOf(p Plan) image.Rectangle {
	wide, high := p.size()
	left := fig.Margin + fig.RulerWidth
	top := fig.Margin + edgeName + 16 + style.TitleFont.LineHeight() + style.SubtitleFont.LineHeight()
	return image.Rect(int(left), int(math.Round(top)), int(math.Round(left+wide)), int(math.Round(top+high)))
}

func TestFrontRowIsAtTheBottom(t *testing.T) {
	p := planOf(1, 0.5, 20, 10, func(x, y float64) float64 {
		if x < 0.05 && y < 0.05 {
			return 1000
		}
		return 0
	})
	img, err := picture(Draw(p))
	if err != nil {
		t.Fatal(err)
	}
	frame, high, low := frameOf(p), style.Light().At(1), style.Light().At(0)
	corners := map[string]image.Point{
		"front left": {frame.Min.X + 8, frame.Max.Y - 8}, "back left": {frame.Min.X + 8, frame.Min.Y + 8},
		"front right": {frame.Max.X - 8, frame.Max.Y - 8}, "back right": {frame.Max.X - 8, frame.Min.Y + 8},
	}
	for name, at := range corners {
		want := low
		if name == "front left" {
			want = high
		}
		if got := img.RGBAAt(at.X, at.Y); got != want {
			t.Errorf("%s at %v is %v; want %v", name, at, got, want)
		}
	}
}

func TestColoursFollowTheCommonScale(t *testing.T) {
	p := planOf(1, 0.5, 4, 4, func(_, _ float64) float64 { return 500 })
	p.Scale = style.NewScale(0, 2000)
	img, err := picture(Draw(p))
	if err != nil {
		t.Fatal(err)
	}
	frame := frameOf(p)
	if got, want := img.RGBAAt(frame.Min.X+200, frame.Min.Y+100), style.Light().At(0.25); got != want {
		t.Errorf("500 of 2000 lx is %v; want %v", got, want)
	}
}

func TestPictureSizes(t *testing.T) {
	one, two := foyer(), foyer()
	two.PixelFactor = 2
	a, err := picture(Draw(one))
	if err != nil {
		t.Fatal(err)
	}
	b, err := picture(Draw(two))
	if err != nil {
		t.Fatal(err)
	}
	if a.Rect.Dx() != 1400 || b.Rect.Dx() != 2800 || math.Abs(float64(b.Rect.Dy()-2*a.Rect.Dy())) > 2 {
		t.Errorf("sizes %v and %v; want 1400 wide, and double", a.Rect, b.Rect)
	}
	for name, p := range gallery() { // true aspect
		if wide, high := p.size(); math.Abs(wide/high-p.LengthM/p.WidthM) > 1e-9*wide/high {
			t.Errorf("%s: plan of %g by %g points for %g by %g m", name, wide, high, p.LengthM, p.WidthM)
		}
	}
}

func TestPicturesAreTheSameEachTime(t *testing.T) {
	var files [2]bytes.Buffer
	for i := range files {
		img, err := picture(Draw(foyer()))
		if err != nil {
			t.Fatal(err)
		}
		if err := style.EncodePNG(&files[i], img, style.Meta{Title: "x"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Error("two pictures of one plan differ")
	}
}

func TestDrawRefusesWhatIsNoPlan(t *testing.T) {
	for name, spoil := range map[string]func(*Plan){
		"no length":    func(p *Plan) { p.LengthM = 0 },
		"no number":    func(p *Plan) { p.WidthM = math.NaN() },
		"endless":      func(p *Plan) { p.LengthM = math.Inf(1) },
		"no cells":     func(p *Plan) { p.Field = result.Field{} },
		"few values":   func(p *Plan) { p.Field.Illuminance = p.Field.Illuminance[1:] },
		"no PPFD":      func(p *Plan) { p.Quantity, p.Field.PPFD = result.PPFD, nil },
		"large factor": func(p *Plan) { p.PixelFactor = 50 },
	} {
		p := foyer()
		spoil(&p)
		if _, err := Draw(p); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
}

func TestPercent(t *testing.T) {
	for share, want := range map[float64]string{0: "0 %", 1: "100 %", 0.43: "43 %", 0.012: "1.2 %", 0.9996: "99.9 %", 0.994: "99.4 %", 0.0004: "below 0.1 %", 0.0006: "0.1 %"} {
		if got := percent(share); got != want {
			t.Errorf("percent(%g) = %q; want %q", share, got, want)
		}
	}
}

func BenchmarkDrawAndEncode(b *testing.B) {
	p := foyer()
	for b.Loop() {
		img, err := picture(Draw(p))
		if err != nil {
			b.Fatal(err)
		}
		if err := style.EncodePNG(io.Discard, img, style.Meta{Title: p.Title}); err != nil {
			b.Fatal(err)
		}
	}
}

func TestObstaclesHaveNoValue(t *testing.T) {
	f := result.Field{Grid: result.Grid{NX: 2, NY: 1, StepXM: 0.1, StepYM: 0.1}, Illuminance: []float64{3, 0}, PPFD: []float64{1, 0}, Solid: result.Solid{false, true}}
	for q, want := range map[result.Quantity]float64{result.Illuminance: 3, result.PPFD: 1} {
		if v := q.Drawn(f); v[0] != want || !math.IsNaN(v[1]) {
			t.Errorf("%s: %v", q.Name(), v)
		}
	}
	if f.Illuminance[1] != 0 {
		t.Error("the field itself has changed")
	}
}

// picture returns the pixels of a page.
func picture(c *style.Canvas, err error) (*image.RGBA, error) {
	if err != nil {
		return nil, err
	}
	return c.Image(), nil
}
