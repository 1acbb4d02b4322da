package optics

import (
	"context"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene"
)

// twoColours is the shelf with a white module and a blue one far from it, which give lux and photons in unlike shares: the
// floor is far more even in PPFD than in lux.
func twoColours(t *testing.T, goal string) *scene.Scene {
	t.Helper()
	return read(t, shelf, "{part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"[{part: quad-neutral, optic: bare-120, x: 100 mm, current: 350 mA}, {part: quad-blue, optic: bare-120, x: 500 mm, current: 350 mA}]",
		"{plane: floor, illuminance: 400 lx, uniformity: 0.6}", goal)
}

// TestTheGoalsQuantityRules: verdict, dark corners, level and candidates stand in the quantity of the goal, and the same light
// is judged otherwise in the other one.
func TestTheGoalsQuantityRules(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		goal  string
		shown result.Quantity
		level float64
		words string
	}{
		{"{plane: floor, illuminance: 100 lx, uniformity: 0.1}", result.Illuminance, 100, " lx on average, min/mean "},
		{"{plane: floor, illuminance: 100 lx, ppfd: 1 umol/m2/s}", result.Illuminance, 100, " µmol/m²/s) on average, min/mean "},
		{"{plane: floor, ppfd: 2 umol/m2/s, uniformity: 0.1}", result.PPFD, 2, " lx) on average, PPFD min/mean "},
		// 0.36 mol over 10 h are 10 umol/s: 0.36e6 / 36000
		{"{plane: floor, dli: 0.36 mol/m2/day}", result.PPFD, 10, " mol/m²/day) on average, PPFD min/mean "},
	} {
		sc := twoColours(t, row.goal)
		m := compute(t, sc, Options{StepM: 0.02, Sections: true})
		p := goalPlane(sc, m.Planes)
		if m.Goal.Shown != row.shown || p.Shown != row.shown || math.Abs(m.Goal.Level-row.level) > 1e-9 || m.Goal.Plane != "floor" {
			t.Errorf("%s: %+v, plane in %s", row.goal, m.Goal, p.Shown.Name())
		}
		if limit := darkShare(sc.Goal) * p.Light(row.shown).Mean; p.DarkLimit != limit {
			t.Errorf("%s: dark below %g, want %g", row.goal, p.DarkLimit, limit)
		}
		if !strings.Contains(m.Verdict, row.words) {
			t.Errorf("%s: %q lacks %q", row.goal, m.Verdict, row.words)
		}
		if lux, ppfd := p.Illuminance.MinOverMean, p.PPFD.MinOverMean; !(ppfd > 1.2*lux) {
			t.Errorf("%s: the scene does not tell lux (%g) from photons (%g)", row.goal, lux, ppfd)
		}
	}
}

// TestSlicesHoldPhotons: the lowest layer of a slice is the floor's light at its place, in both quantities.
func TestSlicesHoldPhotons(t *testing.T) {
	t.Parallel()
	sc := twoColours(t, "{plane: floor, ppfd: 2 umol/m2/s}")
	m := compute(t, sc, Options{StepM: 0.005, Sections: true})
	p, s := goalPlane(sc, m.Planes), &m.Sections[0]
	for _, q := range []result.Quantity{result.Illuminance, result.PPFD} {
		for i := range s.N {
			x := (float64(i) + 0.5) * s.StepM
			want := p.Field.Grid.Between(result.Of(q, p.Field.Illuminance, p.Field.PPFD), x, s.AtM)
			if got := s.Light(q)[(s.NZ-1)*s.N+i]; math.Abs(got/want-1) > 0.02 { // half a layer above the floor
				t.Fatalf("%s at x = %g m: %g in the slice, %g on the floor", q.Name(), x, got, want)
			}
		}
	}
}

// TestCandidatesAreJudgedInTheGoalsQuantity: of the same candidates the goal in PPFD finds one that meets 0.5, the one in lux none.
func TestCandidatesAreJudgedInTheGoalsQuantity(t *testing.T) {
	t.Parallel()
	for goal, met := range map[string]bool{"ppfd: 1 umol/m2/s": true, "illuminance: 1 lx": false} {
		sc := twoColours(t, "{plane: floor, "+goal+", uniformity: 0.5}")
		axis, err := scene.ParseRange("height=150mm,200mm")
		if err != nil {
			t.Fatal(err)
		}
		s, err := Sweep(context.Background(), sc, SweepOptions{Axes: []scene.Range{axis}, StepM: 0.02, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		if best := s.Candidates[s.Best]; best.Met != met || best.Met != (best.Light(s.Shown).MinOverMean >= 0.5) {
			t.Errorf("%s: met %t with %g, shown in %s", goal, best.Met, best.Light(s.Shown).MinOverMean, s.Shown.Name())
		}
	}
}

func TestWhatStaysDoesNotGo(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		from, to float64
		want     string
	}{{0.9541234, 0.9541233, "min/mean stays at 0.954"}, {0.954, 0.956, "min/mean goes from 0.954 to 0.956"}, {0, 0, "min/mean stays at 0"}} {
		if got := goes("min/mean", row.from, row.to); got != row.want {
			t.Errorf("%q, want %q", got, row.want)
		}
	}
}
