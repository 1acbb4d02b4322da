package study

import (
	"math"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// samePower is the share by which powers may differ and still count as the same: working temperatures alone make
// candidates with the same modules and currents differ by some thousandths.
const samePower = 0.01

// ranked is a candidate with the goal that it is held against.
type ranked struct {
	goal      scene.Goal
	candidate result.Candidate
}

// lowest is the light of the darkest place, in the quantity that the goal counts.
func (r ranked) lowest() float64 { return r.candidate.Light(optics.Shown(r.goal)).Min }

// lowestPerW is that for a watt, 0 without power.
func (r ranked) lowestPerW() float64 {
	if r.candidate.PowerW <= 0 {
		return 0
	}
	return r.lowest() / r.candidate.PowerW
}

// bestOf returns the index of the candidate that serves best, the first of equals, -1 for none. One that can be used
// goes before one that cannot. Then one that meets the goal goes before one that does not: of those that meet it, among
// those with the least power, the one with the highest minimum, so that none is passed over that is brighter in mean
// and minimum alike; of the others the one that comes nearest. Without a goal the one with the highest minimum for a
// watt is best.
func bestOf(list []ranked) int {
	least := math.Inf(1)
	for _, r := range list {
		if r.candidate.Met && r.candidate.Usable() {
			least = math.Min(least, r.candidate.PowerW)
		}
	}
	best := -1
	for i := range list {
		if best < 0 || list[i].before(list[best], least*(1+samePower)) {
			best = i
		}
	}
	return best
}

// before tells whether r serves better than o; up to frugalW powers count as the least one.
func (r ranked) before(o ranked, frugalW float64) bool {
	a, b := r.candidate, o.candidate
	switch {
	case a.Usable() != b.Usable():
		return a.Usable()
	case !r.goal.Set() && !o.goal.Set():
		return r.lowestPerW() > o.lowestPerW()
	case a.Met != b.Met:
		return a.Met
	case !a.Met:
		return optics.Shortfall(r.goal, a) < optics.Shortfall(o.goal, b)
	case (a.PowerW <= frugalW) != (b.PowerW <= frugalW):
		return a.PowerW <= frugalW
	case a.PowerW > frugalW && a.PowerW != b.PowerW:
		return a.PowerW < b.PowerW
	}
	return r.lowest() > o.lowest()
}
