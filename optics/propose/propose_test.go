package propose

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
	"fathomlux/scene/parts"
)

// dark makes walls and floor of a tank black, so that its light is found soon.
const dark = ", floor: {diffuse: 0}, walls: {front: {paint: 0}, back: {paint: 0}, left: {paint: 0}, right: {paint: 0}}"

// tank reads a scene with a stand-in for a rail.
func tank(t testing.TB, lengthMM, widthMM, heightMM int, more string) *scene.Scene {
	t.Helper()
	text := fmt.Sprintf(`tank: {length: %d mm, width: %d mm, height: %d mm, water: {depth: %d mm}%s
wiring: {hours: 9 h, tariff: 0.28 EUR/kWh} # ours
rails: [{length: 100 mm, above_water: 500 mm, modules: {part: single-neutral, optic: bare-120, count: 1, current: 350 mA}}]
`, lengthMM, widthMM, heightMM, heightMM-50, more)
	sc, err := scene.Parse("tank.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// few keeps some of the built-in parts.
func few(names ...string) *parts.Catalogue {
	c := parts.Builtin()
	keep(c.Modules, names)
	keep(c.Optics, names)
	keep(c.Drivers, names)
	keep(c.Profiles, names)
	return c
}

func keep[T any](all map[string]T, names []string) {
	for name := range all {
		if !slices.Contains(names, name) {
			delete(all, name)
		}
	}
}

// space is a small space of lights.
type space struct {
	name  string
	scene *scene.Scene
	o     Options
}

// spaces are tanks with few parts: glass and film, open and covered, one row and two, lux and photons.
func spaces(t testing.TB) []space {
	return []space{
		{"one row", tank(t, 500, 250, 300, "}\ngoal: {illuminance: 900 lx}"), Options{Rows: []int{1}, VoltsAtMost: 30,
			HeightsM: []float64{0.1, 0.2}, MaxModules: 6, Parts: few("single-neutral", "quad-neutral", "round-60",
				"bare-120", "cc-700-20w", "bar-40x20")}},
		{"two rows, even", tank(t, 600, 350, 350, ", walls: {back: {paint: 0.08}}}\ngoal: {illuminance: 1200 lx, "+
			"uniformity: 0.4}"), Options{Rows: []int{1, 2}, VoltsAtMost: 60, HeightsM: []float64{0.12}, MaxModules: 8,
			Parts: few("single-cool", "strip-neutral", "round-40", "oval-25x60", "cc-700", "cc-350", "cc-500",
				"bar-20x20")}},
		{"covered, photons", tank(t, 450, 300, 400, ", cover: {material: glass, thickness: 4 mm, above_water: 30 mm}}\n"+
			"goal: {ppfd: 40..90 umol/m2/s}"), Options{Rows: []int{1}, VoltsAtMost: 60, HeightsM: []float64{0.09, 0.18},
			MaxModules: 8, Parts: few("quad-cool", "quad-warm", "round-90", "round-60", "cc-700-20w", "cc-700",
				"cc-1050", "bar-40x20", "flat-60x5")}},
		{"two parts of a goal", tank(t, 600, 300, 330, ", floor: {diffuse: 0.4}}\ngoal:\n  - {plane: floor, illuminance: "+
			"900 lx}\n  - {plane: mid, area: {x: 0..200 mm, y: 0..300 mm}, illuminance: 600 lx}"), Options{Rows: []int{1},
			VoltsAtMost: 30, HeightsM: []float64{0.1, 0.16}, MaxModules: 7, Parts: few("single-warm", "quad-neutral",
				"bare-120", "round-60", "cc-700-20w", "u-30x15")}},
	}
}

// everyLight computes every light of a space as it is that can be built within the limits of money and power.
func everyLight(t *testing.T, sp space, light *optics.Light, do func(*seeker, *Light)) (tried int) {
	t.Helper()
	s, err := newSearch(sp.scene, sp.o)
	if err != nil {
		t.Fatal(err)
	}
	c, err := newScreen(s)
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.optics {
		if err := c.look(context.Background(), i); err != nil {
			t.Fatal(err)
		}
	}
	ratios, err := c.spectra(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	s.built = s.builds()
	s.ready(ratios, c)
	s.lavish = s.mostLevel()
	for i := range s.built {
		for _, k := range s.shapesOf(&s.built[i]) {
			tried++
			l := s.costed(pick{i, k})
			if l == nil {
				continue
			}
			lit, err := light.Scene(context.Background(), l.Scene)
			if err != nil {
				t.Fatal(err)
			}
			l.Candidate = lit.Candidate()
			do(s, l)
		}
	}
	return tried
}

// brute computes every light of a space, and returns what is the best of each word.
func brute(t *testing.T, sp space, light *optics.Light) (best [words]float64, tried int) {
	t.Helper()
	for w := range best {
		best[w] = math.Inf(1)
	}
	tried = everyLight(t, sp, light, func(s *seeker, l *Light) {
		for _, m := range s.measures(nil) {
			lavish := m.word == MostEven || m.word == Brightest
			if s.meets(l) && (!lavish || meanShare(l) <= 0.97*s.lavish) { // surely
				best[m.word] = min(best[m.word], m.of(l))
			}
		}
	})
	return best, tried
}

// meanShare is a light's mean on the first part of its goal, over the least that it asks.
func meanShare(l *Light) float64 {
	g := l.Scene.Goal
	return l.Counted().Mean / max(g.IlluminanceLx, g.PPFD)
}

// TestWordsAgainstBruteForce: in small spaces the answer of each word is within 1 % of the best that trying every light
// finds, in the sample the same for any number of workers. The full run leaves out the sample's space, whose lights
// TestWordsAgainstScenesWritten writes one by one.
func TestWordsAgainstBruteForce(t *testing.T) {
	t.Parallel()
	full := longtest.Pick(false, true)
	some := spaces(t)[:1]
	if full {
		some = spaces(t)[1:][:longtest.Pick(0, 3)]
	}
	for _, sp := range some {
		t.Run(sp.name, func(t *testing.T) {
			t.Parallel()
			if !full {
				sp.o.MaxModules, sp.o.HeightsM = 2, sp.o.HeightsM[:1]
				sp.o.Parts = few("quad-neutral", "round-60", "cc-700-20w", "bar-40x20")
			}
			light, err := optics.NewLight(sp.scene, optics.LightOptions{StepM: 0.012, Workers: 2})
			if err != nil {
				t.Fatal(err)
			}
			best, tried := brute(t, sp, light)
			if full && tried < 1000 {
				t.Errorf("only %d lights were tried", tried)
			}
			found := ran(t, sp, longtest.Pick([]int{1, 3}, []int{2})...)
			s, _ := newSearch(sp.scene, sp.o)
			for _, m := range s.measures(nil) {
				i := slices.IndexFunc(found.Lights, func(l *Light) bool { return slices.Contains(l.Words, m.word) })
				if math.IsInf(best[m.word], 1) != (i < 0) {
					t.Errorf("%v: found %v, best %g", m.word, i >= 0, best[m.word])
				}
				if i < 0 {
					continue
				}
				one := *found.Lights[i]
				lit, err := light.Scene(context.Background(), one.Scene)
				if err != nil {
					t.Fatal(err)
				}
				one.Candidate = lit.Candidate()
				if got := m.of(&one); got > best[m.word]+0.01*math.Abs(best[m.word]) {
					t.Errorf("%v: %g, best of %d is %g", m.word, got, tried, best[m.word])
				}
			}
		})
	}
}

// ran runs a search with each number of workers, which must answer alike.
func ran(t *testing.T, sp space, workers ...int) (first *Found) {
	t.Helper()
	for _, sp.o.Workers = range workers {
		found, err := Run(context.Background(), sp.scene, sp.o)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = found
		}
		if len(first.Lights) != len(found.Lights) {
			t.Fatalf("%d lights by one worker, %d by %d", len(first.Lights), len(found.Lights), sp.o.Workers)
		}
		for i, l := range first.Lights {
			o := found.Lights[i]
			if string(l.Text) != string(o.Text) || l.Money != o.Money || l.Counted() != o.Counted() ||
				!slices.Equal(l.Words, o.Words) {
				t.Errorf("by one worker\n%s\nby %d\n%s", l.Text, sp.o.Workers, o.Text)
			}
		}
	}
	return first
}
