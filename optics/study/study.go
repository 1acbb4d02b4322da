// Package study tries many scenes and chooses among them: it sweeps over ranges of variables, arranges modules on their
// rails and compares scenes, all by the light on the plane of the goal. SI units; light in lx and umol/m2/s. Next:
// package optics for the light of one scene, package optics/search for the choice.
package study

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// Powers that differ by less than the share samePower count as the same: working temperatures alone make candidates
// with the same modules and currents differ by some thousandths. Nothing that gives light takes less than leastW.
const (
	samePower = 0.01
	leastW    = 1e-9
)

// bestOf returns the index of the usable candidate that serves best, the first of equals, -1 for none. One that meets
// its goal goes before one that does not: of those that meet it, among those with the least power, the one with the
// highest minimum, so that none is passed over that is brighter in mean and minimum alike; of the others the one that
// comes nearest. Without a goal the one with the highest minimum for a watt is best.
func bestOf(list []result.Candidate) int {
	least, best := math.Inf(1), -1
	for _, c := range list {
		if c.Goal.Met {
			least = math.Min(least, c.PowerW)
		}
	}
	for i := range list {
		if list[i].Usable() && (best < 0 || better(&list[i], &list[best], least*(1+samePower))) {
			best = i
		}
	}
	return best
}

// better tells whether a serves better than b; powers up to frugalW count as the least one.
func better(a, b *result.Candidate, frugalW float64) bool {
	_, missing := a.Goal.Shortfall()
	_, other := b.Goal.Shortfall()
	switch {
	case !a.Goal.Asked && !b.Goal.Asked:
		return lowest(a)/math.Max(a.PowerW, leastW) > lowest(b)/math.Max(b.PowerW, leastW)
	case a.Goal.Met != b.Goal.Met:
		return a.Goal.Met
	case !a.Goal.Met:
		return missing < other
	case (a.PowerW <= frugalW) != (b.PowerW <= frugalW):
		return a.PowerW <= frugalW
	case a.PowerW > frugalW && a.PowerW != b.PowerW:
		return a.PowerW < b.PowerW
	}
	return lowest(a) > lowest(b)
}

// lowest is the light of the darkest place, in the quantity that the goal counts.
func lowest(c *result.Candidate) float64 { return c.Light(c.Goal.Shown).Min }

// fewMisses is how many candidates that miss the goal are named at most.
const fewMisses = 5

// verdict says which candidate serves, or why none does, and what is wrong with the others. The goal is the best one's.
func verdict(s *result.Study, g scene.Goal) string {
	met, unusable, obstacle := 0, 0, "none was computed"
	var misses []string
	for i, c := range s.Candidates {
		switch {
		case c.Goal.Met:
			met++
		case c.Usable() && i != s.Best && len(misses) <= fewMisses:
			misses = append(misses, c.Name+": "+cmp.Or(missing(c.Goal), "its scene sets no goal"))
		case c.Reached() && !c.Usable():
			if unusable++; unusable == 1 {
				obstacle = c.WhyNot().Words(unit.Metric)
			}
		}
	}
	if s.Best < 0 {
		return "No candidate can be built: " + obstacle + "."
	}
	best := &s.Candidates[s.Best]
	light := best.Light(s.Shown)
	named := fmt.Sprintf("%s (mean %s, U0 %s)", best.Name, optics.Mean(s.Shown, g, light).Say(unit.Metric),
		optics.Uniformity(g, light).Say(unit.Metric))
	minimum := s.Shown.Value(light.Min).Say(unit.Metric)
	words := ""
	switch {
	case !g.Set():
		words = fmt.Sprintf("The highest minimum per watt has %s: %s with %.1f W; no goal is set.", named, minimum,
			best.PowerW)
	case !best.Goal.Met:
		words = fmt.Sprintf("No candidate meets the goal; the nearest is %s: %s. %s", named,
			missing(best.Goal), outOfReach(s, g))
	default:
		words = fmt.Sprintf("The goal is met by %d of %d; best, by least power, %.1f W, and then the highest minimum, %s, "+
			"is %s", met, len(s.Candidates), best.PowerW, minimum, named)
		if len(misses) <= fewMisses {
			words = strings.Join(append([]string{words}, misses...), "; ")
		}
		words += "."
	}
	if unusable > 0 {
		words += fmt.Sprintf(" %d of %d cannot be built, such as: %s.", unusable, len(s.Candidates), obstacle)
	}
	return words
}

// outOfReach says how near all candidates together come to a goal that none meets, so that the next study can be wider.
func outOfReach(s *result.Study, g scene.Goal) string {
	high := result.Plane{Name: g.Plane.Name}
	for _, c := range s.Candidates {
		if c.Usable() && c.Goal.Plane == g.Plane.Name {
			high.Illuminance = higher(high.Illuminance, c.Illuminance)
			high.PPFD, high.DLI = higher(high.PPFD, c.PPFD), math.Max(high.DLI, c.DLI)
		}
	}
	lacks := missing(optics.Judge(g, &high, finding.Finding{}))
	switch lacks {
	case "":
		return "Each part of the goal is met by some candidate, but no candidate meets them all."
	case missing(s.Candidates[s.Best].Goal):
		return "No other candidate comes closer in any part of the goal that it misses."
	}
	return "The highest of all candidates: " + lacks + "."
}

// missing says what is not met of a goal.
func missing(g result.Goal) string { return finding.All(g.Missing()).Say(unit.Metric) }

// higher has the higher mean and the higher min/mean of both.
func higher(a, b result.Statistics) result.Statistics {
	return result.Statistics{Mean: math.Max(a.Mean, b.Mean), MinOverMean: math.Max(a.MinOverMean, b.MinOverMean)}
}
