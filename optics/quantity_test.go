package optics

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
)

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
		{"{plane: floor, illuminance: 100 lx, uniformity: 0.1}", result.Illuminance, 100, " lx on average, uniformity U0 (min/mean) "},
		{"{plane: floor, illuminance: 100 lx, ppfd: 1 umol/m2/s}", result.Illuminance, 100, " µmol/m²/s) on average, uniformity U0 (min/mean) "},
		{"{plane: floor, ppfd: 2 umol/m2/s, uniformity: 0.1}", result.PPFD, 2, " lx) on average, uniformity U0 (min/mean) "},
		// 0.36 mol over 10 h are 10 umol/s: 0.36e6 / 36000
		{"{plane: floor, dli: 0.36 mol/m2/day}", result.PPFD, 10, " mol/m²/day) on average, uniformity U0 (min/mean) "},
	} {
		sc := scenetest.TwoColours(t, row.goal)
		m := compute(t, sc, Options{StepM: 0.02, Engine: Straight})
		p := GoalPlane(sc, m.Planes)
		if m.Goal.Shown != row.shown || p.Shown != row.shown || math.Abs(m.Goal.Level-row.level) > 1e-9 || m.Goal.Plane != "floor" {
			t.Errorf("%s: %+v, plane in %s", row.goal, m.Goal, p.Shown.Name())
		}
		if limit := darkShare(sc.Goal) * p.Light(row.shown).Mean; p.DarkLimit != limit {
			t.Errorf("%s: dark below %g, want %g", row.goal, p.DarkLimit, limit)
		}
		if !strings.Contains(m.Verdict.String(), row.words) {
			t.Errorf("%s: %v lacks %q", row.goal, m.Verdict, row.words)
		}
		if lux, ppfd := p.Illuminance.MinOverMean, p.PPFD.MinOverMean; !(ppfd > 1.2*lux) {
			t.Errorf("%s: the scene does not tell lux (%g) from photons (%g)", row.goal, lux, ppfd)
		}
	}
}

// TestSlicesHoldPhotons: the lowest layer of a slice is the floor's light at its place, in both quantities.
func TestSlicesHoldPhotons(t *testing.T) {
	t.Parallel()
	sc := scenetest.TwoColours(t, "{plane: floor, ppfd: 2 umol/m2/s}")
	m := compute(t, sc, Options{StepM: 0.005, Sections: true})
	p, s := GoalPlane(sc, m.Planes), &m.Sections[0]
	for _, q := range []result.Quantity{result.Illuminance, result.PPFD} {
		for i := range s.N {
			x := (float64(i) + 0.5) * s.StepM
			g := p.Field.Grid
			want := result.Of(q, p.Field.Illuminance, p.Field.PPFD)[int(s.AtM/g.StepYM)*g.NX+int(x/g.StepXM)]
			if got := s.Light(q)[(s.NZ-1)*s.N+i]; math.Abs(got/want-1) > 0.02 { // half a layer above the floor
				t.Fatalf("%s at x = %g m: %g in the slice, %g on the floor", q.Name(), x, got, want)
			}
		}
	}
}
