package main

import (
	"cmp"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene/unit"
)

// toleranceGroup is what tolerances make of the goal's plane. Intervals hold 90 % of the samples; shares of the sources
// are of the variance, each acting alone.
func toleranceGroup(t *result.Tolerance, u unit.System) answer.Group {
	unitKey := result.Of(t.Shown, "_lx", "_umol_m2_s")
	intervals := answer.Table{Columns: []answer.Column{{Title: "built within tolerances, 90 %"}, {Title: "computed"},
		{Title: "from"}, {Title: "to"}}}
	parts := fields("plane", t.Plane, "part", optional(t.Place, t.Place != ""), "samples", t.Samples)
	row := func(key, title string, say func(float64) string, v result.Interval) {
		intervals.Rows = append(intervals.Rows, []any{cmp.Or(t.Place, t.Plane) + " " + title,
			say(v.Value), say(v.Low), say(v.High)})
		parts = append(parts, fields(key, interval(v))...)
	}
	light := func(v float64) string { return lightFigure(t.Shown, v) }
	row("mean"+unitKey, "mean, "+t.Shown.Unit(), light, t.Mean)
	row("min"+unitKey, "min, "+t.Shown.Unit(), light, t.Min)
	row("min_over_mean", "U0 (min/mean)", unit.Ratio, t.MinOverMean)
	from := "default tolerance"
	if len(t.Sources) > 0 && t.Sources[0].Given {
		from = "tolerance of the scene"
	}
	columns := []answer.Column{{Title: from}, {Key: "name"}, {Key: "limit"},
		{Key: "mean_share", Title: "share of the mean's variance", Say: percent}, {Key: "min_share"},
		{Key: "min_over_mean_share", Title: "of U0's", Say: percent}}
	sources := answer.TableOf("sources", columns, t.Sources, func(s result.ToleranceSource) []any {
		return []any{s.Name + " +/- " + s.Limit, s.Name, s.Limit, s.Shares[0], s.Shares[1], s.Shares[2]}
	})
	return answer.Group{Key: "tolerance", Parts: answer.Answer{parts, intervals,
		fields("goal_met_share", optional(t.GoalShare, t.GoalAsked)), sources,
		verdictParts(t.Verdict.Sentence(u)), foundParts(t.Notes, u)}}
}
