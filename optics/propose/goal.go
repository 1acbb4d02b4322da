package propose

import (
	"math"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
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
	colour, kelvin  float64 // by which share the spectrum keeps the colour, and its own, see optics.ColourMargin
}

// boundsOf is what a part of the goal asks, in the quantity that the goal counts.
func (s *seeker) boundsOf(part scene.Goal, ratio, luxPerPPFD float64) bounds {
	perPPFD, perLux := luxPerPPFD, 1.0
	if optics.Shown(s.scene.Goal) == result.PPFD {
		perPPFD, perLux = 1, 1/luxPerPPFD
	}
	perDLI := perPPFD / photometry.DLI(1, s.scene.Wiring.HoursPerDay)
	if s.scene.Wiring.HoursPerDay == 0 {
		perDLI = 0
	}
	least := func(lux, ppfd, dli float64) float64 { return max(lux*perLux, ppfd*perPPFD, dli*perDLI) }
	most := func(lux, ppfd, dli float64) float64 {
		low := math.Inf(1)
		for _, v := range []float64{lux * perLux, ppfd * perPPFD, dli * perDLI} {
			if v > 0 {
				low = min(low, v)
			}
		}
		return low
	}
	return bounds{ratio: ratio, even: part.Uniformity, least: least(part.IlluminanceLx, part.PPFD, part.DLI),
		most: most(part.MostLx, part.MostPPFD, part.MostDLI), lowest: least(part.LowestLx, part.LowestPPFD, 0),
		highest: most(part.HighestLx, part.HighestPPFD, 0)}
}

// held lists the figures of light, each with what is asked of it: from firstMost on the most that it may be, else the
// least.
func (b bounds) held(t tally, lumens float64) [5][2]float64 {
	k := lumens * b.ratio
	return [5][2]float64{{t.mean * k, b.least}, {t.low * k, b.lowest}, {t.even(), b.even}, {t.mean * k, b.most},
		{t.high * k, b.highest}}
}

const firstMost = 3

// margin is by which share light keeps what is asked, 1 where it just does.
func (b bounds) margin(t tally, lumens float64) float64 {
	m := math.Inf(1)
	if b.colour < 1 { // no more light makes up for it
		m = b.colour
	}
	for i, one := range b.held(t, lumens) {
		switch found, asked := one[0], one[1]; {
		case !(asked > 0) || math.IsInf(asked, 1):
		case i < firstMost:
			m = min(m, found/asked)
		default:
			m = min(m, asked/found)
		}
	}
	return m
}

// lacks is what light lacks of sureShare times what is asked, or has too much, each figure as a share of what is asked,
// summed, with the colour's steps.
func (b bounds) lacks(t tally, lumens float64) (sum float64) {
	sum = 1/b.colour - 1
	for i, one := range b.held(t, lumens) {
		switch found, asked := one[0], one[1]; {
		case !(asked > 0) || math.IsInf(asked, 1):
		case i < firstMost:
			sum += max(0, 1-found/(asked*sureShare))
		default:
			sum += max(0, found*sureShare/asked-1)
		}
	}
	return sum
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
			b := s.boundsOf(part, ratios[m.Spectrum][i], spectrum.LuxPerPPFD())
			b.colour, b.kelvin = optics.ColourMargin(s.scene, part, spectrum)
			s.asked[m.Spectrum] = append(s.asked[m.Spectrum], b)
		}
	}
	s.out.Tried = s.combinations()
}
