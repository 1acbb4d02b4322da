package study

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/search"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
	"fathomlux/scene/operating"
	"fathomlux/scene/unit"
)

func TestSweepGivesWhatMapsGive(t *testing.T) {
	t.Parallel()
	sc := scenetest.DimFoyer(t)
	const step = 0.02
	heights, spacings := longtest.Pick([]float64{0.2}, []float64{0.12, 0.2}), longtest.Pick([]float64{0.19}, []float64{0.16, 0.19})
	s, err := Sweep(context.Background(), sc, SweepOptions{StepM: step, Workers: 2, Axes: []edit.Range{
		scenetest.Axis(t, "height", heights...), scenetest.Axis(t, "beam", 0.5, 1), scenetest.Axis(t, "spacing", spacings...)}})
	if err != nil {
		t.Fatal(err)
	}
	if n := 2 * len(heights) * len(spacings); len(s.Candidates) != n || s.Reached != n {
		t.Fatalf("%d candidates, %d reached", len(s.Candidates), s.Reached)
	}
	for i, c := range s.Candidates {
		var changes []edit.Change
		for k, name := range []string{"height", "beam", "spacing"} {
			changes = append(changes, edit.Change{Variable: scenetest.Axis(t, name).Variable, Value: c.Values[k]})
		}
		one, err := edit.With(sc, changes...)
		if err != nil {
			t.Fatal(err)
		}
		m := compute(t, one, optics.Options{StepM: step, Planes: []scene.PlaneRef{one.Goal.Plane}})
		// The orders of images are chosen anew for each scene: 0.05 % of the light may differ, all of it in one cell at worst.
		if p := m.Planes[0].Illuminance; math.Abs(p.Mean-c.Illuminance.Mean) > 1e-3*p.Mean || math.Abs(p.MinOverMean-c.Illuminance.MinOverMean) > 2e-3 {
			t.Errorf("candidate %d: mean %g, min/mean %g; a map gives %g and %g", i, c.Illuminance.Mean, c.Illuminance.MinOverMean, p.Mean, p.MinOverMean)
		}
		point, err := operating.Of(one)
		if err != nil {
			t.Fatal(err)
		}
		if w := one.Operating(point.Draws()).PowerW(); math.Abs(c.PowerW-w) > 1e-9*w { // places are alike to a nanometre
			t.Errorf("candidate %d: %g W, the scene takes %g", i, c.PowerW, w)
		}
	}
}

func TestSweepConcludes(t *testing.T) {
	t.Parallel()
	sc := scenetest.DimFoyer(t)
	s, err := Sweep(context.Background(), sc, SweepOptions{StepM: 0.03, Workers: 2, Axes: []edit.Range{
		scenetest.Axis(t, "beam", scenetest.Steps(0.4, 0.3, 5)...), scenetest.Axis(t, "spacing", scenetest.Steps(0.16, 0.03, 5)...)}})
	if err != nil {
		t.Fatal(err)
	}
	var mean, even []float64
	for i, c := range s.Candidates {
		if misfit := c.Values[1] > 0.267; c.Goal.Unbuildable.Any() != misfit { // boards of 30 mm: 4 spacings and one board on 1100 mm
			t.Errorf("candidate %d with spacing %g m: unbuildable %v", i, c.Values[1], c.Goal.Unbuildable)
		}
		if c.Usable() {
			mean, even = append(mean, c.Illuminance.Mean), append(even, c.Illuminance.MinOverMean)
		}
	}
	if n := len(search.Frontier(mean, even)); n != len(s.Frontier) || n == 0 {
		t.Errorf("frontier of %d, want %d", len(s.Frontier), n)
	}
	best := s.Candidates[s.Best]
	for _, c := range s.Candidates {
		if c.Goal.Met && !best.Goal.Met {
			t.Errorf("%+v meets the goal and %+v is called best", c.Values, best.Values)
		}
	}
	if !strings.Contains(s.Verdict.Sentence(unit.Metric), "The goal is met by ") || !strings.Contains(s.Verdict.Sentence(unit.Metric), "beam") || !strings.Contains(s.Verdict.Sentence(unit.Metric), "; 5 of 25 cannot be built, such as: the module at x") {
		t.Errorf("verdict %q", s.Verdict)
	}
	if math.Abs(s.Own.Values[1]-0.22) > 1e-4 {
		t.Errorf("own spacing %g m", s.Own.Values[1])
	}
}

func TestSweepSaysWhatWouldServe(t *testing.T) {
	sc := scenetest.DimFoyer(t)
	sc.Goal.IlluminanceLx = 90000
	s, err := Sweep(context.Background(), sc, SweepOptions{StepM: 0.05, Axes: []edit.Range{scenetest.Axis(t, "count", 2, 4)}})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(s.Verdict.Sentence(unit.Metric), "No candidate meets the goal") || !strings.Contains(s.Verdict.Sentence(unit.Metric), "is below 90000 lx") {
		t.Errorf("verdict %q", s.Verdict)
	}
	s, err = Sweep(context.Background(), sc, SweepOptions{StepM: 0.05, Axes: []edit.Range{scenetest.Axis(t, "height", 0.01, 0.02)}})
	if err != nil || s.Best != -1 || !strings.Contains(s.Verdict.Sentence(unit.Metric), "not above the cover") {
		t.Errorf("error %v, verdict %q", err, s.Verdict)
	}
}

func TestSweepLimits(t *testing.T) {
	sc := scenetest.Example(t, "foyer")
	for what, axes := range map[string][]edit.Range{
		"none":  nil,
		"four":  {scenetest.Axis(t, "count", 1), scenetest.Axis(t, "beam", 1), scenetest.Axis(t, "height", 1), scenetest.Axis(t, "y", 1)},
		"empty": {scenetest.Axis(t, "count")},
		"many":  {scenetest.Axis(t, "spacing", scenetest.Steps(0.1, 1e-6, 1000)...), scenetest.Axis(t, "height", scenetest.Steps(0.1, 1e-6, 1000)...)},
	} {
		if _, err := Sweep(context.Background(), sc, SweepOptions{Axes: axes}); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

func TestStoppedSweepKeepsWhatIsDone(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	s, err := Sweep(ctx, scenetest.DimFoyer(t), SweepOptions{StepM: 0.05, Workers: 1, Axes: []edit.Range{scenetest.Axis(t, "height", scenetest.Steps(0.1, 0.01, 8)...)},
		Progress: func(done, _ int) {
			if done == 3 {
				cancel()
			}
		}})
	if err != nil {
		t.Fatal(err)
	}
	done := 0
	for _, c := range s.Candidates {
		if c.Done {
			done++
		}
	}
	if s.Reached != done || done != 3 || s.Best < 0 {
		t.Errorf("%d reached with %d candidates done, best %d", s.Reached, done, s.Best)
	}
}

// BenchmarkSweep sweeps the foyer scene on a 10 mm floor grid, on all cores: candidates that share places of modules, and
// such that share none.
func BenchmarkSweep(b *testing.B) {
	sc := scenetest.Example(b, "foyer")
	steps := func(name string, from, step float64, n int) edit.Range {
		return scenetest.Axis(b, name, scenetest.Steps(from, step, n)...)
	}
	for name, axes := range map[string][]edit.Range{
		"shared 100":     {steps("height", 0.12, 0.01, 5), steps("count", 3, 1, 4), steps("spacing", 0.1, 0.02, 5)},
		"shared 1000":    {steps("height", 0.12, 0.01, 10), steps("count", 3, 1, 10), steps("spacing", 0.1, 0.01, 10)},
		"shared 10000":   {steps("height", 0.12, 0.01, 10), steps("count", 3, 1, 10), steps("spacing", 0.1, 0.001, 100)},
		"distinct 100":   {steps("spacing", 0.1, 0.001, 100), steps("height", 0.16, 0.005, 1)},
		"distinct 1000":  {steps("spacing", 0.1, 0.001, 100), steps("height", 0.1, 0.005, 10)},
		"distinct 10000": {steps("spacing", 0.1, 0.001, 100), steps("height", 0.1, 0.001, 100)},
	} {
		b.Run(name, func(b *testing.B) {
			computed := 0
			for b.Loop() {
				s, err := Sweep(context.Background(), sc, SweepOptions{StepM: 0.01, Workers: runtime.GOMAXPROCS(0), Axes: axes})
				if err != nil || s.Reached != len(s.Candidates) {
					b.Fatal(err)
				}
				for _, c := range s.Candidates {
					if c.Illuminance.Mean > 0 {
						computed++
					}
				}
			}
			b.ReportMetric(float64(computed)/float64(b.N), "computed")
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(computed), "us/candidate")
		})
	}
}

// TestCombinations: the last axis runs fastest, and without axes there is one choice, of nothing.
func TestCombinations(t *testing.T) {
	t.Parallel()
	axis := func(values ...float64) edit.Range { return edit.Range{Values: values} }
	for want, axes := range map[string][]edit.Range{"[[]]": nil, "[[1 3 4] [1 3 5] [2 3 4] [2 3 5]]": {axis(1, 2), axis(3), axis(4, 5)}, "[]": {axis(1), axis()}} {
		if got := fmt.Sprint(SweepOptions{Axes: axes}.combinations()); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
