package study

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/curve"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// withAnyDriver adds a driver to the scene's parts that gives any of some currents at any voltage and load.
func withAnyDriver(t *testing.T, sc *scene.Scene, currentsA ...float64) *scene.Scene {
	t.Helper()
	level, err := curve.Linear([]float64{0, 1}, []float64{0.9, 0.9})
	if err != nil {
		t.Fatal(err)
	}
	sc.Catalogue.Drivers["any"] = parts.Driver{Name: "any", CurrentsA: currentsA, LowestV: 1, HighestV: 500, RatedW: 500, Efficiency: level}
	return sc
}

// TestOneRuleForWhatCannotBeBuilt: every answer says of a light that cannot be built that the goal is not met, and why, though
// there is light enough; and that it is met where nothing is in the way.
func TestOneRuleForWhatCannotBeBuilt(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ what, why, from, to string }{
		{"sound", "", "count: 3", "count: 3"},
		{"overlapping boards", " overlap", "spacing: 80 mm", "spacing: 20 mm"},
		{"beyond the rail", "is beyond the end of rail", "length: 460 mm", "length: 160 mm"},
		{"bars in one space", "the bars of rail 1 and rail b overlap; move one of them", "goal:", "  - {name: b, length: 460 mm, y: 110 mm, above_water: 120 mm, modules: {part: quad-neutral, optic: round-60, count: 3, spacing: 80 mm, current: 350 mA}}\ngoal:"},
		{"no driver", "no driver feeds the modules at 610 mA", "current: 350 mA", "current: 610 mA"},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			sc := withAnyDriver(t, scenetest.Read(t, scenetest.Narrow+"wiring: {hours: 8 h}\n", "uniformity: 0.6", "uniformity: 0.01", c.from, c.to), 0.35)
			checkHurdle := func(who string, met bool, words string) {
				t.Helper()
				if met != (c.why == "") || !strings.Contains(words, c.why) {
					t.Errorf("%s: met %v: %s", who, met, words)
				}
			}
			ctx := context.Background()
			m := compute(t, sc, optics.Options{StepM: 0.05, Cold: true, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
			checkHurdle("map", m.Goal.Met, finding.All(m.Goal.Missing()).Say(0))
			checkHurdle("map in words", m.Goal.Met, m.Verdict.String())
			compared, err := Compare(ctx, []Contender{{"it", sc}}, optics.Options{StepM: 0.05, Cold: true})
			if err != nil {
				t.Fatal(err)
			}
			one := compared.Candidates[0].Goal
			checkHurdle("compare", one.Met, one.Unbuildable.String())
			checkHurdle("compare in words", one.Met, compared.Verdict.String())
			swept, err := Sweep(ctx, sc, SweepOptions{StepM: 0.05, Cold: true, Axes: []edit.Range{scenetest.Axis(t, "height", 0.12)}})
			if err != nil {
				t.Fatal(err)
			}
			checkHurdle("sweep", swept.Candidates[0].Goal.Met, swept.Candidates[0].Goal.Unbuildable.String())
			checkHurdle("sweep in words", swept.Candidates[0].Goal.Met, swept.Verdict.String())
			session, err := optics.NewSession(sc, optics.LightOptions{StepM: 0.05, Cold: true})
			if err != nil {
				t.Fatal(err)
			}
			g, err := session.Glance(ctx, sc, result.View{})
			if err != nil {
				t.Fatal(err)
			}
			checkHurdle("live", g.Goal.Met, g.Goal.Unbuildable.String())
			checkHurdle("live in words", g.Goal.Met, g.Verdict.String())
		})
	}
}

// TestArrangeTakesCurrentsThatADriverGives: of a scene's driver of 350 mA for one string no 250 mA may be taken, though they would
// do; without a driver named, one at hand must give what is taken. What is left out is told.
func TestArrangeTakesCurrentsThatADriverGives(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what     string
		strings  int // 0 where no driver is named
		gives    float64
		offeredA []float64
		wantA    float64
		note     string
	}{
		{"named", 1, 0.35, []float64{0.25, 0.35}, 0.35, "for lack of a driver: 250 mA; at the last of them: "},
		{"none named", 0, 0.25, []float64{0.13, 0.25}, 0.25, "for lack of a driver: 130 mA; at the last of them: "},
		{"in three strings", 3, 0.75, []float64{0.2, 0.25}, 0.25, "for lack of a driver: 200 mA; at the last of them: "},
		{"none fits", 1, 0.35, []float64{0.2, 0.3}, 0.35, "for lack of a driver: 200 mA, 300 mA; at the last of them: "},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			text := strings.Replace(scenetest.Narrow, "illuminance: 1000 lx, uniformity: 0.6", "illuminance: 10 lx", 1)
			sc := withAnyDriver(t, scenetest.Read(t, text), c.gives)
			if c.strings > 0 {
				sc.Wiring.Driver, sc.Wiring.Strings = sc.Catalogue.Drivers["any"], c.strings
			}
			out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: true, Currents: c.offeredA, SweepOptions: SweepOptions{StepM: 0.04, Cold: true}})
			if err != nil {
				t.Fatal(err)
			}
			if got := out.Scene.Rails[0].Modules[0].CurrentA; got != c.wantA {
				t.Errorf("%g A are taken, want %g A", got, c.wantA)
			}
			if !strings.Contains(strings.Join(finding.Lines(out.Notes, finding.Note, unit.Metric), "\n"), c.note) {
				t.Errorf("notes %q do not say %q", out.Notes, c.note)
			}
		})
	}
}

// TestArrangeStopsAtOnce: the sum of the scene as it is, the first of all, ends with its context.
func TestArrangeStopsAtOnce(t *testing.T) {
	t.Parallel()
	a, err := newArranger(scenetest.Read(t, scenetest.Narrow), ArrangeOptions{SweepOptions: SweepOptions{StepM: 0.05}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := a.asItIs(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

// stopped is a context that ends at the n-th look at it.
type stopped struct {
	context.Context
	left atomic.Int64
}

func (c *stopped) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// TestArrangeKeepsWhatItFound ends a search at more and more looks at its context: there is nothing until the first places can be
// had, then places that fit and are no worse than those before, told as interrupted, and the whole answer in the end.
func TestArrangeKeepsWhatItFound(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Narrow)
	o := ArrangeOptions{RoundM: 0.02, SweepOptions: SweepOptions{StepM: 0.05, Rough: 16}}
	kept, begun := 0, false
	o.Begun = func() { begun = true }
	for looks := int64(1); ; looks = looks*3/2 + 1 {
		ctx := &stopped{Context: t.Context()}
		ctx.left.Store(looks)
		begun = false
		out, err := Arrange(ctx, sc, o)
		if err != nil {
			if !errors.Is(err, context.Canceled) || begun {
				t.Errorf("%d looks: %v, begun %t", looks, err, begun)
			}
			continue
		}
		if !out.Interrupted {
			break
		}
		kept++
		shown := out.After.Goal.Shown
		if f := out.Scene.PlacementError(); f.Any() || out.After.Light(shown).Min < out.Before.Light(shown).Min || !out.Verdict.Any() {
			t.Errorf("%d looks: %v; dimmest place %g after %g", looks, f, out.After.Light(shown).Min, out.Before.Light(shown).Min)
		}
	}
	if kept < 3 {
		t.Errorf("places were kept %d times", kept)
	}
}
