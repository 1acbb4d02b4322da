// Package study tries many scenes and chooses among them: it sweeps over ranges of variables, arranges modules on their
// rails and compares scenes, all by the light on the plane of the goal. SI units; light in lx and umol/m2/s. Next:
// package optics for the light of one scene, package optics/search for the choice.
package study

import (
	"math"
	"slices"

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
// comes nearest and that none outdoes. Without a goal the one with the highest minimum for a watt is best.
func bestOf(list []result.Candidate) int {
	least, best := math.Inf(1), -1
	for _, c := range list {
		if c.Goal.Met {
			least = math.Min(least, c.PowerW)
		}
	}
	for i := range list {
		if list[i].Usable() && (best < 0 || better(&list[i], &list[best], least*(1+samePower))) && outdoneBy(list, i) < 0 {
			best = i
		}
	}
	return best
}

// outdoneBy returns the candidate that outdoes one which misses its goal, -1 for none: at no more power it is brighter
// in mean and minimum, nowhere brighter than it may be, and spills half as much at most.
func outdoneBy(list []result.Candidate, i int) int {
	c := &list[i]
	if c.Goal.Met || !c.Goal.Asked {
		return -1
	}
	light, most := c.Light(c.Goal.Shown), func(m result.Miss) bool { return m.Most }
	for k := range list { // candidates are large, and each may be held against all
		o := &list[k]
		if o.PowerW > c.PowerW*(1+samePower) || 2*o.SpillLm >= c.SpillLm {
			continue
		}
		by := o.Light(c.Goal.Shown)
		if by.Mean > light.Mean && by.Min > light.Min && o.Usable() && !slices.ContainsFunc(o.Goal.Misses, most) {
			return k
		}
	}
	return -1
}

// nearer names the candidates that come nearer to the goal than the best, but are outdone.
func nearer(s *result.Study) (rest finding.Then) {
	best := &s.Candidates[s.Best]
	_, missing := best.Goal.Shortfall()
	for i, c := range s.Candidates {
		if _, less := c.Goal.Shortfall(); less >= missing || !c.Usable() {
			continue
		}
		if by := outdoneBy(s.Candidates, i); by >= 0 {
			rest = append(rest, finding.NearerOutdone.Of(finding.Text(c.Name), finding.Text(s.Candidates[by].Name)))
		}
	}
	return rest
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
func verdict(s *result.Study, g scene.Goal) finding.Finding {
	met, unusable, obstacle := 0, 0, finding.NoneComputed.Of()
	var rest finding.Then
	for i, c := range s.Candidates {
		switch {
		case c.Goal.Met:
			met++
		case c.Usable() && i != s.Best && len(rest) <= fewMisses:
			lacks := finding.All(c.Goal.Missing())
			if len(lacks) == 0 {
				lacks = finding.All{finding.GoalUnset.Of()}
			}
			rest = append(rest, finding.LacksOf.Of(finding.Text(c.Name), lacks))
		case c.Reached() && !c.Usable():
			if unusable++; unusable == 1 {
				obstacle = c.WhyNot()
			}
		}
	}
	if s.Best < 0 {
		return finding.NoneBuildable.Of(obstacle)
	}
	best, total := &s.Candidates[s.Best], finding.Count{N: len(s.Candidates)}
	light := best.Light(s.Shown)
	gets := finding.CandidateGets.Of(finding.Text(best.Name), optics.Mean(s.Shown, g, light), optics.Uniformity(g, light))
	switch {
	case !best.Goal.Met && g.Set():
		gets = finding.LacksOf.Of(gets, finding.All(best.Goal.Missing()))
		rest = finding.Then{outOfReach(s, g)}
	case !best.Goal.Met || len(rest) > fewMisses:
		rest = nil
	}
	if unusable > 0 {
		rest = append(rest, finding.SomeUnbuilt.Of(finding.Count{N: unusable}, total, obstacle))
	}
	lowest, power := s.Shown.Value(light.Min), finding.Watts(best.PowerW)
	switch {
	case !g.Set():
		return finding.BestPerWatt.Of(gets, lowest, power, rest)
	case !best.Goal.Met:
		rest = append(nearer(s), rest...)
		return finding.GoalMetByNone.Of(gets, rest)
	}
	return finding.GoalMetBy.Of(finding.Count{N: met}, total, power, lowest, gets, rest)
}

// outOfReach says how near all candidates together come to a goal that none meets, so that the next study can be wider.
func outOfReach(s *result.Study, g scene.Goal) finding.Finding {
	best := s.Candidates[s.Best].Goal
	same := func(a, b result.Miss) bool { return a.Part == b.Part && a.What == b.What && a.Most == b.Most }
	nearest := result.Goal{Misses: slices.Clone(best.Misses)}
	for _, c := range s.Candidates {
		if !c.Usable() || !slices.EqualFunc(c.Goal.Parts, best.Parts, result.GoalPart.SamePlace) {
			continue
		}
		misses := optics.Judge(g, c.Goal.Lights(), best.Maintenance, finding.Finding{}).Misses
		nearest.Misses = slices.DeleteFunc(nearest.Misses, func(m result.Miss) bool {
			return !slices.ContainsFunc(misses, func(o result.Miss) bool { return same(m, o) })
		})
		for i, m := range nearest.Misses {
			for _, o := range misses {
				if same(m, o) && o.MissedBy() < m.MissedBy() {
					nearest.Misses[i] = o
				}
			}
		}
	}
	switch {
	case len(nearest.Misses) == 0:
		return finding.GoalMetInParts.Of()
	case slices.EqualFunc(nearest.Misses, best.Misses, func(a, b result.Miss) bool {
		return same(a, b) && a.Say(unit.Metric) == b.Say(unit.Metric) // as they are read
	}):
		return finding.NoneCloser.Of()
	}
	return finding.HighestOfAll.Of(finding.All(nearest.Missing()))
}
