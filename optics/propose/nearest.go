package propose

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// nearest finds what comes nearest to the goal within all limits, or where nothing keeps them what breaks those of
// money and power least, and which limit keeps a light from meeting all.
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
		if lacks := s.lacks(l); s.out.Nearest == nil || lacks < least {
			s.out.Nearest, least = l, lacks
		}
	}
	if s.out.Nearest == nil {
		if err := s.beyond(ctx); err != nil {
			return err
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

// lacks is how much a light lacks of the goal and of the evenness asked for, each as a share, summed.
func (s *seeker) lacks(l *Light) float64 {
	_, lacks := l.Candidate.Goal.Shortfall()
	if s.options.EvenAtLeast > 0 {
		lacks += max(0, 1-l.Counted().MinOverMean/s.options.EvenAtLeast)
	}
	return lacks
}

// beyond takes the cheapest light, or the one of least power, though it breaks the limit.
func (s *seeker) beyond(ctx context.Context) error {
	c, word := s.freed(Options{}), Cheapest
	if s.options.Budget == 0 {
		word = LeastPower
	}
	if err := c.lowest(ctx, c.measures(c.all)[word]); err != nil || len(c.out.Lights) == 0 {
		return err
	}
	s.out.Nearest = c.out.Lights[0]
	s.out.Nearest.Words = nil
	return nil
}

// freed is the same search with other limits of money and power, which keeps nothing of this one.
func (s *seeker) freed(limits Options) *seeker {
	c := *s
	c.options.Budget, c.options.WattsAtMost, c.options.First = limits.Budget, limits.WattsAtMost, nil
	c.costs, c.out = map[pick]*Light{}, &Found{}
	c.all = c.entries()
	return &c
}

// looser finds, for each limit, to what it must be loosened so that all others are met, the least loosening first.
func (s *seeker) looser() {
	o, a := s.options, s.asked[s.modules[0].Spectrum][0]
	try := func(limit string, now, need float64) {
		if now > 0 && !math.IsInf(need, 0) && !math.IsNaN(need) && need > 0 {
			s.out.Looser = append(s.out.Looser, Looser{limit, now, need})
		}
	}
	if o.Budget > 0 {
		try("--budget", o.Budget, s.freed(Options{WattsAtMost: o.WattsAtMost}).least(Cheapest))
	}
	if o.WattsAtMost > 0 {
		try("--watts-at-most", o.WattsAtMost, s.freed(Options{Budget: o.Budget}).least(LeastPower))
	}
	name := "the goal's uniformity"
	if a.even = max(a.even, o.EvenAtLeast); a.even > s.scene.Goal.Uniformity {
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

// least is the least that what seems to meet the goal takes; infinite where nothing does.
func (s *seeker) least(w Word) float64 {
	m, low := s.measures(s.all)[w], math.Inf(1)
	list := m.list()
	for _, e := range list[:min(len(list), triedMost)] {
		if l := s.cost(e.pick); l != nil && e.margin >= 1 {
			low = min(low, m.of(l))
		}
	}
	return low
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
