package propose

import (
	"cmp"
	"math"
	"slices"

	"fathomlux/optics/search"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// kind is a build with an optic, by index.
type kind struct{ build, optic int }

// dots are the lights of the picture, by rising money: all that were computed and meet the goal, and of each build with
// each optic of which none was computed the most even one that seems to have the goal's mean.
func (s *seeker) dots() {
	known := map[kind]bool{}
	for p, l := range s.costs {
		k := kind{p.build, s.shapes[p.shape].optic}
		known[k] = known[k] || l == nil || l.Candidate.Done
	}
	for _, l := range s.computed() {
		if l.Money.Currency != "" {
			s.out.Dots = append(s.out.Dots, Dot{Money: l.Money.Amount, Even: l.Counted().MinOverMean})
		}
	}
	for _, e := range s.all {
		b := &s.built[e.build]
		k, best := kind{e.build, s.shapes[e.shape].optic}, 0.0
		if known[k] {
			continue
		}
		known[k] = true
		for _, i := range s.shapesOf(b) {
			if sh := &s.shapes[i]; sh.optic == k.optic && s.level(b, sh) >= 1 {
				best = max(best, s.even(sh))
			}
		}
		if m := s.money(e); best > 0 && !math.IsNaN(m) {
			s.out.Dots = append(s.out.Dots, Dot{m, best, true})
		}
	}
	slices.SortFunc(s.out.Dots, func(a, b Dot) int {
		return cmp.Or(cmp.Compare(a.Money, b.Money), cmp.Compare(a.Even, b.Even))
	})
}

// front finds the frontier of money and uniformity, of what was computed alone: an estimate may fall.
func (s *seeker) front() {
	var all []Dot
	var saved, even []float64
	for _, d := range s.out.Dots {
		if !d.Estimate {
			all, saved, even = append(all, d), append(saved, -d.Money), append(even, d.Even)
		}
	}
	for _, i := range slices.Backward(search.Frontier(saved, even)) {
		s.out.Front = append(s.out.Front, all[i])
	}
}

// dry finds what the cheapest light would cost with drivers up to the limit for dry places.
func (s *seeker) dry() {
	if s.options.VoltsAtMost >= circuit.DryTouchV || s.currency == "" {
		return
	}
	other := *s
	other.options.VoltsAtMost, other.fed, other.costs = circuit.DryTouchV, nil, map[pick]*Light{}
	for i := range other.modules {
		other.fed = append(other.fed, other.feeds(i)...)
	}
	other.built = other.builds()
	other.all = other.entries()
	money := func(of *seeker) parts.Money {
		if v := of.least(Cheapest); !math.IsInf(v, 1) {
			return parts.Money{Amount: v, Currency: s.currency}
		}
		return parts.Money{}
	}
	s.out.AtLimit, s.out.AtDryTouch = money(s), money(&other)
}
