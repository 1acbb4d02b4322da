package study

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

// rank makes a candidate of a goal of 1000 lx and 0.5, which is told to meet it or not.
func rank(met bool, powerW, even, meanLx float64) result.Candidate {
	p := result.Plane{Illuminance: result.Statistics{Mean: meanLx, Min: even * meanLx, MinOverMean: even}}
	c := result.Candidate{Done: true, PowerW: powerW, Illuminance: p.Illuminance}
	c.Goal = optics.Judge(scene.Goal{IlluminanceLx: 1000, Uniformity: 0.5}, []result.PartLight{{Illuminance: p.Illuminance}}, 1, finding.Finding{})
	c.Goal.Met = met
	return c
}

func TestBestOf(t *testing.T) {
	unused := rank(true, 1, 0.9, 2000)
	unused.Goal.Met, unused.Goal.Unbuildable = false, finding.NotWired.Of(finding.Text("beyond the rail's end"))
	for what, row := range map[string]struct {
		list []result.Candidate
		want int
	}{
		"none":                            {nil, -1},
		"none that can be used":           {[]result.Candidate{unused}, -1},
		"more even, yet dimmer in both":   {[]result.Candidate{rank(true, 28.9, 0.60, 2000), rank(true, 28.9, 0.55, 2600)}, 1},
		"alike in power, the more even":   {[]result.Candidate{rank(true, 28.90, 0.52, 3000), rank(true, 28.93, 0.54, 3000)}, 1},
		"less power before evenness":      {[]result.Candidate{rank(true, 40, 0.9, 3000), rank(true, 30, 0.51, 3000)}, 1},
		"met before even":                 {[]result.Candidate{rank(false, 10, 0.9, 900), rank(true, 50, 0.5, 3000)}, 1},
		"none met, the nearest":           {[]result.Candidate{rank(false, 10, 0.1, 3000), rank(false, 10, 0.45, 990)}, 1},
		"what can be used before all":     {[]result.Candidate{unused, rank(false, 10, 0.1, 10)}, 1},
		"the first of equals":             {[]result.Candidate{rank(true, 30, 0.6, 2000), rank(true, 30, 0.6, 2000)}, 0},
		"a cheap one that misses is none": {[]result.Candidate{rank(false, 1, 0.4, 2000), rank(true, 30, 0.6, 2000), rank(true, 30.1, 0.7, 2000)}, 2},
	} {
		if got := bestOf(row.list); got != row.want {
			t.Errorf("%s: %d, want %d", what, got, row.want)
		}
	}
}

// TestOutdoneIsNotBest: of candidates that all miss the goal, the nearest is not best where another of no more power is brighter in
// mean and minimum and spills less than half; with more power, as much spill, or too bright a place, it is.
func TestOutdoneIsNotBest(t *testing.T) {
	t.Parallel()
	for what, row := range map[string]struct {
		change func(bright *result.Candidate)
		want   int
	}{
		"outdone":    {func(*result.Candidate) {}, 1},
		"more power": {func(c *result.Candidate) { c.PowerW = 11 }, 0},
		"much spill": {func(c *result.Candidate) { c.SpillLm = 400 }, 0},
		"dimmer":     {func(c *result.Candidate) { c.Illuminance.Mean = 1400 }, 0},
		"too bright": {func(c *result.Candidate) {
			c.Goal.Misses = append(c.Goal.Misses, result.Miss{What: "highest illuminance", Held: finding.Held{Found: 5000, Asked: 4990, Most: true}})
		}, 0},
	} {
		list := []result.Candidate{rank(false, 10, 0.45, 1500), rank(false, 10, 0.4, 2000)}
		list[0].Name, list[1].Name, list[0].SpillLm, list[1].SpillLm = "wide", "narrow", 600, 100
		row.change(&list[1])
		s := &result.Study{Candidates: list, Best: bestOf(list)}
		words := verdict(s, scene.Goal{IlluminanceLx: 1000, Uniformity: 0.5}).String()
		if s.Best != row.want || strings.Contains(words, "wide comes nearer, but with narrow both mean and dimmest place are brighter") != (row.want == 1) {
			t.Errorf("%s: %d is best: %s", what, s.Best, words)
		}
	}
}

// TestBestWithoutAGoal: the highest minimum for a watt, so that neither power nor evenness alone counts; what takes no power
// gives none.
func TestBestWithoutAGoal(t *testing.T) {
	list := []result.Candidate{rank(false, 0, 0, 0), rank(false, 10, 0.9, 1000), rank(false, 10, 0.7, 2000), rank(false, 30, 0.7, 3000)}
	for i := range list {
		list[i].Goal = result.Goal{}
	}
	if got := bestOf(list); got != 2 {
		t.Errorf("%d is best, want 2", got)
	}
}

func TestBestDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []result.Candidate
		for i := range rapid.IntRange(1, 12).Draw(t, "n") {
			list = append(list, rank(rapid.Bool().Draw(t, "met"), 10+0.05*float64(rapid.IntRange(0, 20).Draw(t, "power")), float64(rapid.IntRange(0, 50).Draw(t, "even"))/100+1e-6*float64(i), 900+float64(i)))
		}
		best := list[bestOf(list)]
		mixed := rapid.Permutation(list).Draw(t, "mixed")
		if other := mixed[bestOf(mixed)]; other.Illuminance != best.Illuminance {
			t.Fatalf("%+v and %+v", best, other)
		}
	})
}
