package main

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// goalText says what a goal asks for, and where.
func goalText(g scene.Goal) string {
	if !g.Set() {
		return "none"
	}
	var list []string
	for _, p := range g.Parts() {
		where := unit.Metric.Length(p.Plane.DepthM) + " down"
		if slices.Contains([]string{"surface", "mid", "floor"}, p.Plane.Name) {
			where = fmt.Sprintf("%s (%s)", p.Plane.Name, where)
		}
		if p.Area != (space.Area{}) {
			where += ", " + areaText(p.Area, unit.Metric)
		}
		if p.Name != "" {
			where = p.Name + " on " + where
		}
		list = append(list, where+": "+partFigures(p))
	}
	return strings.Join(list, "; ")
}

func areaText(a space.Area, u unit.System) string {
	return "x " + u.Span(a.FromXM, a.ToXM) + ", y " + u.Span(a.FromYM, a.ToYM)
}

// goalFigures says what a goal asks for, each part behind its name where there are several.
func goalFigures(g scene.Goal) string {
	if len(g.Others) == 0 {
		return partFigures(g)
	}
	list := each(g.Parts(), func(p scene.Goal) string { return p.Label() + ": " + partFigures(p) })
	return strings.Join(list, "; ")
}

func partFigures(g scene.Goal) string {
	var list []string
	add := func(what, unit string, low, high float64) {
		say := func(v float64) string { return style.FourDigits(roundTo(v, 1e-9)) }
		switch {
		case low > 0 && high > 0:
			list = append(list, strings.TrimSuffix(what+" "+say(low)+" to "+say(high)+" "+unit, " "))
		case low > 0:
			list = append(list, strings.TrimSuffix(what+" "+say(low)+" "+unit, " "))
		case high > 0:
			list = append(list, what+" at most "+say(high)+" "+unit)
		}
	}
	add("mean", "lx", g.IlluminanceLx, g.MostLx)
	add("mean", ppfdUnit, g.PPFD, g.MostPPFD)
	add("mean", dliUnit, g.DLI, g.MostDLI)
	add("dimmest place", "lx", g.LowestLx, 0)
	add("dimmest place", ppfdUnit, g.LowestPPFD, 0)
	add("brightest place", "lx", 0, g.HighestLx)
	add("brightest place", ppfdUnit, 0, g.HighestPPFD)
	add("U0", "", g.Uniformity, 0)
	add("colour", "K", g.ColourK, 0)
	add("colour from its mean", "steps", 0, g.StepsAtMost)
	return strings.Join(list, ", ")
}

// goalAsked is what a goal asks for, for programs; nothing where it asks for nothing.
func goalAsked(g scene.Goal) any {
	asks := func(p scene.Goal) answer.Answer {
		given := func(lux, ppfd float64, more ...any) any {
			list := append([]any{"illuminance_lx", lux, "ppfd_umol_m2_s", roundTo(ppfd, 1e-9)}, more...)
			return optional(fields(list...), lux+ppfd > 0 || len(more) > 0 && more[1] != 0.0)
		}
		return fields("plane", p.Plane.Name, "depth_mm", millimetres(p.Plane.DepthM), "illuminance_lx",
			p.IlluminanceLx, "ppfd_umol_m2_s", roundTo(p.PPFD, 1e-9), "dli_mol_m2_day", roundTo(p.DLI, 1e-9),
			"min_over_mean", p.Uniformity, "name", p.Label(), "area_mm", areaData(p.Area),
			"most", given(p.MostLx, p.MostPPFD, "dli_mol_m2_day", roundTo(p.MostDLI, 1e-9)),
			"colour_k", optional(p.ColourK, p.ColourK > 0), "steps_at_most", optional(p.StepsAtMost, p.StepsAtMost > 0),
			"lowest", given(p.LowestLx, p.LowestPPFD), "highest", given(p.HighestLx, p.HighestPPFD))
	}
	others := []answer.Answer{}
	for _, p := range g.Others {
		others = append(others, asks(p))
	}
	return optional(append(asks(g), fields("others", others)...), g.Set())
}

func areaData(a space.Area) any {
	return optional(fields("x", []float64{millimetres(a.FromXM), millimetres(a.ToXM)},
		"y", []float64{millimetres(a.FromYM), millimetres(a.ToYM)}), a != space.Area{})
}

// goalData says how a goal fares, and in which quantity it is judged.
func goalData(g result.Goal) answer.Answer {
	table := goalTable(g, unit.Metric)
	table.In = answer.JSON
	return fields("asked", g.Asked, "met", g.Met, "missing",
		finding.Lines(g.Missing(), finding.Note, unit.Metric), "quantity", g.Shown.Name(), "parts", table)
}

// goalTable are the parts of a goal with their light when new, each at its own place.
func goalTable(g result.Goal, u unit.System) answer.Table {
	var records []answer.Answer
	for i, p := range g.Parts {
		var misses []finding.Finding
		share := 0.0
		for _, m := range g.Misses {
			if m.Part == i {
				misses, share = append(misses, m.Finding()), share+m.MissedBy()
			}
		}
		at := func(s result.Spot) string { return "x " + u.Length(s.XM) + ", y " + u.Length(s.YM) }
		spot := func(s result.Spot) []float64 { return []float64{millimetres(s.XM), millimetres(s.YM)} }
		record := answer.Answer{answer.Figure{Key: "name", Title: "part of the goal", Value: p.Label},
			answer.Figure{Key: "plane", Value: p.Plane}, answer.Figure{Title: "depth", Unit: u.Name(),
				Say: func(m float64) string { return u.Figure(m) }, Value: p.DepthM},
			answer.Figure{Key: "area_mm", Value: areaData(p.Area)}}
		record = append(append(record, lightFigures(g.Shown, p.Light.Illuminance, p.Light.PPFD)...),
			dliFigure(p.Light.DLI, p.Light.DLI > 0),
			answer.Figure{Title: "dimmest at", Value: at(p.Light.Dimmest)}, answer.Figure{Key: "dimmest_at_mm",
				Value: spot(p.Light.Dimmest)}, answer.Figure{Key: "brightest_at_mm", Value: spot(p.Light.Brightest)},
			answer.Figure{Key: "met", Value: p.Met}, answer.Figure{Title: "goal", Value: map[bool]string{true: "met",
				false: "not met"}[p.Met]}, answer.Figure{Key: "missing", Value: finding.Lines(misses, finding.Note, unit.Metric)},
			answer.Figure{Key: "missing_share", Value: share})
		records = append(records, record)
	}
	return answer.Rows("", "Parts of the goal", records...)
}

// shownParts is goalTable for people, where a goal has an area or several parts.
func shownParts(g result.Goal, u unit.System) answer.Table {
	if len(g.Parts) < 2 && !slices.ContainsFunc(g.Parts, func(p result.GoalPart) bool { return p.Named }) {
		return answer.Table{}
	}
	t := goalTable(g, u)
	t.In = answer.People
	return t
}

// partsData are the parts of a candidate's goal for programs, without places; nothing where it has one part.
func partsData(g result.Goal) any {
	list := []answer.Answer{}
	for _, p := range g.Parts {
		list = append(list, append(fields("name", p.Label, "met", p.Met), lightFigures(g.Shown, p.Light.Illuminance,
			p.Light.PPFD)...))
	}
	return optional(list, len(g.Parts) > 1)
}

// firstPart says of which part of the goal the figures of candidates are.
func firstPart(sc *scene.Scene) (list []finding.Finding) {
	if n := len(sc.Goal.Parts()); n > 1 {
		list = append(list, finding.FirstPart.Of(finding.Text(sc.Goal.Label()), finding.Count{N: n}))
	}
	return list
}

func partsMet(g result.Goal) (met int) {
	for _, p := range g.Parts {
		if p.Met {
			met++
		}
	}
	return met
}

func goalWord(g result.Goal) string {
	met := partsMet(g)
	switch {
	case g.Met:
		return "met"
	case met > 0:
		return fmt.Sprintf("%d of %d parts", met, len(g.Parts))
	case g.Asked:
		return "not met"
	}
	return "-"
}
