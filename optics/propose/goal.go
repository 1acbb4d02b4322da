package propose

import (
	"math"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
)

// tally is what counts of the light on one part of the goal.
type tally struct{ mean, low, high float64 }

func (t tally) even() float64 {
	if t.mean == 0 {
		return 0
	}
	return t.low / t.mean
}

// bounds are what one part of the goal asks, of light of one spectrum: by how much a lumen of it counts against one of
// the first look, and within what the tally must be; 0 and infinite for no limit.
type bounds struct {
	ratio, even     float64
	least, most     float64 // of the mean
	lowest, highest float64 // of the dimmest and the brightest place
}

// boundsOf finds what a part of the goal asks by judging light of every level.
func (s *seeker) boundsOf(part scene.Goal, ratio, luxPerPPFD float64) bounds {
	const most = 1e9
	meets := func(mean, low, high, even float64) bool {
		shown := optics.Shown(s.scene.Goal)
		light := result.Statistics{Mean: mean, Min: low, Max: high, MinOverMean: even, MinOverMax: 1}
		lux, photons := light, light.Scaled(1/luxPerPPFD)
		if shown == result.PPFD {
			lux, photons = light.Scaled(luxPerPPFD), light
		}
		lux.MinOverMean, photons.MinOverMean = even, even
		goal := optics.Judge(part, []result.PartLight{{Illuminance: lux, PPFD: photons,
			DLI: photometry.DLI(photons.Mean, s.scene.Wiring.HoursPerDay)}}, 1, finding.Finding{})
		return len(goal.Misses) == 0
	}
	b := bounds{ratio: ratio, most: math.Inf(1), highest: math.Inf(1)}
	edge := func(low, high float64, meets func(float64) bool) float64 { // high meets
		for range 80 {
			if middle := (low + high) / 2; meets(middle) {
				high = middle
			} else {
				low = middle
			}
		}
		return high
	}
	mean := 0.0 // that is neither too low nor too high
	for level := 1e-3; level < most && !meets(mean, most, 0, 1); level *= 1.01 {
		mean = level
	}
	if !meets(0, most, 0, 1) {
		b.least = edge(0, mean, func(v float64) bool { return meets(v, most, 0, 1) })
	}
	if !meets(most, most, 0, 1) {
		b.most = -edge(-most, -mean, func(v float64) bool { return meets(-v, most, 0, 1) })
	}
	if !meets(mean, 0, 0, 1) {
		b.lowest = edge(0, most, func(v float64) bool { return meets(mean, v, 0, 1) })
	}
	if !meets(mean, most, most, 1) {
		b.highest = -edge(-most, 0, func(v float64) bool { return meets(mean, most, -v, 1) })
	}
	if !meets(mean, most, 0, 0) {
		b.even = edge(0, 1, func(v float64) bool { return meets(mean, most, 0, v) })
	}
	return b
}

// margin is by which share light keeps what is asked, 1 where it just does.
func (b bounds) margin(t tally, lumens float64) float64 {
	k, m := lumens*b.ratio, math.Inf(1)
	for _, one := range [][2]float64{{t.mean * k, b.least}, {b.most, t.mean * k}, {t.low * k, b.lowest},
		{b.highest, t.high * k}, {t.even(), b.even}} {
		if one[1] > 0 && !math.IsInf(one[0], 1) {
			m = min(m, one[0]/one[1])
		}
	}
	return m
}

// level is the mean of a build with a shape on the first part of the goal, as a share of the least that it asks.
func (s *seeker) level(b *build, sh *shape) float64 {
	a := s.asked[s.modules[b.module].Spectrum][0]
	if a.least == 0 {
		return 1
	}
	return s.tally(sh, 0).mean * b.lumens * a.ratio / a.least
}

// margin is the least share of what all parts ask.
func (s *seeker) margin(b *build, sh *shape) float64 {
	m := math.Inf(1)
	for i, a := range s.asked[s.modules[b.module].Spectrum] {
		m = min(m, a.margin(s.tally(sh, i), b.lumens))
	}
	if s.options.EvenAtLeast > 0 {
		m = min(m, s.even(sh)/s.options.EvenAtLeast)
	}
	return m
}

// tally is what counts of a shape on one part of the goal, for one lumen of each module.
func (s *seeker) tally(sh *shape, part int) tally { return s.tallies[sh.tally+part] }

func (s *seeker) even(sh *shape) float64 { return s.tally(sh, 0).even() }

// ready sorts the shapes that are there and finds what the goal asks of each spectrum.
func (s *seeker) ready(ratios map[string][]float64, c *screen) {
	s.shapes, s.tallies, s.bucket = c.found, c.sums, map[bucket][]int{}
	for i, sh := range s.shapes {
		b := bucket{len(s.hangs[sh.hung]), sh.form, sh.count}
		s.bucket[b] = append(s.bucket[b], i)
	}
	for _, m := range s.modules {
		spectrum, err := photometry.NewSpectrum(s.parts.Spectra[m.Spectrum].Power)
		if _, known := s.asked[m.Spectrum]; err != nil || known { // with an error the part would not have been read
			continue
		}
		for i, part := range s.scene.Goal.Parts() {
			s.asked[m.Spectrum] = append(s.asked[m.Spectrum], s.boundsOf(part, ratios[m.Spectrum][i], spectrum.LuxPerPPFD()))
		}
	}
	s.out.Tried = s.combinations()
}
