package render

import (
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
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

// TestChartsSayWhatIsMissing: beside the verdict of a chart stands what straight light leaves out, where it is anything.
func TestChartsSayWhatIsMissing(t *testing.T) {
	t.Parallel()
	for share, want := range map[result.Bounced]int{0: 1, 0.3: 2} {
		s := &result.Sweep{Study: result.Study{Verdict: finding.GoalUnset.Of(), Bounced: share}}
		if got := sweepDrawing("", s, Look{}, 0, chart.Panel{}, "", "").picture.(chart.Chart).Notes; len(got) != want || got[0] != "Its scene sets no goal." || want == 2 && got[1] != share.Finding().Sentence(unit.Metric) {
			t.Errorf("%g is missing: %q", share, got)
		}
	}
}
