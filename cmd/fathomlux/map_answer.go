package main

import (
	"fmt"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// mapParts are the figures of a map; spread is nil where no tolerance was asked for.
func mapParts(m *result.Map, sc *scene.Scene, look render.Look, spread *result.Tolerance) answer.Answer {
	kinds := kindTable(m)
	list := answer.Answer{planeTable(m, sc, look), answer.Figure{Key: "engine", Value: m.Engine},
		answer.Figure{Key: "tracing", Value: tracingData(m.Tracing)},
		answer.Figure{Key: "maintenance_factor", Value: m.Maintenance},
		sectionTable(m, look), kinds}
	list = append(list, mapFigures(m)...)
	list = append(list, answer.Figure{Key: "flux_lm", Value: balanceData(m.Balance)},
		answer.Figure{Key: "junctions", Value: junctionsData(m.Junctions)},
		answer.Figure{Key: "goal", Value: goalData(m.Goal)})
	list = append(list, verdictParts(m.Verdict)...)
	if warning := m.Junctions.Warning(); warning != "" {
		list = append(list, answer.Lines{Lead: "warning", List: []string{warning}})
	}
	if spread != nil {
		list = append(list, toleranceGroup(spread))
	}
	return list
}

// mapFigures are the figures beside the planes, for people.
func mapFigures(m *result.Map) (list answer.Answer) {
	say := func(title, words string) { list = append(list, answer.Figure{Title: title, Value: words}) }
	if m.Maintenance < 1 {
		var means []string
		for _, p := range m.Planes {
			k := m.Maintenance
			means = append(means, p.Name+" "+bothMeans(m.Goal.Shown, p.Illuminance.Mean*k, p.PPFD.Mean*k))
		}
		say(fmt.Sprintf("maintained means (factor %.3g)", m.Maintenance), strings.Join(means, ", "))
	}
	var ends []string
	for _, r := range balanceTable(m.Balance).Rows {
		ends = append(ends, fmt.Sprintf("%s %.0f", r[0], r[1]))
	}
	list = append(list, answer.Figure{Title: "luminous flux balance", In: answer.Text,
		Value: fmt.Sprintf("of %.0f lm: %s", m.Balance.Emitted, strings.Join(ends, "; "))})
	if t := m.Tracing; t != nil {
		say("photons traced", fmt.Sprintf("%.3g million, standard error of a cell %.2g %% of the mean",
			float64(t.Photons)/1e6, 100*t.Error))
	}
	say("junctions", junctionsText(m.Junctions))
	return list
}

// sectionTable are the slices through the water: which way they run, where, and in which quantity they are drawn.
func sectionTable(m *result.Map, look render.Look) answer.Table {
	t := answer.Table{Key: "sections", In: answer.JSON, Columns: []answer.Column{{Key: "axis"}, {Key: "at_mm"},
		{Key: "png"}, {Key: "quantity"}}}
	for _, s := range m.Sections {
		axis := "along"
		if s.Axis == result.AcrossY {
			axis = "across"
		}
		t.Rows = append(t.Rows, []any{axis, millimetres(s.AtM), "section-" + axis + "." + string(look.Format),
			m.Goal.Shown.Name()})
	}
	return t
}

// toleranceGroup is what tolerances make of the goal's plane. Intervals hold 90 % of the samples; shares of the sources
// are of the variance, each acting alone.
func toleranceGroup(t *result.Tolerance) answer.Group {
	unitKey := result.Of(t.Shown, "_lx", "_umol_m2_s")
	intervals := answer.Table{In: answer.People, Columns: []answer.Column{{Title: "built within tolerances, 90 %"},
		{Title: "computed"}, {Title: "from"}, {Title: "to"}}}
	parts := fields("plane", t.Plane, "samples", t.Samples)
	interval := func(key, title string, say func(float64) string, v result.Interval) {
		intervals.Rows = append(intervals.Rows, []any{t.Plane + " " + title, say(v.Value), say(v.Low), say(v.High)})
		parts = append(parts, fields(key, fields("value", v.Value, "low", v.Low, "high", v.High))...)
	}
	light := func(v float64) string { return lightFigure(t.Shown, v) }
	interval("mean"+unitKey, "mean, "+t.Shown.Unit(), light, t.Mean)
	interval("min"+unitKey, "min, "+t.Shown.Unit(), light, t.Min)
	interval("min_over_mean", "U0 (min/mean)", unit.Ratio, t.MinOverMean)
	from := "usual tolerance"
	if len(t.Sources) > 0 && t.Sources[0].Given {
		from = "tolerance of the scene"
	}
	sources := answer.Table{Key: "sources", Columns: []answer.Column{{Title: from}, {Key: "name"}, {Key: "limit"},
		{Key: "mean_share", Title: "share of the mean's variance", Say: percent}, {Key: "min_share"},
		{Key: "min_over_mean_share", Title: "of U0's", Say: percent}}}
	for _, s := range t.Sources {
		sources.Rows = append(sources.Rows, []any{s.Name + " +/- " + s.Limit, s.Name, s.Limit, s.Mean, s.Min,
			s.MinOverMean})
	}
	parts = append(parts, intervals, answer.Figure{Key: "goal_met_share", Value: optional(t.GoalShare, t.GoalAsked)},
		sources)
	return answer.Group{Key: "tolerance", Parts: append(append(parts, verdictParts(t.Verdict)...),
		answer.Lines{Key: "notes", Lead: "note", List: t.Notes})}
}
