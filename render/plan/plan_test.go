package plan

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
)

// tankOf returns a tank with a rail of n modules along its middle.
func tankOf(lengthM, widthM float64, n int) *scene.Scene {
	sc := &scene.Scene{Tank: scene.Tank{LengthM: lengthM, WidthM: widthM, HeightM: 0.48, Water: scene.Water{DepthM: 0.42}}}
	r := scene.Rail{Name: "main", LengthM: 0.93 * lengthM, LeftM: 0.035 * lengthM, YM: widthM / 2, AboveWaterM: 0.16, Profile: parts.Profile{WidthM: 0.04, HeightM: 0.02}}
	for i := range n {
		part := parts.Module{Name: []string{"cool", "blue"}[i%2], BoardLengthM: 0.03, BoardWidthM: 0.03, Spectrum: []string{"white", "blue"}[i%2]}
		r.Modules = append(r.Modules, scene.Module{Part: part, XM: lengthM * (float64(i) + 0.5) / float64(n)})
	}
	sc.Rails = []scene.Rail{r}
	return sc
}

// planOf returns a plan of a tank with f as its light on a grid of nx by ny cells.
func planOf(sc *scene.Scene, nx, ny int, f func(x, y float64) float64) Plan {
	grid := result.Grid{NX: nx, NY: ny, StepXM: sc.Tank.LengthM / float64(nx), StepYM: sc.Tank.WidthM / float64(ny)}
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
	plane := &result.Plane{Field: result.Field{Grid: grid, Illuminance: values, PPFD: values}, Illuminance: s, PPFD: s}
	return Plan{Page: fig.Page{Title: "Library foyer, planted tank", Subtitle: "floor, 420 mm deep: illuminance", Footer: "computed, not measured"}, Scene: sc, Plane: plane}
}

// humps is the light of n modules in a row along the middle.
func humps(sc *scene.Scene, n int, spreadM float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		sum := 300.0
		for i := range n {
			dx, dy := x-sc.Tank.LengthM*(float64(i)+0.5)/float64(n), y-sc.Tank.WidthM/2
			sum += 2000 * math.Exp(-(dx*dx+dy*dy)/(2*spreadM*spreadM))
		}
		return sum
	}
}

func brace(name string) scene.Obstacle {
	return scene.Obstacle{Name: name, Box: space.Box{Min: space.Point{X: 0.56, Z: 0.47}, Max: space.Point{X: 0.62, Y: 0.43, Z: 0.48}}}
}

// foyer is a plan with all that a plan can have.
func foyer() Plan {
	sc := tankOf(1.18, 0.43, 6)
	sc.Tank.Obstacles = []scene.Obstacle{brace("brace")}
	p := planOf(sc, 118, 43, humps(sc, 6, 0.11))
	p.Plane.DarkCorners = []result.DarkCorner{{Where: "back left", ToXM: 0.1, FromYM: 0.38, ToYM: 0.43, AreaShare: 0.012, Lowest: 612}}
	p.Plane.DarkLimit = 900
	p.Goal = result.Goal{Asked: true, Level: 2500, Misses: []result.Miss{{Plane: "floor", What: "mean illuminance", Held: finding.Held{Found: 2140, Asked: 2500, Unit: "lx"}}}}
	return p
}

// gallery is plans that are hard to lay out.
func gallery() map[string]Plan {
	long, inches, dark := foyer(), foyer(), foyer()
	long.Title = strings.Repeat("\u00dcbergro\u00dfes Aquarium, \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u706f ", 12)
	long.Subtitle, long.Footer, long.Goal.Misses = long.Title, long.Title+long.Title, []result.Miss{{Plane: long.Title}, {Plane: long.Title}}
	long.Scene.Rails[0].Name, long.Scene.Tank.Obstacles[0].Name = long.Title, long.Title
	inches.Units, inches.Quantity, inches.Goal.Met, inches.PixelFactor = style.US, result.PPFD, true, 2
	for range 9 {
		dark.Plane.DarkCorners = append(dark.Plane.DarkCorners, dark.Plane.DarkCorners[0])
	}
	wide := tankOf(3, 0.6, 60)
	wide.Rails[0].Modules = append(wide.Rails[0].Modules, scene.Module{XM: 9}, scene.Module{XM: math.NaN()})
	wide.Rails = append(wide.Rails, scene.Rail{Name: "stray", LeftM: -5, LengthM: 1, YM: 0.1}, scene.Rail{LeftM: math.NaN()})
	all := map[string]Plan{"foyer": foyer(), "long": long, "inches": inches, "dark": dark, "braced": braced(), "crowd": planOf(wide, 150, 30, humps(wide, 30, 0.1))}
	for name, size := range map[string][2]float64{"tiny": {0.2, 0.1}, "huge": {20, 10}, "thin": {20, 0.3}, "tall": {0.3, 1.2}} {
		sc := tankOf(size[0], size[1], 3)
		all[name] = planOf(sc, 40, 20, humps(sc, 3, size[0]/8))
	}
	for name, f := range map[string]func(x, y float64) float64{
		"holes": func(x, y float64) float64 {
			return map[bool]float64{true: math.NaN(), false: 1000 * (x + y)}[x > 0.4 && x < 0.6]
		},
		"even":    func(x, _ float64) float64 { return 2500 + x },
		"zero":    func(_, _ float64) float64 { return 0 },
		"nothing": func(_, _ float64) float64 { return math.NaN() },
		"endless": func(_, _ float64) float64 { return math.Inf(1) },
	} {
		all[name] = planOf(tankOf(1, 0.5, 2), 40, 20, f)
	}
	return all
}

// braced is a long tank with three rails, a brace and a box that run through numbers, and dark corners so narrow that no letter
// has room inside.
func braced() Plan {
	sc := tankOf(2, 0.7, 11)
	row := sc.Rails[0]
	sc.Rails = nil
	for i := range 3 {
		r := row
		r.Name, r.YM = fmt.Sprint("rail ", i), 0.15+0.2*float64(i)
		sc.Rails = append(sc.Rails, r)
	}
	box := func(name string, fromX, fromY, toX float64) scene.Obstacle {
		return scene.Obstacle{Name: name, Box: space.Box{Min: space.Point{X: fromX, Y: fromY}, Max: space.Point{X: toX, Y: 0.7}}}
	}
	sc.Tank.Obstacles = []scene.Obstacle{box("brace", 0.64, 0, 0.7), box("box", 1.85, 0.5, 2)}
	p := planOf(sc, 100, 35, humps(sc, 6, 0.15))
	for _, c := range [][4]float64{{1.85, 2, 0.21, 0.7}, {1.28, 1.41, 0, 0.7}, {0.63, 0.66, 0.17, 0.51}, {0, 0.04, 0.23, 0.46}, {0.6, 0.72, 0, 0.16}, {0.63, 0.71, 0.57, 0.7}} {
		p.Plane.DarkCorners = append(p.Plane.DarkCorners, result.DarkCorner{Where: "somewhere", FromXM: c[0], ToXM: c[1], FromYM: c[2], ToYM: c[3]})
	}
	return p
}

// onPage returns the texts of a picture, one a line; no two may meet.
func onPage(t *testing.T, name string, p interface{ Draw() (*style.Canvas, error) }) (string, *style.Canvas) {
	t.Helper()
	c, err := p.Draw()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, fault := range c.Collisions() {
		t.Errorf("%s: %s", name, fault)
	}
	text := "\n"
	for _, placed := range c.Texts() {
		text += placed.Text + "\n"
	}
	return text, c
}

func TestPlanSaysWhatItIsGiven(t *testing.T) {
	t.Parallel()
	wants := map[string][]string{
		"foyer": {
			"Library foyer, planted tank", "front\n", "back\n", "1180 mm", "430 mm", "main\n", "brace\n", "illuminance, lx", "goal 2500",
			"\n1\n", "\n6\n", "\nA\n", "U0 (min/mean)", "area at or above 2500 lx", "not met", "Missing: floor mean illuminance of 2140 lx is below 2500 lx",
			"Dark corners (below 900 lx), dashed: A: back left, lowest 612 lx, 1 % of the area.", "Modules: plain cool; with a slash blue.",
		},
		"inches":  {"46.46 in", "16.93 in", "PPFD, \u00b5mol/m\u00b2/s", "met\n"},
		"crowd":   {"none set", "Not shown: 2 of 62 modules"},
		"holes":   {"no value"},
		"dark":    {"and 4 more"},
		"zero":    {"No light reaches this plane."},
		"nothing": {"No cell of this plane has a value.", "\u2013"},
	}
	for name, p := range gallery() {
		text, _ := onPage(t, name, p)
		for _, want := range wants[name] {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, text)
			}
		}
	}
}

// TestEveryFrameHasItsLetterAndEveryModuleItsNumber: none is left out or lies under a frame or an outline.
func TestEveryFrameHasItsLetterAndEveryModuleItsNumber(t *testing.T) {
	t.Parallel()
	p := braced()
	text, _ := onPage(t, "braced", p)
	for i := range p.Plane.DarkCorners {
		if !strings.Contains(text, "\n"+darkLetter(i)+"\n") {
			t.Errorf("frame %s has no letter", darkLetter(i))
		}
	}
	for _, at := range p.Scene.Seats() { // as the command line takes them
		if name := p.Scene.SeatName(at); !strings.Contains(text, "\n"+name+"\n") {
			t.Errorf("module %s has no number", name)
		}
	}
}

// TestLongNamesGiveShortNumbers: where a rail's name is too long for each number, it stands once, and modules are counted on each rail.
func TestLongNamesGiveShortNumbers(t *testing.T) {
	t.Parallel()
	p := braced()
	p.Scene.Rails[0].Name = "the rail beside the window"
	text, _ := onPage(t, "long", p)
	if strings.Count(text, "\n11\n") != 3 || !strings.Contains(text, "\nthe rail beside the window\n") || strings.Contains(text, "rail 1:3") {
		t.Errorf("numbers in\n%s", text)
	}
}

// viewOf returns the view that a plan is drawn in, below a heading of two lines.
func viewOf(p Plan) view {
	v := sized(p.Scene.Tank.LengthM, p.Scene.Tank.WidthM, planRoom)
	return v.on(nil, style.Pt(fig.Margin+fig.RulerWidth, fig.Margin+edgeName+16+style.TitleFont.LineHeight()+style.SubtitleFont.LineHeight()))
}

func TestFrontRowIsAtTheBottom(t *testing.T) {
	t.Parallel()
	p := planOf(tankOf(1, 0.5, 0), 20, 10, func(x, y float64) float64 { return map[bool]float64{true: 1000}[x < 0.05 && y < 0.05] })
	_, c := onPage(t, "corner", p)
	v := viewOf(p)
	for at, want := range map[[2]float64]float64{{0.01, 0.01}: 1, {0.01, 0.49}: 0, {0.99, 0.01}: 0, {0.99, 0.49}: 0} {
		if got := c.ColourAt(v.at(at[0], at[1])); got != style.Light().At(want) {
			t.Errorf("%v is %v; want %v", at, got, style.Light().At(want))
		}
	}
}

// TestViewKeepsProportion: one scale for both axes, and what lies beyond the frame is cut.
func TestViewKeepsProportion(t *testing.T) {
	t.Parallel()
	v := sized(2, 0.5, style.Pt(1000, 400)).on(nil, style.Pt(10, 20))
	if v.frame != (style.Box{Left: 10, Top: 20, Right: 1010, Bottom: 270}) || v.perM != 500 {
		t.Errorf("%+v", v)
	}
	if got := v.at(0.5, 0.125); got != style.Pt(260, 207.5) {
		t.Errorf("a quarter along and back stands at %v", got)
	}
	if got := v.area(1.5, 0.25, 3, 0.5); got != (style.Box{Left: 760, Top: 20, Right: 1010, Bottom: 145}) {
		t.Errorf("area %v", got)
	}
	if tall := sized(2, 0.5, style.Pt(1000, 100)); tall.perM != 200 {
		t.Errorf("%g points a metre where the height is bound", tall.perM)
	}
}

func TestPictureSizesAndBytes(t *testing.T) {
	t.Parallel()
	var files [3]bytes.Buffer
	var pages [3]style.Box
	for i := range files {
		p := foyer()
		p.PixelFactor = float64(1 + i/2)
		c, err := p.Draw()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Encode(&files[i], style.PNG, style.Meta{}); err != nil {
			t.Fatal(err)
		}
		pages[i] = c.Page()
		if got := c.Image().Rect.Dx(); got != 1400*(1+i/2) || c.Title != "Library foyer, planted tank, floor, 420 mm deep: illuminance" {
			t.Errorf("%d pixels wide, title %q", got, c.Title)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) || pages[0] != pages[2] {
		t.Error("two pictures of one plan differ")
	}
	p := foyer()
	if p.PixelFactor = 50; true {
		if _, err := p.Draw(); err == nil {
			t.Error("a pixel factor of 50 is drawn")
		}
	}
}

func TestSignsOfModules(t *testing.T) {
	t.Parallel()
	module := func(name string, dead bool) scene.Module {
		return scene.Module{Part: parts.Module{Name: name}, Dead: dead}
	}
	for _, c := range []struct {
		modules []scene.Module
		want    []string
	}{
		{[]scene.Module{module("cool", false), module("cool", false)}, nil},
		{[]scene.Module{module("cool", false), module("blue", false), module("warm", false), module("blue", false)}, []string{"Modules: plain cool, warm; with a slash blue."}},
		{[]scene.Module{module("cool", false), module("cool", true)}, []string{"Modules: plain cool; crossed out: without power."}},
	} {
		v := view{perM: 100}
		if got := signs(v.seats(&scene.Scene{Rails: []scene.Rail{{Modules: c.modules}}}, "")); !slices.Equal(got, c.want) {
			t.Errorf("got %q; want %q", got, c.want)
		}
	}
}

func TestSmallPlanShowsLightAndMarks(t *testing.T) {
	t.Parallel()
	sc := tankOf(1, 0.5, 2)
	p := planOf(sc, 20, 10, func(x, y float64) float64 { return map[bool]float64{true: 1000}[x < 0.5 && y < 0.25] })
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(300, 200, letters)
	if err != nil {
		t.Fatal(err)
	}
	Small{Scene: sc, Spectrum: "blue", Field: p.Plane.Field, Scale: style.Scale{High: 2000}}.Draw(c, style.Box{Left: 40, Right: 240, Top: 50, Bottom: 150})
	dark := style.Light().At(0)
	for at, want := range map[style.Point]color.RGBA{
		{X: 60, Y: 140}: style.Light().At(0.5), {X: 60, Y: 60}: dark, {X: 220, Y: 140}: dark, {X: 20, Y: 100}: color.RGBA(style.Paper),
	} {
		if got := c.ColourAt(at); got != want {
			t.Errorf("%v is %v; want %v", at, got, want)
		}
	}
	rail, module, none := c.ColourAt(style.Pt(160, 100)), c.ColourAt(style.Pt(190, 101.2)), c.ColourAt(style.Pt(90, 101.2))
	if rail == dark || module != (color.RGBA{R: 236, G: 235, B: 242, A: 255}) && module.G < 200 || none.G > 200 {
		t.Errorf("rail %v, module %v, none %v", rail, module, none) // the one at the left has another spectrum
	}
	if len(c.Texts()) != 0 || c.Fits(style.Box{Left: 100, Right: 120, Top: 100, Bottom: 110}) {
		t.Error("a small plan has texts, or its place is not claimed")
	}
}

func BenchmarkDrawAndEncode(b *testing.B) {
	p := foyer()
	for b.Loop() {
		c, err := p.Draw()
		if err != nil {
			b.Fatal(err)
		}
		if err := c.Encode(io.Discard, style.PNG, style.Meta{}); err != nil {
			b.Fatal(err)
		}
	}
}
