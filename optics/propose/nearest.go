package propose

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// nearest finds what comes nearest to the goal within all limits, and which limit keeps a light from meeting it.
func (s *seeker) nearest(ctx context.Context, all []entry) error {
	slices.SortStableFunc(all, func(a, b entry) int { return cmp.Compare(b.margin, a.margin) })
	least := math.Inf(1)
	for _, e := range all[:min(len(all), evenTried)] {
		l, err := s.look(ctx, e.pick)
		if err != nil {
			return err
		}
		if l == nil {
			continue
		}
		if _, lacks := l.Candidate.Goal.Shortfall(); s.out.Nearest == nil || lacks < least {
			s.out.Nearest, least = l, lacks
		}
	}
	if s.out.Nearest != nil && s.out.Nearest.Map == nil {
		if err := s.write(ctx, s.out.Nearest); err != nil {
			return err
		}
	}
	s.looser()
	return nil
}

// looser finds, for each limit, to what it must be loosened so that all others are met, the least loosening first.
func (s *seeker) looser() {
	o, a := s.options, s.asked[s.modules[0].Spectrum][0]
	try := func(limit string, now, need float64) {
		if now > 0 && !math.IsInf(need, 0) && !math.IsNaN(need) && need > 0 {
			s.out.Looser = append(s.out.Looser, Looser{limit, now, need})
		}
	}
	try("--budget", o.Budget, s.least(Options{WattsAtMost: o.WattsAtMost}, s.money))
	try("--watts-at-most", o.WattsAtMost, s.least(Options{Budget: o.Budget}, s.mains))
	name := "goal.uniformity"
	if o.EvenAtLeast > s.scene.Goal.Uniformity {
		name = "--even-at-least"
	}
	if a.even > 1e-6 {
		try(name, a.even, s.most(func(b *build, sh *shape) float64 {
			if s.level(b, sh) < 1 {
				return 0
			}
			return s.even(sh)
		}))
	}
	try("the goal's mean", a.least, a.least*s.most(func(b *build, sh *shape) float64 {
		if a.even > 1e-6 && s.even(sh) < a.even {
			return 0
		}
		return s.level(b, sh)
	}))
	slices.SortStableFunc(s.out.Looser, func(x, y Looser) int { return cmp.Compare(x.share(), y.share()) })
}

// least is the least that meets the goal takes, within other limits of money and power; infinite where nothing does.
func (s *seeker) least(limits Options, of func(entry) float64) float64 {
	c := *s
	c.options.Budget, c.options.WattsAtMost = limits.Budget, limits.WattsAtMost
	if list := keyed(c.entries(), of); len(list) > 0 {
		return list[0].key
	}
	return math.Inf(1)
}

// most is the most that any light within the limits of money and power has of something.
func (s *seeker) most(of func(*build, *shape) float64) (high float64) {
	for i := range s.built {
		b := &s.built[i]
		for _, k := range s.shapesOf(b) {
			if sh := &s.shapes[k]; s.within(b, b.money+s.opticMoney(b, sh.optic)) {
				high = max(high, of(b, sh))
			}
		}
	}
	return high
}

// share is by how much a limit must be loosened.
func (l Looser) share() float64 { return max(l.Need/l.Now, l.Now/l.Need) }
