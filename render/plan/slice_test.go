package plan

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// sliceOf returns a slice of a tank with f as its light at a place along it and a depth.
func sliceOf(sc *scene.Scene, axis result.SectionAxis, atM float64, f func(along, depth float64) float64) Slice {
	const n, nz = 80, 40
	s := Slice{Page: fig.Page{Title: "Library foyer, planted tank", Subtitle: "a slice", Footer: "computed, not measured"}, Scene: sc,
		Section: &result.Section{Axis: axis, AtM: atM, N: n, NZ: nz, StepZM: sc.Tank.Water.DepthM / nz}}
	s.Section.StepM = s.along() / n
	for iz := range nz {
		for i := range n {
			s.Section.Illuminance = append(s.Section.Illuminance, f((float64(i)+0.5)*s.Section.StepM, (float64(iz)+0.5)*s.Section.StepZM))
		}
	}
	return s
}

func fading(_, depth float64) float64 { return 3000 * math.Exp(-3*depth) }

// cut is a slice with all that a slice can have.
func cut() Slice {
	sc := tankOf(1.18, 0.43, 6)
	sc.Tank.Cover = &scene.Cover{AboveWaterM: 0.03, ThicknessM: 0.004}
	sc.Tank.Obstacles = []scene.Obstacle{brace("brace"), {Box: space.Box{Min: space.Point{X: 0.2}, Max: space.Point{X: 0.3, Y: 0.43, Z: 0.1}}}}
	s := sliceOf(sc, result.AlongX, 0.215, func(x, d float64) float64 { return fading(x, d) * (1 + 0.5*math.Cos(35*x)) })
	for _, m := range sc.Rails[0].Modules {
		s.Section.Rays = append(s.Section.Rays, result.Ray{Points: []space.Point{
			{X: m.XM, Y: 0.215, Z: 0.58}, {X: m.XM + 0.06, Y: 0.215, Z: 0.42}, {X: m.XM + 0.17, Y: 0.215, Z: 0},
		}})
	}
	s.GoalLevel = 2500
	return s
}

// hung is a cross section with one rail and its module above the middle.
func hung(tiltRad float64) Slice {
	sc := tankOf(1.18, 0.43, 1)
	sc.Rails[0].TiltRad, sc.Rails[0].Profile.WidthM, sc.Rails[0].Modules[0].Part.BoardWidthM = tiltRad, 0.1, 0.05
	return sliceOf(sc, result.AcrossY, 0.59, fading)
}

func sliceGallery() map[string]Slice {
	cross, deep, wide, odd, many := hung(0), cut(), tankOf(20, 0.43, 120), cut(), cut()
	cross.Units, cross.PixelFactor = style.US, 2
	deep.Scene.Tank.HeightM, deep.Scene.Tank.Water.DepthM, deep.Scene.Rails[0].AboveWaterM = 2.96, 2.9, 1.8
	wide.Rails[0].Name = strings.Repeat("a very long name ", 9)
	odd.Title, odd.Footer = strings.Repeat("\u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 ", 60), strings.Repeat("footer ", 200)
	odd.Section.Rays = append(odd.Section.Rays, result.Ray{}, result.Ray{Points: []space.Point{{X: math.NaN()}, {X: 1}}},
		result.Ray{Points: []space.Point{{X: -1e9, Z: 1e9}, {X: 1e9, Z: -1e9}}})
	for i := range 20 {
		r := many.Scene.Rails[0]
		r.Name, r.AboveWaterM = "rail "+string(rune('a'+i)), 0.16+0.001*float64(i)
		many.Scene.Rails = append(many.Scene.Rails, r)
	}
	tank := tankOf(1, 0.5, 2)
	return map[string]Slice{
		"cut": cut(), "cross": cross, "deep": deep, "wide": sliceOf(wide, result.AlongX, 0.215, fading), "odd": odd, "many": many,
		"tilted": hung(0.4), "even": sliceOf(tank, result.AlongX, 0.1, func(_, _ float64) float64 { return 700 }),
		"zero":    sliceOf(tank, result.AlongX, 0.1, func(_, _ float64) float64 { return 0 }),
		"nothing": sliceOf(tank, result.AlongX, 0.1, func(_, _ float64) float64 { return math.NaN() }),
	}
}

func TestSliceSaysWhatItIsGiven(t *testing.T) {
	t.Parallel()
	wants := map[string][]string{
		"cut": {
			"Library foyer", "420 mm", "1180 mm", "left\n", "right\n", "water surface", "cover 30 mm", "rim 60 mm", "rail main 160 mm",
			"illuminance, lx", "goal 2500", "edges of the beams", "computed, not measured",
		},
		"cross":   {"16.54 in", "16.93 in", "front\n", "back\n", "rail main 6.3 in"},
		"zero":    {"No light reaches this slice."},
		"nothing": {"No cell of this slice has a value.", "no value"},
	}
	for name, s := range sliceGallery() {
		text, _ := onPage(t, name, s)
		for _, want := range wants[name] {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, text)
			}
		}
		if name == "wide" { // long names take several lines beside the picture
			if all := strings.ReplaceAll(text, "\n", " "); !strings.Contains(all, strings.Repeat("a very long name ", 9)+"160 mm") || strings.Contains(all, "\u2026") {
				t.Errorf("the rail's name is cut in\n%s", all)
			}
		}
	}
}

// drawnIn returns the view that a slice is drawn in, below a heading of two lines.
func drawnIn(s Slice) view {
	return s.view(s.rails()).on(nil, style.Pt(fig.Margin+fig.RulerWidth, fig.Margin+16+style.TitleFont.LineHeight()+style.SubtitleFont.LineHeight()))
}

func TestLightFadesDownwards(t *testing.T) {
	t.Parallel()
	s := sliceOf(tankOf(1.18, 0.43, 0), result.AlongX, 0.1, fading)
	_, c := onPage(t, "fading", s)
	v, scale := drawnIn(s), style.ScaleFor(s.values())
	for _, depth := range []float64{0.05, 0.2, 0.35} {
		got, last := c.ColourAt(v.at(0.213, 0.42-depth)), math.Inf(1)
		for k := -0.02; k <= 0.02; k += 0.002 { // half a pixel of depth, and isolines are not asked about
			w := style.Light().At(scale.Share(fading(0, depth)) + k)
			last = math.Min(last, math.Abs(float64(w.R)-float64(got.R))+math.Abs(float64(w.G)-float64(got.G))+math.Abs(float64(w.B)-float64(got.B)))
		}
		if last > 6 {
			t.Errorf("depth %g m is %v", depth, got)
		}
	}
}

func TestSliceRunsFromLeftAndFront(t *testing.T) {
	t.Parallel()
	for _, axis := range []result.SectionAxis{result.AlongX, result.AcrossY} {
		s := sliceOf(tankOf(1.18, 0.43, 0), axis, 0.1, func(along, _ float64) float64 { return map[bool]float64{true: 1000}[along < 0.1] })
		_, c := onPage(t, "half", s)
		v := drawnIn(s)
		if c.ColourAt(v.at(0.03, 0.2)) != style.Light().At(1) || c.ColourAt(v.at(s.along()-0.03, 0.2)) != style.Light().At(0) {
			t.Errorf("axis %d: the slice does not run from the left, or from the front", axis)
		}
	}
}

// TestObstaclesStandWhereTheyAre: one covers what is behind it, in air and in water, and nothing beside it; a slice that does not
// cut it shows nothing of it.
func TestObstaclesStandWhereTheyAre(t *testing.T) {
	t.Parallel()
	with, without, beside := cut(), cut(), cut()
	without.Scene.Tank.Obstacles = nil
	for i := range beside.Scene.Tank.Obstacles {
		beside.Scene.Tank.Obstacles[i].Box.Min.Y = 0.3
	}
	_, a := onPage(t, "with", with)
	_, b := onPage(t, "without", without)
	_, c := onPage(t, "beside", beside)
	v := drawnIn(with)
	for _, row := range []struct {
		x, z float64
		in   bool
	}{{0.59, 0.475, true}, {0.25, 0.05, true}, {0.5, 0.475, false}, {0.59, 0.44, false}, {0.25, 0.15, false}, {0.35, 0.05, false}} {
		p := v.at(row.x, row.z)
		if changed := a.ColourAt(p) != b.ColourAt(p); changed != row.in || c.ColourAt(p) != b.ColourAt(p) {
			t.Errorf("at %g, %g m: covered %v, want %v; where it is not cut %v", row.x, row.z, changed, row.in, c.ColourAt(p))
		}
	}
}

func TestViewHoldsTankAndRails(t *testing.T) {
	t.Parallel()
	for name, s := range sliceGallery() {
		v := drawnIn(s)
		if a, b := v.at(0, 0), v.at(s.along(), s.Scene.Tank.HeightM); a.X < v.frame.Left || b.X > v.frame.Right || a.Y > v.frame.Bottom || b.Y < v.frame.Top {
			t.Errorf("%s: the view leaves out a part of the tank", name)
		}
		for _, one := range s.rails() {
			if v.at(0, one.top).Y < v.frame.Top {
				t.Errorf("%s: the view leaves out a part of rail %q", name, one.name)
			}
		}
	}
}

// TestTiltedRailStandsTilted: a positive tilt turns the light towards the back, so the rail's back edge rises.
func TestTiltedRailStandsTilted(t *testing.T) {
	t.Parallel()
	const tilt = 0.4
	s := hung(tilt)
	_, c := onPage(t, "tilted", s)
	v := drawnIn(s)
	sin, cos := math.Sincos(tilt)
	// body is a place in the rail: along its width from the middle of the face, and above the face.
	body := func(acrossM, aboveM float64) color.RGBA {
		return c.ColourAt(v.at(0.215+acrossM*cos-aboveM*sin, 0.58+acrossM*sin+aboveM*cos))
	}
	for _, across := range []float64{-0.045, 0.045} {
		if got := body(across, 0.01); got != color.RGBA(railColour) {
			t.Errorf("%g m from its middle the rail is %v; want %v", across, got, railColour)
		}
	}
	if got := body(0, 1.5/v.perM); got != color.RGBA(moduleColour) {
		t.Errorf("the module is %v; want %v", got, moduleColour)
	}
	if got := c.ColourAt(v.at(0.26, 0.585)); got != color.RGBA(style.Paper) {
		t.Errorf("where a level rail would be stands %v", got)
	}
}

// TestBeamsAreDrawn: in air and in water, and beside the tank down to the level of the water.
func TestBeamsAreDrawn(t *testing.T) {
	t.Parallel()
	with, without := hung(0), hung(0)
	from, to := space.Point{Y: 0.215, Z: 0.58}, space.Point{Y: 0.5, Z: 0.42}
	in := result.Ray{Points: []space.Point{from, {Y: 0.25, Z: 0.42}, {Y: 0.3, Z: 0}}}
	with.Section.Rays = []result.Ray{{Points: []space.Point{from, to, {Y: 0.7, Z: 0}}}, in}
	_, a := onPage(t, "with", with)
	_, b := onPage(t, "without", without)
	v := drawnIn(with)
	differ := func(p, q space.Point, shares ...float64) (found int) { // texts may stand on some of these places
		for _, share := range shares {
			at := v.at(p.Y+share*(q.Y-p.Y), p.Z+share*(q.Z-p.Z))
			for _, off := range []float64{-1, 0, 1} {
				if n := style.Pt(at.X, at.Y+off); a.ColourAt(n) != b.ColourAt(n) {
					found++
					break
				}
			}
		}
		return found
	}
	if differ(from, in.Points[1], 0.3, 0.5, 0.7) < 2 || differ(in.Points[1], in.Points[2], 0.3, 0.5, 0.7) < 2 {
		t.Error("a beam's edge is not drawn in air or water")
	}
	if differ(from, to, 0.84, 0.88, 0.92, 0.96, 0.99) < 2 {
		t.Error("a beam's edge is not drawn beside the tank")
	}
	if at := v.at(0.6, 0.2); a.ColourAt(at) != b.ColourAt(at) {
		t.Error("an edge is drawn beside the tank below the water's level")
	}
}

// TestSliceSaysWhereItLies: between modules, or through one where there is no place between.
func TestSliceSaysWhereItLies(t *testing.T) {
	t.Parallel()
	through, between, both := hung(0), hung(0), hung(0)
	between.Section.AtM = 0.3
	both.Scene.Rails = append(both.Scene.Rails, both.Scene.Rails[0])
	for want, s := range map[string]Slice{
		"lies where it is darkest between modules": between, "The slice goes through a module.": through, "through a module; the nearest module of each rail is drawn.": both,
	} {
		if got := strings.Join(s.notes(s.rails()), " "); !strings.Contains(got, want) {
			t.Errorf("%q does not say %q", got, want)
		}
	}
}

// residuals is a tank with two depths; the second reading of the first was left out.
func residuals() Residuals {
	sc := tankOf(1.2, 0.4, 1)
	sc.Tank.Obstacles = []scene.Obstacle{brace("")}
	return Residuals{Page: fig.Page{Title: "A tank", Subtitle: "residuals", Notes: []string{"a note"}, Footer: "a footer"}, Scene: sc, Depths: []Depth{
		{Name: "floor", Readings: []result.Measured{{XM: 0.2, YM: 0.3, Residual: 0.08}, {XM: 0.9, YM: 0.1, Residual: -0.5, Outlier: true}, {XM: 0.2, YM: 0.1, Residual: -0.08}}},
		{Name: "mid", Readings: []result.Measured{{Residual: 0.01}, {XM: 1.2, YM: 0.4, Residual: math.NaN()}}}}}
}

func TestResidualsAreTold(t *testing.T) {
	t.Parallel()
	for _, units := range []style.Units{style.Metric, style.US} {
		r := residuals()
		r.Units = units
		text, _ := onPage(t, "residuals", r)
		for _, want := range []string{"floor", "mid", "+8.0", "-50.0", "+10 %", "-2.5 %", "a note"} {
			if !strings.Contains(text, want) {
				t.Errorf("no %q on the page: %s", want, text)
			}
		}
	}
	r := residuals()
	r.Depths, r.Scene.Tank.LengthM, r.Scene.Tank.WidthM = nil, 0.1, 3
	onPage(t, "none", r)
}

// TestSignsAreWhereReadingsAre: a disc is filled in its middle, a ring is not, but has its colour at its edge.
func TestSignsAreWhereReadingsAre(t *testing.T) {
	t.Parallel()
	r := residuals()
	_, c := onPage(t, "residuals", r)
	v := sized(1.2, 0.4, style.Pt(planRoom.X, tallestDepth))
	v = v.on(c, style.Pt(fig.Margin+fig.RulerWidth, fig.Margin+headRoom+16+style.TitleFont.LineHeight()+style.SubtitleFont.LineHeight()))
	if got := c.ColourAt(v.at(0.2, 0.3)); got.R < got.B+50 {
		t.Errorf("the middle of a disc is %v", got)
	}
	at, blue := v.at(0.2, 0.1), false
	if got := c.ColourAt(at); got != color.RGBA(ground) {
		t.Errorf("the middle of a ring is %v", got)
	}
	for dx := 0.0; dx < 40; dx++ {
		got := c.ColourAt(style.Pt(at.X+dx, at.Y))
		blue = blue || got.B > got.R+50
	}
	if !blue {
		t.Error("the ring has no edge")
	}
}
