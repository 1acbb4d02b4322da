package propose

import (
	"math"
	"slices"

	"fathomlux/optics/search"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// dots are the lights of the picture: of each build with each optic the most even one that meets the mean.
func (s *seeker) dots(all []entry) {
	for _, e := range all {
		b := &s.built[e.build]
		best := 0.0
		for _, k := range s.shapesOf(b) {
			if sh := &s.shapes[k]; sh.optic == s.shapes[e.shape].optic && s.level(b, sh) >= 1 {
				best = max(best, s.even(sh))
			}
		}
		if m := b.money + s.opticMoney(b, s.shapes[e.shape].optic); best > 0 && !math.IsNaN(m) {
			s.out.Dots = append(s.out.Dots, Dot{m, best})
		}
	}
}

// front finds the frontier of money and uniformity. Dots are as even as coarse cells make them; all are taken down, or
// up, as the most even light is by what it really gives.
func (s *seeker) front() {
	for _, l := range s.out.Lights {
		if share := l.Counted().MinOverMean / l.firstEven; slices.Contains(l.Words, MostEven) && l.firstEven > 0 {
			for i := range s.out.Dots {
				s.out.Dots[i].Even = min(1, s.out.Dots[i].Even*share)
			}
		}
	}
	all := slices.Clone(s.out.Dots)
	for _, l := range s.out.Lights {
		if l.Money.Currency != "" {
			all = append(all, Dot{l.Money.Amount, l.Counted().MinOverMean})
		}
	}
	saved, even := make([]float64, len(all)), make([]float64, len(all))
	for i, d := range all {
		saved[i], even[i] = -d.Money, d.Even
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
	for _, c := range []struct {
		of *seeker
		to *parts.Money
	}{{s, &s.out.AtLimit}, {&other, &s.out.AtDryTouch}} {
		list := c.of.measures(c.of.entries())[Cheapest].list()
		for _, e := range list[:min(len(list), triedMost)] {
			if l := c.of.cost(e.pick); l != nil && e.margin >= 1 && amount(l.Money) < amount(*c.to) {
				*c.to = l.Money
			}
		}
	}
}
