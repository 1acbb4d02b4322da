package study

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// CandidateName writes a candidate's values for people: "spacing 160 mm, beam 40 deg".
func CandidateName(axes []result.Axis, c result.Candidate, u unit.System) string {
	var parts []string
	for i, a := range axes {
		if a.Unit == "mm" {
			parts = append(parts, a.Name+" "+u.Length(c.Values[i]))
			continue
		}
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%s %s %s", a.Name, figure(c.Values[i]*a.Factor), a.Unit)))
	}
	return strings.Join(parts, ", ")
}

// figure writes a value with at most five digits and no trailing zeros.
func figure(v float64) string { return fmt.Sprintf("%.5g", math.Round(v*1e6)/1e6) }

// sweepVerdict says which candidate serves, or why none does, and how many cannot be built.
func sweepVerdict(sc *scene.Scene, s *result.Sweep, u unit.System) string {
	words := bestWords(sc, s, u)
	unusable := 0
	for _, c := range s.Candidates {
		if (c.Done || c.Refused != "") && !c.Usable() {
			unusable++
		}
	}
	if unusable > 0 && s.Best >= 0 {
		words += fmt.Sprintf(" %d of %d cannot be built, such as: %s.", unusable, len(s.Candidates), firstObstacle(s))
	}
	return words
}

// bestWords says which candidate serves, or why none does.
func bestWords(sc *scene.Scene, s *result.Sweep, u unit.System) string {
	if s.Best < 0 {
		return "No candidate can be built: " + firstObstacle(s) + "."
	}
	best := s.Candidates[s.Best]
	even := optics.EvenName(sc.Goal) + " " + optics.EvenWords(sc.Goal, best.Light(s.Shown))
	name := CandidateName(s.Axes, best, u)
	light := "mean " + optics.LightWords(s.Shown, sc.Goal, best.Light(s.Shown))
	lowest := optics.LightFigure(s.Shown, best.Light(s.Shown).Min)
	met := 0
	for _, c := range s.Candidates {
		if c.Met {
			met++
		}
	}
	switch {
	case !sc.Goal.Set():
		return fmt.Sprintf("The highest minimum for a watt has %s: %s with %.1f W, %s, %s; no goal is set.", name, lowest,
			best.PowerW, light, even)
	case met > 0:
		return fmt.Sprintf("%d of %d candidates meet the goal; with least power, %.1f W, and then the highest minimum, "+
			"%s: %s (%s, %s).",
			met, len(s.Candidates), best.PowerW, lowest, name, light, even)
	}
	return fmt.Sprintf("No candidate meets the goal; nearest is %s (%s, %s). %s", name, light, even, wouldServe(sc.Goal,
		s))
}

// wouldServe says how far each part of the goal is reached anywhere in the sweep, so that the next one can be wider.
func wouldServe(g scene.Goal, s *result.Sweep) string {
	var lux, ppfd, dli, even float64
	for _, c := range s.Candidates {
		if c.Usable() {
			lux, ppfd, dli = math.Max(lux, c.Illuminance.Mean), math.Max(ppfd, c.PPFD.Mean), math.Max(dli, c.DLI)
			even = math.Max(even, c.Light(s.Shown).MinOverMean)
		}
	}
	var parts []string
	note := func(what string, h result.Requirement, of string) {
		if h.Asked <= 0 {
			return
		}
		word := "reached"
		if h.Missed() {
			word = "never reached"
		}
		is, limit := h.Words()
		parts = append(parts, fmt.Sprintf("%s of %s%s is %s (highest %s%s)", what, limit, of, word, is, of))
	}
	note("mean", result.Require(lux, g.IlluminanceLx, result.Illuminance.Decimals(lux)), " lx")
	note("mean PPFD", result.Require(ppfd, g.PPFD, 1), " µmol/m²/s")
	note("DLI", result.Require(dli, g.DLI, 2), " mol/m²/day")
	note(optics.EvenName(g), result.Require(even, g.Uniformity, 2), "")
	return "Anywhere in these ranges, " + strings.Join(parts, "; ") + "."
}

// firstObstacle is the first reason why a candidate cannot be.
func firstObstacle(s *result.Sweep) string {
	for _, c := range s.Candidates {
		if c.Refused != "" {
			return c.Refused
		}
		if c.Unbuildable != "" {
			return c.Unbuildable
		}
	}
	return "none was computed"
}
