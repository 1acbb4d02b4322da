package propose

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"
)

// Light at a first look may be off by so much; a light that seems to miss the goal by less is tried.
const nearShare = 0.97

// mostOver is how far the mean of the most even and of the brightest light may be above what is asked or, where no
// light has so little, above that of the dimmest one: more light than anybody wants makes both better without end.
const mostOver = 1.5

// How many are costed and computed at most for one word.
const (
	costedMost   = 160
	triedMost    = 24
	evenTried    = 10
	alike        = 2 // of one kind among the most even and the brightest
	spreadsTried = 3 // of the best of these
)

// bucket is what a shape and a build must have in common.
type bucket struct{ bars, form, count int }

// pick is one build with one shape, by index.
type pick struct{ build, shape int }

// entry is a pick with what it is ranked by, the lowest first.
type entry struct {
	pick
	margin float64 // least share of what the goal asks, 1 where it is just met
	key    float64
	low    float64 // the dimmest place; 0 for the pick of a build and an optic that is only the surest
}

func (s *seeker) shapesOf(b *build) []int {
	return s.bucket[bucket{b.bars, s.formOf[b.module], b.perBar()}]
}

// opticMoney is what the optics of a build cost, as a bill counts them.
func (s *seeker) opticMoney(b *build, optic int) float64 {
	o := s.optics[optic]
	if o.Efficiency == 1 && o.Price.Currency == "" { // no lens
		return 0
	}
	return s.price(o.Price) * withSpares(b.all())
}

// within tells whether a build keeps the limits of money and power, at a first look.
func (s *seeker) within(b *build, money float64) bool {
	o := s.options
	return (o.Budget == 0 || !(money > o.Budget)) && (o.WattsAtMost == 0 || b.mainsW <= o.WattsAtMost*1.01)
}

// sureShare is the margin from which a light at a first look is taken to meet the goal for sure.
const sureShare = 1.01

// entries lists, of each build with each optic, the shape with the largest margin, and before it the one with the
// brightest dimmest place among those that surely meet the goal: it takes no more money and power.
func (s *seeker) entries() (list []entry) {
	for i := range s.built {
		b := &s.built[i]
		sure, bright := make([]entry, len(s.optics)), make([]entry, len(s.optics))
		for _, k := range s.shapesOf(b) {
			sh := &s.shapes[k]
			one := entry{pick: pick{i, k}, margin: s.margin(b, sh)}
			if e := &sure[sh.optic]; one.margin > e.margin {
				*e = one
			}
			one.low = s.tally(sh, 0).low * b.lumens
			if e := &bright[sh.optic]; one.margin >= sureShare && one.low > e.low {
				*e = one
			}
		}
		for o, e := range sure {
			if e.margin == 0 || !s.within(b, b.money+s.opticMoney(b, o)) {
				continue
			}
			if bright[o].low > 0 && bright[o].shape != e.shape {
				list = append(list, bright[o])
			}
			list = append(list, e)
		}
	}
	return list
}

// eachBest lists, of each build within the limits with each optic, the shape of the lowest key, of like ones that
// with the brightest dimmest place; none of which the key is no number.
func (s *seeker) eachBest(key func(*build, *shape) float64) (list []entry) {
	for i := range s.built {
		b := &s.built[i]
		best := slices.Repeat([]entry{{key: math.Inf(1)}}, len(s.optics))
		for _, k := range s.shapesOf(b) {
			sh := &s.shapes[k]
			e := entry{pick: pick{i, k}, key: key(b, sh), low: s.tally(sh, 0).low * b.lumens}
			if o := &best[sh.optic]; e.key < o.key || e.key == o.key && e.low > o.low {
				*o = e
			}
		}
		for o, e := range best {
			if e.key < math.Inf(1) && s.within(b, b.money+s.opticMoney(b, o)) {
				list = append(list, e)
			}
		}
	}
	return list
}

// combinations is how many lights were looked at.
func (s *seeker) combinations() (n int) {
	for i := range s.built {
		n += len(s.shapesOf(&s.built[i]))
	}
	return n
}

// keyed returns those entries that seem to meet the goal, ranked by a key.
func keyed(list []entry, key func(entry) float64) (out []entry) {
	for _, e := range list {
		if e.key = key(e); e.margin >= nearShare && !math.IsNaN(e.key) {
			out = append(out, e)
		}
	}
	rank(out)
	return out
}

// rank sorts entries by their keys, the lowest first, and those whose keys are about the same by their dimmest places
// and margins.
func rank(list []entry) {
	low := math.Inf(1)
	for _, e := range list {
		low = min(low, e.key)
	}
	step := steps(list, sameShare*low, func(e entry) float64 { return e.key })
	slices.SortStableFunc(list, func(a, b entry) int {
		return cmp.Or(cmp.Compare(step(a), step(b)), cmp.Compare(b.low, a.low), cmp.Compare(b.margin, a.margin))
	})
}

// measure is what a word counts, the lowest the best, the picks that may be the best of it and, where these come from
// all shapes, by what they are ranked.
type measure struct {
	word Word
	of   func(*Light) float64
	list func() []entry
	key  func(*build, *shape) float64
}

// measures are those of all words; of those that are costed the list comes from all entries.
func (s *seeker) measures(all []entry) [words]measure {
	five := func(e entry) float64 { return s.money(e) + Years*s.yearly()*s.mains(e) }
	least := func(key func(entry) float64) func() []entry { return func() []entry { return keyed(all, key) } }
	even := func(_ *build, sh *shape) float64 { return -s.even(sh) }
	low := func(b *build, sh *shape) float64 {
		return -s.tally(sh, 0).low * b.lumens * s.asked[s.modules[b.module].Spectrum][0].ratio
	}
	return [words]measure{
		Cheapest:   {Cheapest, func(l *Light) float64 { return amount(l.Money) }, least(s.money), nil},
		LeastPower: {LeastPower, func(l *Light) float64 { return l.MainsW }, least(s.mains), nil},
		MostEven: {MostEven, func(l *Light) float64 { return -l.Counted().MinOverMean },
			func() []entry { return s.crowned(even) }, even},
		Brightest: {Brightest, func(l *Light) float64 { return -l.Counted().Min },
			func() []entry { return s.crowned(low) }, low},
		FiveYears: {FiveYears, func(l *Light) float64 { m, _ := l.FiveYears(); return amount(m) }, least(five), nil},
	}
}

// money and mains are what an entry costs and takes, at a first look.
func (s *seeker) money(e entry) float64 {
	return s.built[e.build].money + s.opticMoney(&s.built[e.build], s.shapes[e.shape].optic)
}

func (s *seeker) mains(e entry) float64 { return s.built[e.build].mainsW }

// yearly is what a watt costs in a year, in the currency of the search; 0 where that is not known.
func (s *seeker) yearly() float64 {
	w := s.scene.Wiring
	if w.TariffPerKWh.Currency != s.currency {
		return 0
	}
	return w.HoursPerDay / 1000 * 365 * w.TariffPerKWh.Amount
}

// choose finds the best of each word.
func (s *seeker) choose(ctx context.Context) error {
	all := s.entries()
	s.all = all
	s.lavish = s.mostLevel()
	soon := s.out.Lights
	s.out.Lights = nil
	for _, l := range soon {
		l.Words = nil
	}
	for _, m := range s.measures(all) {
		find := s.lowest
		switch {
		case m.word == MostEven || m.word == Brightest:
			find = s.highest
		case m.word == Cheapest && s.currency == "":
			s.out.Unjudged = append(s.out.Unjudged, Unjudged{m.word, "no module has a price"})
			continue
		case m.word == FiveYears && s.yearly() == 0:
			s.out.Unjudged = append(s.out.Unjudged, Unjudged{m.word, "give wiring: {hours: 9 h, tariff: 0.28 " +
				cmp.Or(s.currency, "EUR") + "/kWh}"})
			continue
		}
		if err := find(ctx, m); err != nil {
			if len(s.out.Lights) == 0 { // what was found on the way
				s.out.Lights = soon
			}
			return err
		}
	}
	if len(s.out.Lights) == 0 {
		if err := s.nearest(ctx); err != nil || len(s.out.Lights) == 0 {
			return err
		}
	}
	if err := s.settle(ctx, s.measures(all)); err != nil {
		return err
	}
	s.dry()
	return nil
}

// settle gives each word to the best of all lights that were computed, whichever word they were computed for.
func (s *seeker) settle(ctx context.Context, measures [words]measure) (failed error) {
	held := make([]*Light, words)
	for _, l := range s.out.Lights {
		for _, w := range l.Words {
			held[w] = l
		}
		l.Words = nil
	}
	s.out.Lights = nil
	all := s.computed()
	for w, best := range held {
		if best == nil {
			continue
		}
		m := measures[w]
		slices.SortStableFunc(all, func(a, b *Light) int { return cmp.Compare(m.of(a), m.of(b)) })
		for _, l := range all {
			if !(m.of(l) < m.of(best)-sameShare*math.Abs(m.of(best))) {
				break
			}
			if (m.word == MostEven || m.word == Brightest) && l.level > s.lavish {
				continue
			}
			done, err := s.finish(ctx, l)
			if failed = cmp.Or(failed, err); failed != nil {
				break
			}
			if done != nil && m.of(done) < m.of(best) {
				best = done
				break
			}
		}
		if best.Words = append(best.Words, m.word); len(best.Words) == 1 {
			s.out.Lights = append(s.out.Lights, best)
		}
	}
	return failed
}

// computed lists the lights that were computed and meet all, in the order of their picks.
func (s *seeker) computed() (list []*Light) {
	picks := slices.SortedFunc(maps.Keys(s.costs), func(a, b pick) int {
		return cmp.Or(cmp.Compare(a.build, b.build), cmp.Compare(a.shape, b.shape))
	})
	for _, p := range picks {
		if l := s.costs[p]; l != nil && s.meets(l) {
			list = append(list, l)
		}
	}
	return list
}

// lowest takes, by what it really takes, the first light that meets all.
func (s *seeker) lowest(ctx context.Context, m measure) error {
	var costed []entry
	list := m.list()
	list = list[:min(len(list), costedMost)]
	if err := s.costAll(ctx, list); err != nil {
		return err
	}
	for _, e := range list {
		if l := s.cost(e.pick); l != nil && !math.IsInf(m.of(l), 0) {
			e.key = m.of(l)
			costed = append(costed, e)
		}
	}
	rank(costed)
	for _, e := range costed[:min(len(costed), triedMost)] {
		l, err := s.verify(ctx, e.pick)
		if err != nil {
			return err
		}
		if l != nil {
			s.take(m, l)
			return nil
		}
	}
	return nil
}

// sameShare is by how much measures may differ that count as the same.
const sameShare = 0.005

// take gives a light a word; where one that has another word is as good by what the word counts, that one gets it.
func (s *seeker) take(m measure, l *Light) {
	for _, o := range s.out.Lights {
		if m.of(o) <= m.of(l)+sameShare*math.Abs(m.of(l)) {
			l = o
			break
		}
	}
	l.Words = append(l.Words, m.word)
	if !slices.Contains(s.out.Lights, l) {
		s.out.Lights = append(s.out.Lights, l)
	}
	if s.options.First != nil {
		s.options.First(l)
		s.options.First = nil
	}
}
