package propose

import (
	"math"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
)

// asked is what light of one spectrum must reach: lumens of a module times the shape's mean.
type asked struct {
	ratio      float64
	mean, even float64
}

// ready sorts the shapes that are there and finds what the goal asks of each spectrum.
func (s *seeker) ready(ratios map[string]float64, shapes []shape) {
	s.shapes, s.bucket = shapes, map[bucket][]int{}
	for i, sh := range s.shapes {
		b := bucket{len(s.hangs[sh.hung]), sh.form, sh.count}
		s.bucket[b] = append(s.bucket[b], i)
	}
	for _, m := range s.modules {
		spectrum, err := photometry.NewSpectrum(s.parts.Spectra[m.Spectrum].Power)
		if _, known := s.asked[m.Spectrum]; err == nil && !known { // with an error the part would not have been read
			s.asked[m.Spectrum] = s.askedOf(ratios[m.Spectrum], spectrum.LuxPerPPFD())
		}
	}
	s.out.Tried = s.combinations()
}

// askedOf finds the least mean, and the least U0, with which the goal is met, by judging light of every level.
func (s *seeker) askedOf(ratio, luxPerPPFD float64) asked {
	g := s.scene.Goal
	g.Uniformity = max(g.Uniformity, s.options.EvenAtLeast)
	misses := func(mean, even float64) int {
		p := result.Plane{Name: g.Plane.Name}
		lux := result.Statistics{Mean: mean, Min: even * mean, Max: mean, MinOverMean: even, MinOverMax: even}
		photons := lux.Scaled(1 / luxPerPPFD)
		if optics.Shown(g) == result.PPFD {
			lux, photons = lux.Scaled(luxPerPPFD), lux
		}
		p.Illuminance, p.PPFD = lux, photons
		p.DLI = photometry.DLI(photons.Mean, s.scene.Wiring.HoursPerDay)
		return len(optics.Judge(g, &p, finding.Finding{}).Misses)
	}
	low, high := 1e-6, 1e9
	for range 100 {
		if middle := math.Sqrt(low * high); misses(middle, 1) == 0 {
			high = middle
		} else {
			low = middle
		}
	}
	out := asked{ratio: ratio, mean: high}
	low, high = 0, 1
	for range 50 {
		if middle := (low + high) / 2; misses(out.mean*1.000001, middle) == 0 {
			high = middle
		} else {
			low = middle
		}
	}
	out.even = high
	return out
}

// level is the mean of a build with a shape, as a share of what is asked.
func (s *seeker) level(b *build, sh *shape) float64 {
	a := s.asked[s.modules[b.module].Spectrum]
	return sh.mean * b.lumens * a.ratio / a.mean
}

// margin is the least share of what is asked.
func (s *seeker) margin(b *build, sh *shape) float64 {
	a := s.asked[s.modules[b.module].Spectrum]
	m := s.level(b, sh)
	if a.even > 1e-6 {
		m = min(m, sh.even()/a.even)
	}
	return m
}
