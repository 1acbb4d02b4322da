package study

import (
	"context"
	"math"
	"runtime"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/search"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// exhaust tries every allowed set of places and returns the highest worth.
func exhaust(t *testing.T, b *searchSpace) float64 {
	t.Helper()
	best := math.Inf(-1)
	l := b.lines[0]
	places := make([]int, len(l.Low))
	var walk func(i int)
	walk = func(i int) {
		if i == len(l.Low) {
			best = math.Max(best, b.score([][]int{places}))
			return
		}
		for p := l.Low[i]; p <= l.High[i]; p++ {
			if i > 0 && p-places[i-1] < l.Gap[i-1] {
				continue
			}
			blocked := false
			for _, k := range l.Blocked {
				blocked = blocked || (p >= k[0] && p <= k[1])
			}
			if l.Mirror != nil && i >= (len(l.Low)+1)/2 && p != *l.Mirror-places[len(l.Low)-1-i] {
				continue
			}
			if l.Mirror != nil && len(l.Low)%2 == 1 && i == len(l.Low)/2 && p != *l.Mirror/2 {
				continue
			}
			if !blocked {
				places[i] = p
				walk(i + 1)
			}
		}
	}
	walk(0)
	return best
}

func TestArrangeAgainstExhaustiveSearch(t *testing.T) {
	t.Parallel()
	// At least 99.5 % of the best that trying every place finds, on three scenes; never worse than the start; the same again.
	for what, row := range map[string]struct {
		scene   []string
		options ArrangeOptions
	}{
		"three free": {nil, ArrangeOptions{RoundM: 0.01, NoMirror: true}},
		"four mirrored with a keep-out": {[]string{"count: 3, spacing: 80 mm", "count: 4, spacing: 60 mm"},
			ArrangeOptions{RoundM: 0.005, KeepOuts: []scene.KeepOut{{FromM: 0.2, ToM: 0.3, Why: "brace"}}}},
		"two, tilted, narrow, wide gap": {[]string{"count: 3, spacing: 80 mm", "count: 2, spacing: 40 mm", "round-60", "round-40", "above_water: 120 mm", "above_water: 120 mm\n    tilt: 20 deg"},
			ArrangeOptions{RoundM: 0.005, NoMirror: true, GapM: 0.02}},
	} {
		if longtest.Pick(what == "three free", false) {
			continue
		}
		sc := scenetest.Read(t, scenetest.Narrow, row.scene...)
		row.options.StepM, row.options.Workers, row.options.KeepY = longtest.Pick(0.02, 0.01), 2, true
		row.options.RoundM *= longtest.Pick(2.0, 1)
		a, err := newArranger(sc, row.options)
		if err != nil {
			t.Fatal(err)
		}
		b, err := a.space(context.Background(), a.scene, false)
		if err == nil {
			b.lit, err = a.light.Compute(context.Background(), b.sets...)
		}
		if err != nil {
			t.Fatal(err)
		}
		want := exhaust(t, b)
		_, got, err := search.Arrange(search.Problem{Lines: b.lines, Score: b.score})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %.5f of %.5f", what, got, want)
		if got < 0.995*want {
			t.Errorf("%s: found %g of %g", what, got, want)
		}
		one, err := Arrange(context.Background(), sc, row.options)
		if err != nil {
			t.Fatal(err)
		}
		if one.After.Illuminance.Min < one.Before.Illuminance.Min && !one.Before.Goal.Unbuildable.Any() {
			t.Errorf("%s: lowest %g lx after, %g before", what, one.After.Illuminance.Min, one.Before.Illuminance.Min)
		}
		if why := one.Scene.PlacementError(); why.Any() {
			t.Errorf("%s: %s", what, why)
		}
		if longtest.Pick(row.options.GapM == 0, false) {
			continue
		}
		two, err := Arrange(context.Background(), sc, row.options)
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range one.Scene.Rails[0].Modules {
			if two.Scene.Rails[0].Modules[i].XM != m.XM {
				t.Errorf("%s: module %d at %g, then at %g", what, i, m.XM, two.Scene.Rails[0].Modules[i].XM)
			}
		}
	}
}

func TestArrangeChooses(t *testing.T) {
	t.Parallel()
	sc := withAnyDriver(t, scenetest.Read(t, scenetest.Narrow), 0.1, 0.2)
	lib := sc.Catalogue.Optics
	out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.01, KeepY: true, Optics: []parts.Optic{lib["round-25"], lib["round-60"], lib["round-90"]}, Currents: []float64{0.1, 0.2, 0.35, 0.5}, SweepOptions: SweepOptions{StepM: 0.02, Workers: 2, Axes: []edit.Range{scenetest.Axis(t, "height", 0.08, 0.15)}}})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.Chosen, "optic round-") || !strings.Contains(out.Chosen, "height ") || !strings.Contains(out.Chosen, "current ") {
		t.Errorf("chosen %q", out.Chosen)
	}
	if out.After.Illuminance.MinOverMean <= out.Before.Illuminance.MinOverMean || out.After.Illuminance.Mean < 1000 {
		t.Errorf("verdict %q", out.Verdict)
	}
	amps := out.Scene.Rails[0].Modules[0].CurrentA
	lower, err := edit.With(out.Scene, currentChange(0.1))
	if err != nil {
		t.Fatal(err)
	}
	if m := compute(t, lower, optics.Options{StepM: 0.02}); amps > 0.1 && m.Planes[2].Illuminance.Mean >= 1000 {
		t.Errorf("%g A chosen where 0.1 A gives %g lx", amps, m.Planes[2].Illuminance.Mean)
	}
}

func TestArrangeKeepsWhatMeetsTheGoal(t *testing.T) {
	// A goal that the scene meets and 100 mA does not: the scene stays as it is.
	sc := withAnyDriver(t, scenetest.Read(t, scenetest.Narrow, "illuminance: 1000 lx, uniformity: 0.6", "illuminance: 4000 lx, uniformity: 0.1"), 0.1)
	out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.01, KeepY: true, Currents: []float64{0.1}, SweepOptions: SweepOptions{StepM: 0.02, Workers: 2}})
	if err != nil {
		t.Fatal(err)
	}
	if !out.Before.Goal.Met || !out.After.Goal.Met || out.Scene.Rails[0].Modules[0].CurrentA != 0.35 || len(out.Notes) == 0 || strings.Contains(out.Verdict.Sentence(unit.Metric), "chosen") {
		t.Errorf("before %v, after %v at %g A, notes %q: %s", out.Before.Goal.Met, out.After.Goal.Met, out.Scene.Rails[0].Modules[0].CurrentA, out.Notes, out.Verdict)
	}
}

// TestArrangeTellsWhatCompareTells: whatever the search's grid, before and after have the figures of a comparison. Images
// cut module by module make up to 0.05 % of the light.
func TestArrangeTellsWhatCompareTells(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Narrow)
	for _, stepM := range longtest.Pick([]float64{0.04}, []float64{0, 0.02, 0.04}) {
		out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.01, KeepY: longtest.Pick(true, false), SweepOptions: SweepOptions{StepM: stepM, Workers: 2}})
		if err != nil {
			t.Fatal(err)
		}
		both, err := Compare(context.Background(), []Contender{{Name: "before", Scene: sc}, {Name: "after", Scene: out.Scene}}, optics.Options{Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		for i, told := range []result.Candidate{out.Before, out.After} {
			got, want := told.Illuminance, both.Candidates[i].Illuminance
			if math.Abs(got.MinOverMean/want.MinOverMean-1) > 1e-3 || math.Abs(got.Mean/want.Mean-1) > 1e-3 {
				t.Errorf("step %g, %s: min/mean %g of %g lx is told, a comparison has %g of %g lx", stepM, both.Candidates[i].Name, got.MinOverMean, got.Mean, want.MinOverMean, want.Mean)
			}
		}
	}
}

func TestArrangeRefuses(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Narrow)
	for what, row := range map[string]struct {
		options ArrangeOptions
		want    string
	}{
		"no room":           {ArrangeOptions{GapM: 0.4}, "do not fit"},
		"many combinations": {ArrangeOptions{SweepOptions: SweepOptions{Axes: []edit.Range{scenetest.Axis(t, "height", scenetest.Steps(0.05, 0.001, 300)...)}}}, "limit of 200"},
		"all refused":       {ArrangeOptions{SweepOptions: SweepOptions{Axes: []edit.Range{scenetest.Axis(t, "depth", 5)}}}, "no combination can be built"},
	} {
		row.options.StepM = 0.05
		if _, err := Arrange(context.Background(), sc, row.options); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v", what, err)
		}
	}
}

// BenchmarkArrange arranges eight modules of the foyer scene, mirrored, to whole millimetres.
func BenchmarkArrange(b *testing.B) {
	v, err := edit.VariableNamed("count")
	if err != nil {
		b.Fatal(err)
	}
	sp, err := edit.VariableNamed("spacing")
	if err != nil {
		b.Fatal(err)
	}
	sc, err := edit.With(scenetest.Example(b, "foyer"), edit.Change{Variable: v, Value: 8}, edit.Change{Variable: sp, Value: 0.13})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		out, err := Arrange(context.Background(), sc, ArrangeOptions{SweepOptions: SweepOptions{Workers: runtime.GOMAXPROCS(0), StepM: 0.01}})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(out.Before.Illuminance.MinOverMean, "before")
		b.ReportMetric(out.After.Illuminance.MinOverMean, "after")
	}
}

// TestArrangeProgressRises: what is told as done never falls, its total stays, and at the end all is done, with a first
// brief look at more variants than are sought in full.
func TestArrangeProgressRises(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Narrow)
	axis, err := edit.ParseRange("height=100mm:160mm:20mm")
	if err != nil {
		t.Fatal(err)
	}
	last, totals := 0, map[int]bool{}
	_, err = Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: true, SweepOptions: SweepOptions{Axes: []edit.Range{axis}, StepM: 0.05, Workers: 1, Progress: func(done, total int) {
		if done != last+1 {
			t.Errorf("%d of %d done after %d", done, total, last)
		}
		last, totals[total] = done, true
	}}})
	if want := len(axis.Values) + fullySought; err != nil || last != want || len(totals) != 1 || !totals[want] {
		t.Errorf("%d done of %v, want %d: %v", last, totals, want, err)
	}
}
