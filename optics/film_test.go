package optics

import (
	"math"
	"os"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// floorOf returns the light on the floor.
func floorOf(t *testing.T, sc *scene.Scene, o Options) *result.Plane {
	t.Helper()
	o.Planes = []scene.PlaneRef{{Name: "floor", DepthM: sc.Tank.Water.DepthM}}
	return &compute(t, sc, o).Planes[0]
}

// TestFilmIsNotPaint: by a tracer of another hand, dark film behind the back pane of the foyer tank with its gap of air gives the
// floor a mean 9 % above that with paint on the pane, and a lowest over mean of 0.585, not 0.342. It had the bar of six modules
// that the example began with.
func TestFilmIsNotPaint(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../examples/foyer/foyer.yaml")
	if err != nil {
		t.Fatal(err)
	}
	six := strings.Replace(string(text), "count: 5, spacing: 220 mm, current: 450 mA", "count: 6, spacing: 180 mm, current: 350 mA", 1)
	light := map[scene.WallKind][2]float64{}
	for _, kind := range []scene.WallKind{scene.FilmWall, scene.PaintWall} {
		sc, err := scene.Parse("../examples/foyer/foyer.yaml", []byte(six), scenetest.Example(t, "foyer").Open)
		if err != nil || len(sc.Rails[0].Modules) != 6 {
			t.Fatal(err)
		}
		sc.Tank.Walls.Back.Kind = kind
		l := floorOf(t, sc, Options{StepM: 0.01}).Illuminance
		light[kind] = [2]float64{l.Mean, l.Min / l.Mean}
	}
	film, paint := light[scene.FilmWall], light[scene.PaintWall]
	if mean := film[0] / paint[0]; math.Abs(mean-1.09) > 0.005 || math.Abs(film[1]/0.585-1) > 0.03 || math.Abs(paint[1]/0.342-1) > 0.03 {
		t.Errorf("mean %.4f times that of paint, uniformity %.3f and %.3f", mean, film[1], paint[1])
	}
}

// TestWallsByBothEngines holds the sum with its tables against photons alone where walls mirror a part and send back another:
// white film on three sides, panes that absorb, dirt, gloss.
func TestWallsByBothEngines(t *testing.T) {
	t.Parallel()
	for name, walls := range map[string]scene.Walls{
		"film": {Left: scene.Wall{Kind: scene.FilmWall, Reflectance: 0.8}, Back: scene.Wall{Kind: scene.FilmWall, Reflectance: 0.6},
			Right: scene.Wall{Kind: scene.AcrylicWall}, ThicknessM: 0.012, DirtShare: 0.1},
		"gloss": {Left: scene.Wall{Kind: scene.PaintWall, Reflectance: 0.7, Gloss: true}, Back: scene.Wall{Kind: scene.PaintWall, Gloss: true},
			Right: scene.Wall{Kind: scene.FilmWall, Reflectance: 0.8}, Front: scene.Wall{Kind: scene.LowIronWall}},
	} {
		sc := scenetest.Example(t, "foyer")
		sc.Tank.Walls = walls
		o := Options{StepM: longtest.Pick(0.06, 0.02), Workers: 2}
		full := floorOf(t, sc, o)
		o.Engine, o.Photons = Traced, longtest.Pick[int64](1<<17, 1<<21)
		traced := floorOf(t, sc, o)
		slack := 3*math.Hypot(full.MeanErrorLx, traced.MeanErrorLx) + 0.001*traced.Illuminance.Mean
		if d := full.Illuminance.Mean - traced.Illuminance.Mean; math.Abs(d) > slack {
			t.Errorf("%s: mean %.1f lx, by photons %.1f lx, further apart than %.1f", name, full.Illuminance.Mean,
				traced.Illuminance.Mean, slack)
		}
	}
}

// TestHoodReflects: of a hood as large as the tank that reflects all, no light is lost over the water but to the cover and past
// it; both engines agree on one that reflects a part, which brings some 4 to 10 % behind lenses of 60 deg by a tracer of another
// hand; one that reflects nothing is none.
func TestHoodReflects(t *testing.T) {
	t.Parallel()
	under := func(inside float64, cover bool, o Options) *result.Map {
		sc := scenetest.Example(t, "foyer")
		for i := range sc.Rails[0].Modules {
			sc.Rails[0].Modules[i].Optic = sc.Catalogue.Optics["round-60"]
		}
		sc.Ambient.Hood = &scene.Hood{LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM, HeightM: 0.2, Inside: inside}
		if !cover {
			sc.Tank.Cover = nil
		}
		o.StepM, o.Workers = 0.06, 2
		o.Planes = []scene.PlaneRef{{Name: "floor", DepthM: sc.Tank.Water.DepthM}}
		return compute(t, sc, o)
	}
	// Photons that are thinned by chance leave some 0.1 % of noise.
	if b := under(1, false, Options{Engine: Traced, Photons: 1 << 16}).Balance; b.Spill+b.Surface+b.Returned > 0.001*b.Emitted {
		t.Errorf("a white hood loses light: %+v", b)
	}
	full, traced := under(0.7, true, Options{}), under(0.7, true, Options{Engine: Traced, Photons: longtest.Pick[int64](1<<16, 1<<18)})
	got, want := &full.Planes[0], &traced.Planes[0]
	slack := 3*math.Hypot(got.MeanErrorLx, want.MeanErrorLx) + 0.001*want.Illuminance.Mean
	if d := got.Illuminance.Mean - want.Illuminance.Mean; math.Abs(d) > slack {
		t.Errorf("mean %.1f lx, by photons %.1f lx, further apart than %.1f", got.Illuminance.Mean, want.Illuminance.Mean, slack)
	}
	if more := got.Illuminance.Mean / under(0, true, Options{}).Planes[0].Illuminance.Mean; more < 1.04 || more > 1.1 {
		t.Errorf("a hood makes the mean %.3f times as high", more)
	}
}

// TestDirtOnTheCover: dirt of 8 % leaves 0.92 of what goes straight through; below the modules, where all light is nearly so, the
// straight light falls by that and what is more aslant by a little more.
func TestDirtOnTheCover(t *testing.T) {
	t.Parallel()
	sc := scenetest.Example(t, "foyer")
	for i := range sc.Rails[0].Modules {
		sc.Rails[0].Modules[i].Optic = sc.Catalogue.Optics["round-10"]
	}
	o := Options{StepM: 0.05, Engine: Straight}
	clean := floorOf(t, sc, o).Illuminance
	sc.Tank.Cover.DirtShare = 0.08
	dirty := floorOf(t, sc, o).Illuminance
	if most, mean := dirty.Max/clean.Max, dirty.Mean/clean.Mean; math.Abs(most-0.92) > 0.001 || mean > 0.92 || mean < 0.91 {
		t.Errorf("dirt leaves %.4f of the highest and %.4f of the mean", most, mean)
	}
}
