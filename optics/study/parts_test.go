package study

import (
	"context"
	"math"
	"slices"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

const threeParts = `
  - {name: left, area: {x: 0..200 mm, y: 0..200 mm}, ppfd: 14 umol/m2/s, uniformity: 0.3}
  - {name: shelf, plane: 100 mm, area: {x: 300..500 mm, y: 100..200 mm}, ppfd: 5..90 umol/m2/s}
  - {plane: mid, highest: 70 umol/m2/s}`

// TestAllJudgeAllPartsAlike: a map, a comparison, a sweep, a page and an arrangement judge the parts of a goal from the same
// light with the same outcome.
func TestAllJudgeAllPartsAlike(t *testing.T) {
	t.Parallel()
	const stepM = 0.02
	sc := scenetest.Read(t, scenetest.Narrow, "{plane: floor, illuminance: 1000 lx, uniformity: 0.6}", threeParts)
	m := compute(t, sc, optics.Options{StepM: stepM, Cold: true, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
	if len(m.Goal.Parts) != 3 || len(m.Planes) != 3 || m.Goal.Shown != result.PPFD {
		t.Fatalf("%d planes, goal %+v", len(m.Planes), m.Goal)
	}
	same := func(who string, got result.Goal) {
		t.Helper()
		sameMiss := func(a, b result.Miss) bool { return a.Part == b.Part && a.What == b.What && a.Most == b.Most }
		if got.Met != m.Goal.Met || !slices.EqualFunc(got.Misses, m.Goal.Misses, sameMiss) {
			t.Errorf("%s: met %v, misses %+v; a map: %v, %+v", who, got.Met, got.Misses, m.Goal.Met, m.Goal.Misses)
		}
		for i, p := range got.Parts {
			if a, b := p.Light.PPFD, m.Goal.Parts[i].Light.PPFD; math.Abs(a.Mean/b.Mean-1) > 0.002 || math.Abs(a.Min-b.Min) > 0.005*b.Mean {
				t.Errorf("%s: %s has mean %g, lowest %g; in a map %g, %g", who, p.Label, a.Mean, a.Min, b.Mean, b.Min)
			}
		}
	}
	ctx, o := context.Background(), SweepOptions{StepM: stepM, Cold: true, Axes: []edit.Range{scenetest.Axis(t, "current", 0.35, 0.45)}}
	swept, err := Sweep(ctx, sc, o)
	if err != nil {
		t.Fatal(err)
	}
	same("sweep", swept.Candidates[0].Goal)
	same("the scene of a sweep", swept.Own.Goal)
	compared, err := Compare(ctx, []Contender{{"it", sc}}, optics.Options{StepM: stepM, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	same("compare", compared.Candidates[0].Goal)
	if c := compared.Candidates[0]; c.PPFD != m.Goal.Parts[0].Light.PPFD {
		t.Errorf("a candidate has %+v, not the light of the first part", c.PPFD)
	}
	s, err := optics.NewSession(sc, optics.LightOptions{StepM: stepM, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	same("live", glance(t, s, sc).Goal)
	a, err := newArranger(sc, ArrangeOptions{RoundM: 0.01, SweepOptions: o})
	if err != nil {
		t.Fatal(err)
	}
	b, err := a.space(ctx, sc, true)
	if err != nil {
		t.Fatal(err)
	}
	if b.lit, err = a.light.Compute(ctx, b.sets...); err != nil {
		t.Fatal(err)
	}
	var places [][]int
	for _, l := range b.lines {
		places = append(places, l.Start)
	}
	same("arrange", b.light(places).Goal)
}

// TestFoldedRailsAddUp: of a rail with modules at mirrored places, in a tank that is its own mirror image, the light of one
// half and its mirror image is that of all.
func TestFoldedRailsAddUp(t *testing.T) {
	t.Parallel()
	a, err := newArranger(scenetest.Read(t, scenetest.Narrow), ArrangeOptions{RoundM: 0.01, SweepOptions: SweepOptions{StepM: 0.02, Cold: true}})
	if err != nil {
		t.Fatal(err)
	}
	b, err := a.space(t.Context(), a.scene, true)
	if err == nil {
		b.lit, err = a.light.Compute(t.Context(), b.sets...)
	}
	if err != nil || !b.folded[0] {
		t.Fatalf("folded %v, error %v", b.folded, err)
	}
	places := [][]int{{7, 23, 46 - 7}}
	b.sum(places, 0)
	got := slices.Clone(b.sums[0])
	b.folded[0] = false
	b.sum(places, 0)
	for i, want := range b.sums[0] {
		if math.Abs(got[i]-want) > 1e-9*want {
			t.Fatalf("cell %d: %g lx, of all %g", i, got[i], want)
		}
	}
}

// TestAllPartsBeforePower: of two candidates the one that meets all parts is best, whatever it takes and however bright the first
// part of the other is; where none does, the one that misses them by the smallest sum of shares.
func TestAllPartsBeforePower(t *testing.T) {
	t.Parallel()
	g := scenetest.Read(t, scenetest.Narrow, "{plane: floor, illuminance: 1000 lx, uniformity: 0.6}", threeParts).Goal
	of := func(powerW, left, shelf, mid float64) result.Candidate {
		light := func(mean float64) result.PartLight {
			return result.PartLight{PPFD: result.Statistics{Mean: mean, Min: mean / 2, Max: mean, MinOverMean: 0.5}}
		}
		c := result.Candidate{Done: true, PowerW: powerW}
		c.Goal = optics.Judge(g, []result.PartLight{light(left), light(shelf), light(mid)}, 1, c.Refused)
		c.Take(&result.Plane{})
		return c
	}
	for what, row := range map[string]struct {
		list []result.Candidate
		want int
	}{
		"all met before less power":           {[]result.Candidate{of(10, 90, 4, 60), of(30, 20, 9, 60)}, 1},
		"too bright is a miss":                {[]result.Candidate{of(10, 90, 9, 80), of(30, 20, 9, 60)}, 1},
		"above a range is a miss":             {[]result.Candidate{of(10, 90, 95, 60), of(30, 20, 9, 60)}, 1},
		"none met: the nearest":               {[]result.Candidate{of(10, 90, 4, 80), of(30, 20, 4.5, 60)}, 1},
		"met by both: the brighter at lowest": {[]result.Candidate{of(10, 20, 9, 60), of(10, 30, 9, 60)}, 1},
	} {
		if got := bestOf(row.list); got != row.want {
			t.Errorf("%s: %d", what, got)
		}
	}
}

// TestArrangeServesAllParts: an arrangement for a goal of several parts never misses more of them than the scene did.
func TestArrangeServesAllParts(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Narrow, "{plane: floor, illuminance: 1000 lx, uniformity: 0.6}", `
  - {name: left, area: {x: 0..150 mm, y: 0..200 mm}, illuminance: 9000 lx}
  - {name: right, plane: mid, area: {x: 350..500 mm, y: 0..200 mm}, illuminance: 9000 lx}`)
	out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: true, SweepOptions: SweepOptions{StepM: 0.04, Cold: true}})
	if err != nil {
		t.Fatal(err)
	}
	_, before := out.Before.Goal.Shortfall()
	if _, after := out.After.Goal.Shortfall(); after >= before || before == 0 {
		t.Errorf("missed by %g before and %g after: %v", before, after, out.Verdict)
	}
}
