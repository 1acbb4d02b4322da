package propose

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fathomlux/optics/search"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// mostLevel is mostOver by what is to be had.
func (s *seeker) mostLevel() float64 {
	least := math.Inf(1)
	for i := range s.built {
		b := &s.built[i]
		for _, k := range s.shapesOf(b) {
			if sh := &s.shapes[k]; s.level(b, sh) < least && s.margin(b, sh) >= sureShare &&
				s.within(b, b.money+s.opticMoney(b, sh.optic)) {
				least = s.level(b, sh)
			}
		}
	}
	if math.IsInf(least, 1) {
		least = 1
	}
	return mostOver * max(1, least)
}

// crowned lists picks that seem to meet the goal without going too far beyond, by a key, few of one kind.
func (s *seeker) crowned(key func(*build, *shape) float64) (out []entry) {
	list := s.eachBest(func(b *build, sh *shape) float64 {
		if s.margin(b, sh) < nearShare || s.level(b, sh) > s.lavish {
			return math.NaN()
		}
		return key(b, sh)
	})
	slices.SortStableFunc(list, func(x, y entry) int {
		a, b := &s.built[x.build], &s.built[y.build]
		return cmp.Or(cmp.Compare(math.Round(x.key*1e4), math.Round(y.key*1e4)), cmp.Compare(a.money, b.money),
			cmp.Compare(a.mainsW, b.mainsW))
	})
	taken := map[shape]int{}
	for _, e := range list {
		kind := s.shapes[e.shape]
		kind.tally, kind.spread = 0, 0
		if taken[kind]++; taken[kind] <= alike && len(out) < evenTried {
			out = append(out, e)
		}
	}
	return out
}

// spreadsOf lists the picks that differ from one only in how modules are spread, the best by a key.
func (s *seeker) spreadsOf(p pick, key func(*build, *shape) float64) (list []entry) {
	b, is := &s.built[p.build], s.shapes[p.shape]
	for _, k := range s.shapesOf(b) {
		if sh := &s.shapes[k]; sh.optic == is.optic && sh.hung == is.hung && s.margin(b, sh) >= nearShare &&
			s.level(b, sh) <= s.lavish {
			list = append(list, entry{pick: pick{p.build, k}, key: key(b, sh)})
		}
	}
	slices.SortStableFunc(list, func(a, b entry) int { return cmp.Compare(a.key, b.key) })
	return list[:min(len(list), spreadsTried)]
}

// highest computes all of a list, and of the best those that differ in how modules are spread; it takes the best of
// those of them that are the best by about what they are off, and meet all.
func (s *seeker) highest(ctx context.Context, m measure) error {
	var found []*Light
	var best pick
	try := func(list []entry) error {
		for _, e := range list {
			l, err := s.look(ctx, e.pick)
			if err != nil {
				return err
			}
			if l == nil || !s.meets(l) || slices.Contains(found, l) {
				continue
			}
			found = append(found, l)
			slices.SortStableFunc(found, func(a, b *Light) int { return cmp.Compare(m.of(a), m.of(b)) })
			if found[0] == l {
				best = e.pick
			}
		}
		return nil
	}
	if err := try(m.list()); err != nil || found == nil {
		return err
	}
	if err := try(s.spreadsOf(best, m.key)); err != nil {
		return err
	}
	var top *Light
	limit := m.of(found[0]) + offShare*math.Abs(m.of(found[0]))
	for _, l := range found[:min(len(found), finishedMost)] {
		if m.of(l) > limit && top != nil {
			break
		}
		l, err := s.finish(ctx, l)
		if err != nil {
			return err
		}
		if l != nil && (top == nil || m.of(l) < m.of(top)) {
			top = l
		}
	}
	if top != nil {
		s.take(m, top)
	}
	return nil
}

// offShare is by how much the dimmest place may be off where a light is computed with few histories, and finishedMost
// how many lights are computed in full for one word.
const (
	offShare     = 0.03
	finishedMost = 2
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
