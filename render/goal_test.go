package render

import (
	"testing"

	"fathomlux/optics/result"
)

// TestPlansSayWhereTheGoalIsSet: a plan that is not held against the goal says what is, never that none is set.
func TestPlansSayWhereTheGoalIsSet(t *testing.T) {
	t.Parallel()
	photons := &result.Map{Goal: result.Goal{Asked: true, Shown: result.PPFD, Plane: "floor"}}
	for _, row := range []struct {
		m     *result.Map
		plane string
		q     result.Quantity
		want  string
	}{
		{photons, "floor", result.PPFD, ""},
		{photons, "floor", result.Illuminance, "judged in PPFD"},
		{photons, "mid", result.PPFD, "set for floor"},
		{&result.Map{}, "floor", result.Illuminance, "none set"},
	} {
		if got := goalNote(row.m, &result.Plane{Name: row.plane}, row.q); got != row.want {
			t.Errorf("%s in %s: %q, want %q", row.plane, row.q.Name(), got, row.want)
		}
	}
}
