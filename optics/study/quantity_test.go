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
		if best := s.Candidates[s.Best]; best.Goal.Met != met || best.Goal.Met != (best.Light(s.Shown).MinOverMean >= 0.5) {
			t.Errorf("%s: met %t with %g, shown in %s", goal, best.Goal.Met, best.Light(s.Shown).MinOverMean, s.Shown.Name())
		}
	}
}
