package optics

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/finding"
	"fathomlux/scene/space"
)

// TestPartsOfAGoalByHand: the light of each part of a goal is that of the cells whose middle lies in its area, counted here one
// by one; what it asks at least is judged with the maintenance factor, what it asks at most with light when new.
func TestPartsOfAGoalByHand(t *testing.T) {
	t.Parallel()
	const k = 0.8
	sc := scenetest.Read(t, scenetest.Shelf, "{plane: floor, illuminance: 400 lx, uniformity: 0.6}", `
  - {name: corner, area: {x: 0..200 mm, y: 100..300 mm}, ppfd: 1..200 umol/m2/s, uniformity: 0.99}
  - {name: rack, plane: 100 mm, area: {x: 240..360 mm, y: 100..200 mm}, ppfd: 1 umol/m2/s, highest: 5 umol/m2/s}
  - {plane: mid, lowest: 1 umol/m2/s}`)
	m := compute(t, sc, Options{StepM: 0.02, Engine: Straight, Maintenance: k})
	areas := []space.Area{{ToXM: 0.2, FromYM: 0.1, ToYM: 0.3}, {FromXM: 0.24, ToXM: 0.36, FromYM: 0.1, ToYM: 0.2}, {ToXM: 0.6, ToYM: 0.3}}
	if len(m.Goal.Parts) != len(areas) {
		t.Fatalf("parts %+v", m.Goal.Parts)
	}
	for i, part := range m.Goal.Parts {
		var f result.Field
		for _, p := range m.Planes {
			if p.DepthM == part.DepthM {
				f = p.Field
			}
		}
		sum, n, low, high := 0.0, 0.0, math.Inf(1), 0.0
		var at result.Spot
		for c, v := range f.PPFD {
			x, y := (float64(c%f.Grid.NX)+0.5)*f.Grid.StepXM, (float64(c/f.Grid.NX)+0.5)*f.Grid.StepYM
			if a := areas[i]; x > a.FromXM && x < a.ToXM && y > a.FromYM && y < a.ToYM {
				if sum, n, high = sum+v, n+1, math.Max(high, v); v < low {
					low, at = v, result.Spot{XM: x, YM: y}
				}
			}
		}
		s := part.Light.PPFD
		for what, pair := range map[string][2]float64{"mean": {s.Mean, sum / n}, "lowest": {s.Min, low}, "highest": {s.Max, high}, "U0": {s.MinOverMean, low * n / sum},
			"x": {part.Light.Dimmest.XM, at.XM}, "y": {part.Light.Dimmest.YM, at.YM}, "DLI": {part.Light.DLI, sum / n * 0.036}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*(1+pair[1]) {
				t.Errorf("%s: %s %g, by hand %g", part.Label, what, pair[0], pair[1])
			}
		}
	}
	photons := m.Photons.Emitted
	for _, p := range m.Planes[:3] { // surface, mid and floor between black walls: fewer the deeper
		flux := p.PhotonFlux()
		if !(flux > 0 && flux < photons) || math.Abs(flux-p.PPFD.Mean*0.6*0.3) > 1e-9 {
			t.Errorf("%s: %g umol/s of %g", p.Name, flux, photons)
		}
		photons = flux
	}
	rack := m.Goal.Parts[1].Light.PPFD
	said := finding.All(m.Goal.Missing()).Say(0)
	for _, want := range []string{"corner uniformity U0 of ", "rack highest PPFD of ", " is above 5.0 µmol/m²/s"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q lacks %q", said, want)
		}
	}
	if g := m.Goal; g.Met || g.Parts[0].Met || g.Parts[1].Met || !g.Parts[2].Met || len(g.Misses) != 2 || g.Shown != result.PPFD {
		t.Errorf("judged %+v", g)
	}
	_, all := m.Goal.Shortfall()
	if want := rack.Max/5 - 1 + 1 - m.Goal.Parts[0].Light.PPFD.MinOverMean/0.99; math.Abs(all-want) > 1e-9 {
		t.Errorf("misses by %g in all, want %g", all, want)
	}
	if said := m.Verdict.String(); !strings.HasPrefix(said, "the goal is not met, 1 of its 3 parts are: corner uniformity") {
		t.Error(said)
	}
	// between aged and new light: at least is missed, at most is missed
	mean := rack.Mean
	sc.Goal.Others[0].PPFD, sc.Goal.Others[0].MostPPFD, sc.Goal.Others[0].HighestPPFD = mean*(k+1)/2, mean*(k+1)/1.99, 0
	g := judged(sc, m.Planes, k, finding.Finding{})
	if len(g.Misses) != 3 || g.Misses[1].Found != mean*k || g.Misses[2].Found != mean || !g.Misses[2].Most {
		t.Errorf("of aged light %+v", g.Misses)
	}
}

// TestOnePartIsTheOldGoal: the whole plane as an area is judged as the plane, and a part that nothing asks of is met.
func TestOnePartIsTheOldGoal(t *testing.T) {
	t.Parallel()
	const old = "{plane: floor, illuminance: 400 lx, uniformity: 0.6}"
	plain := scenetest.Read(t, scenetest.Shelf)
	whole := scenetest.Read(t, scenetest.Shelf, old, "[{area: {x: 0..600 mm, y: 0..300 mm}, illuminance: 400 lx, uniformity: 0.6}]")
	a, b := compute(t, plain, Options{StepM: 0.02, Engine: Straight}), compute(t, whole, Options{StepM: 0.02, Engine: Straight})
	if a.Goal.Parts[0].Light.Illuminance != b.Goal.Parts[0].Light.Illuminance || a.Goal.Met != b.Goal.Met || len(a.Goal.Misses) != len(b.Goal.Misses) {
		t.Errorf("%+v\n%+v", a.Goal, b.Goal)
	}
	if p := GoalPlane(whole, b.Planes); p.DarkIn != "part 1" || len(p.DarkCorners) != len(GoalPlane(plain, a.Planes).DarkCorners) {
		t.Errorf("dark in %q: %+v", p.DarkIn, p.DarkCorners)
	}
}

// TestTopOfARockIsLit: on the plane of a rock's top, its area has the light that falls on it, and below it there is none to count.
func TestTopOfARockIsLit(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "  floor: {diffuse: 0}", "  floor: {diffuse: 0}\n  obstacles: [{name: rock, from: [240 mm, 100 mm, 0 mm], to: [360 mm, 200 mm, 190 mm]}]",
		"{plane: floor, illuminance: 400 lx, uniformity: 0.6}", "{name: top, plane: 110 mm, area: {x: 240..360 mm, y: 100..200 mm}, highest: 2000 lx}")
	m := compute(t, sc, Options{StepM: 0.01, Engine: Straight})
	free := compute(t, scenetest.Read(t, scenetest.Shelf, "{plane: floor, illuminance: 400 lx, uniformity: 0.6}",
		"{name: top, plane: 110 mm, area: {x: 240..360 mm, y: 100..200 mm}, highest: 2000 lx}"), Options{StepM: 0.01, Engine: Straight})
	if got, want := m.Goal.Parts[0].Light.Illuminance, free.Goal.Parts[0].Light.Illuminance; got.Min <= 0 || math.Abs(got.Mean/want.Mean-1) > 0.01 {
		t.Errorf("on the rock %+v, without it %+v", got, want)
	}
}
