package study

import (
	"context"
	"testing"

	"fathomlux/optics/scenetest"
	"fathomlux/scene/edit"
)

// TestCandidatesAreJudgedInTheGoalsQuantity: of the same candidates the goal in PPFD finds one that meets 0.5, the one in lux none.
func TestCandidatesAreJudgedInTheGoalsQuantity(t *testing.T) {
	t.Parallel()
	for goal, met := range map[string]bool{"ppfd: 1 umol/m2/s": true, "illuminance: 1 lx": false} {
		sc := scenetest.TwoColours(t, "{plane: floor, "+goal+", uniformity: 0.5}")
		axis, err := edit.ParseRange("height=150mm,200mm")
		if err != nil {
			t.Fatal(err)
		}
		s, err := Sweep(context.Background(), sc, SweepOptions{Axes: []edit.Range{axis}, StepM: 0.02, Workers: 2})
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
