package water

import (
	"math"

	"fathomlux/scene/photometry"
)

const (
	// tableTolerance is the largest relative error at the middles of the table's steps that building accepts. The
	// error between middle and end is no larger, so the promise of 1e-6 has room.
	tableTolerance = 3e-7
	fewestSteps    = 16
	mostSteps      = 4096
	shortestPathM  = 1e-3 // tables of shorter reach are built for this one
)

// Table is the share of lumens and of photons of one spectrum that is left after a path in one body of water.
// It may be asked from many goroutines.
type Table struct {
	maxPathM         float64
	luminous, photon decay
}

// Table builds the table for paths up to maxPathM metres, within 1e-6 of the sum over the spectrum, relative.
// On longer paths the light goes on falling as it does at maxPathM, which counts a little too much as lost: what is
// left of a mixture of colours fades more and more slowly.
func (b Body) Table(s photometry.Spectrum, kind Attenuation, maxPathM float64) *Table {
	nm, lumens, photons := s.Nodes()
	perM := make([]float64, len(nm))
	for i := range nm {
		perM[i] = b.AttenuationPerM(nm[i], kind)
	}
	reach := math.Max(maxPathM, shortestPathM)
	return &Table{
		maxPathM: reach,
		luminous: newMixture(perM, lumens).decay(reach),
		photon:   newMixture(perM, photons).decay(reach),
	}
}

// Luminous returns the share of the lumens left after pathM metres, 1 for paths of no length.
func (t *Table) Luminous(pathM float64) float64 { return t.luminous.share(pathM, t.maxPathM) }

// Photons returns the share of the 400 to 700 nm photons left after pathM metres, 1 for paths of no length.
func (t *Table) Photons(pathM float64) float64 { return t.photon.share(pathM, t.maxPathM) }

// mixture is light of several attenuations; weights are above 0 and sum to 1.
type mixture struct {
	perM, weights []float64
	leastPerM     float64
}

func newMixture(perM, weights []float64) mixture {
	m := mixture{leastPerM: math.Inf(1)}
	for i, w := range weights {
		if w > 0 {
			m.perM, m.weights = append(m.perM, perM[i]), append(m.weights, w)
			m.leastPerM = math.Min(m.leastPerM, perM[i])
		}
	}
	return m
}

// at returns the logarithm of the share left after a path and its slope, 1/m. The least attenuation is taken out
// of the sum, so that the logarithm stays finite where the share itself is below the smallest number.
func (m mixture) at(pathM float64) (logShare, slopePerM float64) {
	sum, moment := 0.0, 0.0
	for i, w := range m.weights {
		excess := m.perM[i] - m.leastPerM
		left := w * math.Exp(-excess*pathM)
		sum += left
		moment += left * excess
	}
	if sum == 0 { // a spectrum without light
		return 0, 0
	}
	return math.Log(sum) - float64(m.leastPerM*pathM), -m.leastPerM - moment/sum
}

// decay is the logarithm of a mixture's share at paths maxPathM (k/steps)^2, close together where the light of strongly
// absorbed colours still falls fast, with its slopes; a cubic runs between them.
type decay struct{ logShare, slopePerM []float64 }

func (m mixture) decay(maxPathM float64) decay {
	for steps := fewestSteps; ; steps *= 2 {
		d := decay{make([]float64, steps+1), make([]float64, steps+1)}
		for k := range d.logShare {
			d.logShare[k], d.slopePerM[k] = m.at(nodeM(k, steps, maxPathM))
		}
		if steps >= mostSteps || d.worstError(m, maxPathM) <= tableTolerance {
			return d
		}
	}
}

func nodeM(k, steps int, maxPathM float64) float64 {
	place := float64(k) / float64(steps)
	return maxPathM * place * place
}

// worstError returns the largest relative error of the share at the middles of the steps.
func (d decay) worstError(m mixture, maxPathM float64) float64 {
	worst, steps := 0.0, len(d.logShare)-1
	for k := range steps {
		middle := (nodeM(k, steps, maxPathM) + nodeM(k+1, steps, maxPathM)) / 2
		exact, _ := m.at(middle)
		worst = math.Max(worst, math.Abs(d.cubic(k, middle, maxPathM)-exact))
	}
	return worst
}

func (d decay) share(pathM, maxPathM float64) float64 {
	if !(pathM > 0) {
		return 1
	}
	steps := len(d.logShare) - 1
	if pathM >= maxPathM {
		return math.Exp(d.logShare[steps] + float64(d.slopePerM[steps]*(pathM-maxPathM)))
	}
	k := min(int(float64(steps)*math.Sqrt(pathM/maxPathM)), steps-1)
	return math.Exp(d.cubic(k, pathM, maxPathM))
}

// cubic is the Hermite cubic through both ends of step k.
func (d decay) cubic(k int, pathM, maxPathM float64) float64 {
	from, to := nodeM(k, len(d.logShare)-1, maxPathM), nodeM(k+1, len(d.logShare)-1, maxPathM)
	width := to - from
	t := (pathM - from) / width
	u := 1 - t
	ends := float64(d.logShare[k]*u*u*(1+2*t)) + float64(d.logShare[k+1]*t*t*(3-2*t))
	return ends + float64(width*t*u*(d.slopePerM[k]*u-d.slopePerM[k+1]*t))
}
