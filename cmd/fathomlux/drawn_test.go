package main

import (
	"cmp"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// By hand, 20,000 scenes that nobody tried before: go test ./cmd/fathomlux -run TestDrawnScenes -scenes 20000 -from 1000 -timeout 0
var (
	drawnScenes = flag.Int("scenes", 0, "how many scenes TestDrawnScenes draws, 0 for the usual number")
	drawnFrom   = flag.Uint64("from", 0, "the seed of the first of them")
)

// drawnScene is a legal scene of any kind by a seed, and the same seen from behind a mirror that stands across x.
func drawnScene(seed uint64, mirrored bool) string {
	r := rand.New(rand.NewPCG(seed, 19))
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	between := func(low, high float64) float64 { return math.Round(low + r.Float64()*(high-low)) }
	long, wide, deep := between(150, 600), between(120, 350), between(50, 250)
	turned := func(x float64) float64 {
		if mirrored {
			return long - x
		}
		return x
	}
	wall := func() string {
		return pick("glass", "acrylic", "glass", fmt.Sprintf("{%s: %.2f}", pick("film", "paint", "mirror"), 0.9*r.Float64()))
	}
	front, left, right, back := wall(), wall(), wall(), wall()
	if mirrored {
		left, right = right, left
	}
	var b strings.Builder
	fmt.Fprintf(&b, "tank:\n  length: %g mm\n  width: %g mm\n  height: %g mm\n  water: {depth: %g mm, kind: %s}\n", long, wide, deep+40, deep, pick("pure", "clear", "tea", "cloudy", "reef"))
	fmt.Fprintf(&b, "  walls: {front: %s, left: %s, right: %s, back: %s}\n  floor: {diffuse: %.2f}\n", front, left, right, back, 0.8*r.Float64())
	b.WriteString(pick("", "", "  cover: {material: glass, thickness: 4 mm, above_water: 20 mm}\n"))
	if r.IntN(3) == 0 {
		x, y := between(10, long/2), between(10, wide/2)
		ends := []float64{turned(x), turned(x + between(10, long/3))}
		fmt.Fprintf(&b, "  obstacles: [{from: [%g mm, %g mm, 0 mm], to: [%g mm, %g mm, %g mm]}]\n", min(ends[0], ends[1]), y, max(ends[0], ends[1]), y+between(10, wide/3), between(20, deep))
	}
	b.WriteString("rails:\n")
	rails := 1 + r.IntN(2)
	for i := range rails {
		fmt.Fprintf(&b, "  - {name: bar %d, profile: %s, length: %g mm, y: %g mm, above_water: %g mm, tilt: %g deg, modules: [", i+1, pick("bar-40x20", "u-30x15", "finned-80x25"), long-10,
			wide*(float64(i)+0.5)/float64(rails), between(60, 300), between(-20, 20)*float64(r.IntN(2)))
		current := pick("150", "250", "350")
		for x := between(40, 100); x < long-40; x += between(90, 300) {
			fmt.Fprintf(&b, "{part: %s, optic: %s, x: %g mm, current: %s mA}, ", pick("quad-neutral", "quad-blue", "single-neutral"), pick("round-25", "round-40", "round-60", "bare-120"), turned(x), current)
		}
		b.WriteString("]}\n")
	}
	fmt.Fprintf(&b, "wiring: {driver: %s, hours: 9 h}\n", pick("cc-350", "cc-700-20w", "cc-700"))
	fmt.Fprintf(&b, "goal: {plane: %s, %s, uniformity: %.2f}\n", pick("floor", "mid"), pick("illuminance: 1500 lx", "ppfd: 40 umol/m2/s"), 0.1+0.6*r.Float64())
	return b.String()
}

// TestDrawnScenes draws scenes that may be built: all answers without light are numbers, the light is, its flux balance closes,
// map and sweep, and in every eighth arrange, judge it alike, and the mirrored scene has the mirrored light.
func TestDrawnScenes(t *testing.T) {
	t.Parallel()
	n := cmp.Or(*drawnScenes, longtest.Pick(1, 16))
	for seed := range uint64(n) {
		seed += *drawnFrom
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			text := drawnScene(seed, false)
			sc, err := scene.Parse("drawn.yaml", []byte(text), nil)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			if wrong := answersWrong(sc); wrong != "" {
				t.Errorf("%s\n%s", wrong, text)
			}
			holdsLight(t, sc, seed%8 == 0)
			turned, err := scene.Parse("mirrored.yaml", []byte(drawnScene(seed, true)), nil)
			if err != nil {
				t.Fatal(err)
			}
			mirrorsLight(t, coarseMap(t, sc, optics.Straight), coarseMap(t, turned, optics.Straight))
			if t.Failed() {
				t.Log(text)
			}
		})
	}
}

// TestMirroredBoards holds two drawn scenes whose boards of four dies once chose other images than their mirrored scenes did.
func TestMirroredBoards(t *testing.T) {
	t.Parallel()
	for _, seed := range []uint64{110446, 110999} {
		var maps [2]*result.Map
		for i, mirrored := range []bool{false, true} {
			sc, err := scene.Parse("drawn.yaml", []byte(drawnScene(seed, mirrored)), nil)
			if err != nil {
				t.Fatal(err)
			}
			maps[i] = coarseMap(t, sc, optics.Straight)
		}
		mirrorsLight(t, maps[0], maps[1])
	}
}

// coarseStepM is the step of some eight cells along a tank.
func coarseStepM(sc *scene.Scene) float64 { return sc.Tank.LengthM / 8 }

// rough is how many times fewer histories serve here: what misses the books or the other commands does so with few of them too.
const rough = 64

func coarseMap(t *testing.T, sc *scene.Scene, engine optics.Engine) *result.Map {
	t.Helper()
	return roughMap(t, sc, engine, coarseStepM(sc))
}

// roughMap is a map of few histories; a step of 0 is that of a map's own grid.
func roughMap(t *testing.T, sc *scene.Scene, engine optics.Engine, stepM float64) *result.Map {
	t.Helper()
	m, err := optics.Map(t.Context(), sc, optics.Options{StepM: stepM, Workers: 1, Engine: engine, Rough: rough, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// holdsLight checks the light of a scene on its own, and what sweep, and arrange where it may take its time, say of it.
func holdsLight(t *testing.T, sc *scene.Scene, arrange bool) {
	t.Helper()
	m := coarseMap(t, sc, optics.Full)
	for what, books := range map[string]result.FluxBalance{"lm": m.Balance, "umol/s": m.Photons} {
		if math.Abs(books.Sum()/books.Emitted-1) > 1e-6 {
			t.Errorf("entries sum to %g %s of %g", books.Sum(), what, books.Emitted)
		}
	}
	for i, v := range m.Planes[0].Field.Illuminance {
		if ppfd := m.Planes[0].Field.PPFD[i]; !(v >= 0 && ppfd >= 0 && v+ppfd < math.MaxFloat64) {
			t.Fatalf("cell %d has %g lx and %g umol/m2/s", i, v, ppfd)
		}
	}
	axis, err := edit.ParseRange("current=200mA")
	if err != nil {
		t.Fatal(err)
	}
	o := study.SweepOptions{Axes: []edit.Range{axis}, StepM: coarseStepM(sc), Workers: 1, Rough: rough}
	swept, err := study.Sweep(t.Context(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	judgedAlike(t, "sweep", m, swept.Own.Goal)
	if o.Axes = nil; !arrange {
		return
	}
	arranged, err := study.Arrange(t.Context(), sc, study.ArrangeOptions{RoundM: coarseStepM(sc), KeepY: true, SweepOptions: o})
	if err == nil { // it refuses what has no room to move
		judgedAlike(t, "arrange", roughMap(t, sc, optics.Full, 0), arranged.Before.Goal) // on the grid that its figures are of
	}
}

// judgedAlike holds the verdict of another command against that of a map, but where a figure is so near to what is asked that
// the light of modules that are added up may fall to the other side.
func judgedAlike(t *testing.T, command string, m *result.Map, g result.Goal) {
	t.Helper()
	for _, p := range m.Goal.Parts {
		for _, figure := range p.Asked {
			if math.Abs(figure.Found/figure.Asked-1) < 0.02 {
				return
			}
		}
	}
	if m.Goal.Met != g.Met || m.Goal.Unbuildable.Any() != g.Unbuildable.Any() {
		t.Errorf("%s says met: %t (%v), map %t (%v)", command, g.Met, g.Unbuildable, m.Goal.Met, m.Goal.Unbuildable)
	}
}

// mirrorsLight holds one field against another that is turned about the middle of x: sums in another order differ by rounding,
// edges of shadows by some part of a cell.
func mirrorsLight(t *testing.T, one, other *result.Map) {
	t.Helper()
	a, b := one.Planes[0].Field, other.Planes[0].Field
	most := one.Planes[0].Illuminance.Max
	for iy := range a.Grid.NY {
		for ix := range a.Grid.NX {
			v, w := a.Illuminance[iy*a.Grid.NX+ix], b.Illuminance[iy*a.Grid.NX+a.Grid.NX-1-ix]
			if math.Abs(v-w) > 2e-3*most {
				t.Errorf("column %d, row %d: %g lx and %g mirrored, of at most %g", ix, iy, v, w, most)
				return
			}
		}
	}
}
