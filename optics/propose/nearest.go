package propose

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fathomlux/optics"
)

// sameLack is how far the sums by which lights miss a goal may differ that count as the same; see nearest.
const sameLack = 0.02

// nearest finds the light within all limits that misses the goal by the least: by the sum of what each figure lacks,
// or has too much, as a share of what is asked. Of those whose sums differ by less than sameLack it is the one that
// misses the fewest figures, and of these the cheapest, or where the search knows no money or has a limit of power
// alone, the one of least power. Where no light can be built within the limits, it is the nearest without those of
// money and power. It also finds which limit keeps a light from meeting all.
func (s *seeker) nearest(ctx context.Context) error {
	word := Cheapest
	if s.currency == "" || s.options.Budget == 0 && s.options.WattsAtMost > 0 {
		word = LeastPower
	}
	if err := s.seekNearest(ctx, word); err != nil || len(s.out.Lights) > 0 {
		return err
	}
	if s.out.Nearest == nil && (s.options.Budget > 0 || s.options.WattsAtMost > 0) {
		c := s.freed(Options{})
		if err := c.seekNearest(ctx, word); err != nil {
			return err
		}
		if s.out.Nearest = c.out.Nearest; len(c.out.Lights) > 0 {
			s.out.Nearest = c.out.Lights[0]
			s.out.Nearest.Words = nil
		}
	}
	s.looser()
	return nil
}

// seekNearest finds the nearest light within the limits, if any can be built. One that meets the goal after all gets
// the word of what lights are ranked by.
func (s *seeker) seekNearest(ctx context.Context, word Word) error {
	m := s.measures(nil)[word]
	found, err := s.lookNearby(ctx, m)
	if err != nil {
		return err
	}
	s.rankNearest(found, m)
	var written []*Light
	for _, l := range found {
		done, err := s.finish(ctx, l)
		switch {
		case err != nil:
			return err
		case done != nil:
			s.take(m, done)
			return nil
		case !l.unfit && len(l.Map.Planes) > 0:
			written = append(written, l)
		}
		if len(written) == finishedMost {
			break
		}
	}
	if s.rankNearest(written, m); len(written) > 0 {
		s.out.Nearest = written[0]
	}
	return nil
}

// lookNearby computes what may be the nearest light, on middling cells.
func (s *seeker) lookNearby(ctx context.Context, m measure) (found []*Light, err error) {
	list := s.eachBest(s.surelyLacks)
	step := steps(list, sameLack, func(e entry) float64 { return e.key })
	about := s.money
	if m.word == LeastPower {
		about = s.mains
	}
	slices.SortStableFunc(list, func(a, b entry) int {
		return cmp.Or(cmp.Compare(step(a), step(b)), cmp.Compare(orEnd(about(a)), orEnd(about(b))), cmp.Compare(b.low, a.low))
	})
	for len(list) > 0 && len(found) == 0 {
		some := list[:min(len(list), costedMost)]
		list = list[len(some):]
		if err := s.costAll(ctx, some); err != nil {
			return nil, err
		}
		for _, e := range some {
			l, err := s.look(ctx, e.pick)
			if err != nil {
				return nil, err
			}
			if l != nil {
				found = append(found, l)
			}
			if len(found) == triedMost {
				break
			}
		}
	}
	return found, nil
}

// rankNearest sorts lights that were looked at by the order of nearest.
func (s *seeker) rankNearest(list []*Light, m measure) {
	step := steps(list, sameLack, func(l *Light) float64 { _, sum := s.missed(l); return sum })
	slices.SortStableFunc(list, func(a, b *Light) int {
		few, _ := s.missed(a)
		more, _ := s.missed(b)
		return cmp.Or(cmp.Compare(step(a), step(b)), cmp.Compare(few, more), cmp.Compare(m.of(a), m.of(b)))
	})
}

// steps tells of each of a list how many steps its key is above the lowest.
func steps[T any](list []T, step float64, key func(T) float64) func(T) float64 {
	low := math.Inf(1)
	for _, one := range list {
		low = min(low, key(one))
	}
	return func(one T) float64 { return math.Floor((key(one) - low) / step) }
}

// surelyLacks is about what a build with a shape lacks of the goal and a little more, as missed counts it.
func (s *seeker) surelyLacks(b *build, sh *shape) (sum float64) {
	for i, a := range s.asked[s.modules[b.module].Spectrum] {
		sum += a.lacks(s.tally(sh, i), b.lumens)
	}
	if s.options.EvenAtLeast > 0 {
		sum += max(0, 1-s.even(sh)/(sureShare*s.options.EvenAtLeast))
	}
	return sum
}

// missed tells how many figures of the goal, and of the evenness asked for, a light misses, and by how much: each as a
// share of what is asked, summed.
func (s *seeker) missed(l *Light) (figures int, sum float64) {
	_, sum = l.Candidate.Goal.Shortfall()
	figures = len(l.Candidate.Goal.Misses)
	if even := l.Counted().MinOverMean; even < s.options.EvenAtLeast {
		figures, sum = figures+1, sum+1-even/s.options.EvenAtLeast
	}
	return figures, sum
}

// freed is the same search with other limits of money and power, which keeps nothing of this one.
func (s *seeker) freed(limits Options) *seeker {
	c := *s
	c.options.Budget, c.options.WattsAtMost, c.options.First = limits.Budget, limits.WattsAtMost, nil
	c.costs, c.out = map[pick]*Light{}, &Found{}
	c.all = c.entries()
	return &c
}

// asking is the same search with something else asked of each part of the goal.
func (s *seeker) asking(change func(part int, b *bounds)) *seeker {
	c := *s
	c.asked = map[string][]bounds{}
	for spectrum, list := range s.asked {
		list = slices.Clone(list)
		for i := range list {
			change(i, &list[i])
		}
		c.asked[spectrum] = list
	}
	return &c
}

// looser finds, for each limit, to what it must be loosened so that all others are met, the least loosening first.
func (s *seeker) looser() {
	o, a := s.options, s.asked[s.modules[0].Spectrum][0]
	try := func(l Looser) {
		if l.Now > 0 && l.Need > 0 && !math.IsInf(l.Need, 0) {
			s.out.Looser = append(s.out.Looser, l)
		}
	}
	if o.Budget > 0 {
		try(Looser{"--budget", s.currency, o.Budget, s.freed(Options{WattsAtMost: o.WattsAtMost}).least(Cheapest)})
	}
	if o.WattsAtMost > 0 {
		try(Looser{"--watts-at-most", "W", o.WattsAtMost, s.freed(Options{Budget: o.Budget}).least(LeastPower)})
	}
	less := func(l Looser) {
		if l.Need < l.Now {
			try(l)
		}
	}
	uneven := s.asking(func(part int, b *bounds) {
		if part == 0 {
			b.even = 0
		}
	})
	uneven.options.EvenAtLeast = 0
	name := "the goal's uniformity"
	if o.EvenAtLeast > a.even {
		name = "--even-at-least"
	}
	mostEven := uneven.most(func(_ *build, sh *shape) float64 { return s.even(sh) })
	less(Looser{name, "", max(a.even, o.EvenAtLeast), mostEven})
	dim := s.asking(func(part int, b *bounds) {
		if part == 0 {
			b.least = 0
		}
	})
	less(Looser{"the goal's mean", optics.Shown(s.scene.Goal).Unit(), a.least, a.least * dim.most(s.level)})
	for i, part := range s.scene.Goal.Parts() {
		try(Looser{"the goal's colour", "K", part.ColourK, s.nearestColour(i)})
	}
	slices.SortStableFunc(s.out.Looser, func(x, y Looser) int { return cmp.Compare(x.share(), y.share()) })
}

// nearestColour is the colour temperature nearest to that which a part of the goal asks for, of light that meets all
// else and misses this; 0 where there is none.
func (s *seeker) nearestColour(part int) float64 {
	share := s.asking(func(i int, b *bounds) {
		if i == part {
			b.colour = 1
		}
	}).most(func(b *build, _ *shape) float64 { return s.asked[s.modules[b.module].Spectrum][part].colour })
	for _, m := range s.modules {
		if b := s.asked[m.Spectrum][part]; share < 1 && b.colour == share {
			return b.kelvin
		}
	}
	return 0
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

// most is the most that any light which seems to meet the goal within the limits of money and power has of something.
func (s *seeker) most(of func(*build, *shape) float64) (high float64) {
	for i := range s.built {
		b := &s.built[i]
		for _, k := range s.shapesOf(b) {
			if sh := &s.shapes[k]; s.margin(b, sh) >= 1 && s.within(b, b.money+s.opticMoney(b, sh.optic)) {
				high = max(high, of(b, sh))
			}
		}
	}
	return high
}

// share is by how much a limit must be loosened.
func (l Looser) share() float64 { return max(l.Need/l.Now, l.Now/l.Need) }
