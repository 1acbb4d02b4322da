package render

import (
	"testing"

	"fathomlux/optics/result"
)

// TestPlansSayWhereTheGoalIsSet: a plan that is not held against the goal says what is, never that none is set.
func TestPlansSayWhereTheGoalIsSet(t *testing.T) {
	t.Parallel()
	photons := &result.Map{Goal: result.Goal{Asked: true, Shown: result.PPFD, Parts: []result.GoalPart{{Plane: "floor", DepthM: 1}, {Plane: "rack", DepthM: 0.3}, {Plane: "floor", DepthM: 1}}}}
	for _, row := range []struct {
		m     *result.Map
		depth float64
		q     result.Quantity
		want  string
	}{
		{photons, 1, result.PPFD, ""},
		{photons, 1, result.Illuminance, "judged in PPFD"},
		{photons, 0.3, result.PPFD, ""},
		{photons, 0.5, result.PPFD, "set for floor, rack"},
		{&result.Map{}, 1, result.Illuminance, "none set"},
	} {
		if got := goalNote(row.m, row.m.Goal.On(row.depth), row.q); got != row.want {
			t.Errorf("%g in %s: %q, want %q", row.depth, row.q.Name(), got, row.want)
		}
	}
}
