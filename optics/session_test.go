package optics

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

func session(t testing.TB, name string, o LightOptions) (*scene.Scene, *Session) {
	t.Helper()
	sc, err := scene.Read("../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	s, err := NewSession(sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return sc, s
}

func glance(t testing.TB, s *Session, sc *scene.Scene) *result.Glance {
	t.Helper()
	g, err := s.Glance(context.Background(), sc, result.View{})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// TestGlanceIsTheMap holds a session against the command map. Unit fields count images by each module alone, and modules
// right of the middle are mirrored ones: both differ from the map by less than the images that it cuts, 0.05 % of the light.
func TestGlanceIsTheMap(t *testing.T) {
	t.Parallel()
	for _, name := range longtest.Pick([]string{"foyer/foyer.yaml"}, []string{"foyer/foyer.yaml", "frag/frag.yaml", "shelf/shelf.yaml"}) {
		sc, s := session(t, name, LightOptions{StepM: 0.02, Workers: 2})
		g := glance(t, s, sc)
		m, err := Map(context.Background(), sc, Options{StepM: 0.02, Workers: 2, Planes: []scene.PlaneRef{JudgedPlane(sc)}})
		if err != nil {
			t.Fatal(err)
		}
		want := GoalPlane(sc, m.Planes)
		for what, pair := range map[string][2]float64{"mean": {g.Plane.Illuminance.Mean, want.Illuminance.Mean}, "min": {g.Plane.Illuminance.Min, want.Illuminance.Min},
			"ppfd": {g.Plane.PPFD.Mean, want.PPFD.Mean}, "dli": {g.Plane.DLI, want.DLI}, "power": {g.PowerW, m.PowerW}} {
			allowed := 2e-3
			if what == "min" {
				allowed = 1e-2 // the noise of a single cell
			}
			if math.Abs(pair[0]/pair[1]-1) > allowed {
				t.Errorf("%s: %s is %g, the map says %g", name, what, pair[0], pair[1])
			}
		}
		if math.Abs(g.MirroredShare-m.MirroredShare) > 0.05*m.MirroredShare {
			t.Errorf("%s: walls mirror %g of the light, the map says %g", name, g.MirroredShare, m.MirroredShare)
		}
		if g.Goal.Met != m.Goal.Met || !reflect.DeepEqual(g.Junctions, m.Junctions) {
			t.Errorf("%s: goal %+v, junctions %+v; the map says %+v, %+v", name, g.Goal, g.Junctions, m.Goal, m.Junctions)
		}
	}
}

// TestSketchIsTheSection holds the sketched slice against the fine one: dies that count as one in their middle, up to
// 0.05 of the height away, raise a peak by up to 0.7 %; that is two colours of 256. Along the
// edges of shadows, which each die throws for itself, a few cells are off by more.
func TestSketchIsTheSection(t *testing.T) {
	t.Parallel()
	sc, s := session(t, "foyer/foyer.yaml", LightOptions{Workers: 2})
	g := glance(t, s, sc)
	lit, err := s.light.Scene(context.Background(), sc)
	if err != nil {
		t.Fatal(err)
	}
	st, err := newModel(lit.Scene)
	if err != nil {
		t.Fatal(err)
	}
	fine, err := lit.tank.engine.WithSources(st.Sources, lit.orders).Section(context.Background(), result.AlongX, 0.215, sc.Tank.LengthM/sketchCells, sc.Tank.LengthM/sketchCells)
	if err != nil {
		t.Fatal(err)
	}
	if fine.N != 96 || g.Section.N != fine.N || g.Section.NZ != fine.NZ || len(g.Section.Rays) != 2*len(sc.Rails[0].Modules) {
		t.Fatalf("%d by %d cells, %d rays; the fine one has %d by %d", g.Section.N, g.Section.NZ, len(g.Section.Rays), fine.N, fine.NZ)
	}
	if err := lit.addToSketch(context.Background(), &fine); err != nil {
		t.Fatal(err)
	}
	beyond, total := 0, 0.0
	for i, want := range fine.Illuminance {
		row := result.Summarise(fine.Illuminance[i/fine.N*fine.N:][:fine.N], 0)
		off := math.Abs(g.Section.Illuminance[i]-want) / row.Max
		if off > 0.008 {
			beyond++
		} else {
			total += off
		}
	}
	if n := len(fine.Illuminance); beyond > n*4/100 || total/float64(n) > 0.001 {
		t.Errorf("%d of %d cells are off by more than 0.8 %%, the others by %.2f %% on average", beyond, n, 100*total/float64(n))
	}
}

// TestGlanceForgetsItsPast asks for the same scene after others: the answer is the same to the last bit.
func TestGlanceForgetsItsPast(t *testing.T) {
	t.Parallel()
	sc, s := session(t, "foyer/foyer.yaml", LightOptions{StepM: 0.06, Workers: 2})
	fresh := glance(t, s, sc)
	for _, spoil := range []func(*edit.Setting){
		func(t *edit.Setting) { t.Rails[0].Modules[0].XM += 0.01 },
		func(t *edit.Setting) { t.WaterDepthM = 0.3 },
		func(t *edit.Setting) { t.Rails[0].BeamRad = 1 },
		func(t *edit.Setting) { t.WaterKind = "tea" },
		func(t *edit.Setting) { t.Rails[0].TiltRad = 0.2 },
	}[:longtest.Pick(1, 5)] {
		setting := edit.SettingOf(sc)
		spoil(&setting)
		other, err := edit.Set(sc, setting)
		if err != nil {
			t.Fatal(err)
		}
		g := glance(t, s, other)
		if g.Plane.Illuminance == fresh.Plane.Illuminance || slices.Equal(g.Section.Illuminance, fresh.Section.Illuminance) {
			t.Errorf("a change changes nothing: %+v", setting)
		}
		_, alone := session(t, "foyer/foyer.yaml", LightOptions{StepM: 0.06, Workers: 2})
		if h := glance(t, alone, other); !slices.Equal(g.Section.Illuminance, h.Section.Illuminance) || !slices.Equal(g.Section.PPFD, h.Section.PPFD) {
			t.Errorf("the slice is not that of a session that saw nothing before: %+v", setting)
		}
	}
	again := glance(t, s, sc)
	if again.Plane.Illuminance != fresh.Plane.Illuminance || again.Plane.PPFD != fresh.Plane.PPFD || again.PowerW != fresh.PowerW {
		t.Errorf("%+v, then %+v", fresh.Plane.Illuminance, again.Plane.Illuminance)
	}
	_, other := session(t, "foyer/foyer.yaml", LightOptions{StepM: 0.06, Workers: 1})
	if g := glance(t, other, sc); g.Plane.Illuminance != fresh.Plane.Illuminance {
		t.Error("the number of workers changes the answer")
	}
}

// TestSessionStaysSmall keeps more fields than there is room for.
func TestSessionStaysSmall(t *testing.T) {
	t.Parallel()
	sc, s := session(t, "shelf/shelf.yaml", LightOptions{StepM: 0.003, Workers: 2, Cold: true})
	glance(t, s, sc)
	l := s.light
	if len(l.kept) == 0 || len(l.kept) > 3 {
		t.Errorf("a scene of three modules keeps %d fields", len(l.kept))
	}
	room := keptCells / l.grid.Cells()
	for i := range 2 * room {
		l.keep(keptKey{tank: tankKey{depthM: float64(i + 1)}}, result.Field{})
	}
	if len(l.kept) != room || len(l.order) != room {
		t.Errorf("%d fields are kept in an order of %d; there is room for %d", len(l.kept), len(l.order), room)
	}
}

func TestGlanceStops(t *testing.T) {
	sc, s := session(t, "foyer/foyer.yaml", LightOptions{Workers: 2})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Glance(ctx, sc, result.View{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	s.turn <- struct{}{} // another one is at work
	if _, err := s.Glance(ctx, sc, result.View{}); !errors.Is(err, context.Canceled) {
		t.Errorf("while another one is at work: %v", err)
	}
	<-s.turn
	if glance(t, s, sc).Plane.Illuminance.Mean == 0 {
		t.Error("no light after the stops")
	}
}

func TestGlanceKeepsMirrorsOfOneSide(t *testing.T) {
	// The left wall is painted and the right one mirrors: the module beside it needs more images than those at the left and in
	// the middle do.
	sc := scenetest.Read(t, `
tank:
  length: 2000 mm
  width: 400 mm
  height: 450 mm
  water: {depth: 400 mm}
  walls: {front: glass, left: {paint: 0.05}, right: {mirror: 0.95}, back: glass}
rails:
  - name: main
    length: 1900 mm
    above_water: 100 mm
    modules:
      - {part: quad-neutral, optic: round-40, x: 300 mm, current: 350 mA}
      - {part: quad-neutral, optic: round-40, x: 1000 mm, current: 350 mA}
      - {part: quad-neutral, optic: round-40, x: 1900 mm, current: 350 mA}
`)
	s, err := NewSession(sc, LightOptions{StepM: 0.02, Workers: 2, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	g, err := s.Glance(context.Background(), sc, result.View{})
	if err != nil {
		t.Fatal(err)
	}
	want := compute(t, sc, Options{StepM: 0.02, Cold: true, Planes: []scene.PlaneRef{JudgedPlane(sc)}}).Planes[0].Illuminance
	// A mirror that is missing takes some 6 %; the rest of the light has its noise.
	if math.Abs(g.Plane.Illuminance.Mean/want.Mean-1) > 3e-3 || math.Abs(g.Plane.Illuminance.Max/want.Max-1) > 1e-2 {
		t.Errorf("mean %.1f, highest %.1f lx; a map has %.1f and %.1f", g.Plane.Illuminance.Mean, g.Plane.Illuminance.Max, want.Mean, want.Max)
	}
}
