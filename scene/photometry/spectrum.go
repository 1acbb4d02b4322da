package photometry

import (
	"errors"
	"fmt"
	"iter"
	"slices"

	"fathomlux/scene/curve"
)

// Spectrum is a relative spectral power distribution, ready for weighing: at each of its wavelengths stands what the
// neighbourhood holds of power, lumens and 400 to 700 nm photons. Only ratios have a meaning. It is not changed
// once made, so it may be copied and used from many goroutines. The zero Spectrum is dark.
type Spectrum struct{ nodes []node }

// node is a wavelength with the power, lumens and micromoles of photons around it, on one common, arbitrary scale.
type node struct{ nm, watts, lumens, micromoles float64 }

// add adds a share of what another node has.
func (n *node) add(from node, share float64) {
	n.watts += share * from.watts
	n.lumens += share * from.lumens
	n.micromoles += share * from.micromoles
}

// NewSpectrum weighs a relative spectral power over wavelength in nm, on any scale; what lies outside 380 to 780 nm
// is dropped. It sums by the trapezium rule over the curve's own rows, and over steps of 1 nm at most where rows are
// more than 5 nm apart, so a narrow band counts fully wherever its rows lie. It is an error if a row is negative or
// if there is no light between 380 and 780 nm or none between 400 and 700 nm.
func NewSpectrum(power curve.Curve) (Spectrum, error) {
	rows, given := power.Points()
	for i, p := range given {
		if p < 0 {
			return Spectrum{}, fmt.Errorf("the spectral power is negative at %g nm: %g", rows[i], p)
		}
	}
	grid := gridNm(power)
	if len(grid) == 0 {
		return Spectrum{}, errNoLight
	}
	values := make([]float64, len(grid))
	for i, nm := range grid {
		values[i] = power.AtOrZero(nm)
	}
	peak := slices.Max(values)
	if peak == 0 {
		return Spectrum{}, errNoLight
	}
	s := Spectrum{make([]node, len(grid))}
	for i := range values {
		s.nodes[i].nm = grid[i]
		values[i] /= peak // keeps any scale clear of overflow
	}
	s.share(values)
	if s.total().micromoles == 0 {
		return Spectrum{}, errors.New("the spectrum has no photons between 400 and 700 nm")
	}
	return s.thinned(), nil
}

var errNoLight = errors.New("the spectrum has no light between 380 and 780 nm; give at least two rows there")

// share shares out the trapezium rule: half of each step belongs to the node at either end. 400 and 700 nm are nodes
// wherever the spectrum reaches them, so each step is either inside or outside the photon range.
func (s Spectrum) share(power []float64) {
	for i := 1; i < len(s.nodes); i++ {
		half := (s.nodes[i].nm - s.nodes[i-1].nm) / 2
		photons := s.nodes[i-1].nm >= PhotonFirstNm && s.nodes[i].nm <= PhotonLastNm
		for _, k := range []int{i - 1, i} {
			n, watts := &s.nodes[k], half*power[k]
			n.watts += watts
			n.lumens += watts * Efficacy * V(n.nm)
			if photons {
				n.micromoles += watts * PhotonsPerJoule(n.nm)
			}
		}
	}
}

func (s Spectrum) total() (all node) {
	for _, n := range s.nodes {
		all.add(n, 1)
	}
	return all
}

// Nodes returns the at most 801 wavelengths in nm and the share of the lumens and of the 400 to 700 nm photons at each.
// The shares sum to 1; they are 0 where nothing is left.
func (s Spectrum) Nodes() (nm, luminousWeight, photonWeight []float64) {
	all := s.total()
	for _, n := range s.nodes {
		nm = append(nm, n.nm)
		luminousWeight = append(luminousWeight, ratio(n.lumens, all.lumens))
		photonWeight = append(photonWeight, ratio(n.micromoles, all.micromoles))
	}
	return nm, luminousWeight, photonWeight
}

// Powers yields the wavelengths in nm and the power about each, on an arbitrary scale that Filtered keeps.
func (s Spectrum) Powers() iter.Seq2[float64, float64] {
	return func(yield func(nm, watts float64) bool) {
		for _, n := range s.nodes {
			if !yield(n.nm, n.watts) {
				return
			}
		}
	}
}

// LuxPerPPFD returns how many lx go with 1 umol/m2/s of photons, 0 where no photons are left.
func (s Spectrum) LuxPerPPFD() float64 { return ratio(s.total().lumens, s.total().micromoles) }

// PPFDPerLux returns how many umol/m2/s go with 1 lx, 0 where no lumens are left.
func (s Spectrum) PPFDPerLux() float64 { return ratio(s.total().micromoles, s.total().lumens) }

// EfficacyOfRadiation returns the lumens per watt of light from 380 to 780 nm, lm/W, 0 for a dark spectrum.
func (s Spectrum) EfficacyOfRadiation() float64 { return ratio(s.total().lumens, s.total().watts) }

// PhotonsPerWatt returns the umol of 400 to 700 nm photons a second per watt of light in the same range, umol/J.
func (s Spectrum) PhotonsPerWatt() float64 {
	watts := 0.0
	for _, n := range s.nodes {
		watts += n.micromoles / PhotonsPerJoule(n.nm)
	}
	return ratio(s.total().micromoles, watts)
}

// Filtered returns what is left of the spectrum behind a filter that lets the share transmission(nm) through.
// The scale stays, so shares of one spectrum may be compared.
func (s Spectrum) Filtered(transmission func(nm float64) float64) Spectrum {
	left := Spectrum{make([]node, len(s.nodes))}
	for i, n := range s.nodes {
		left.nodes[i].nm = n.nm
		left.nodes[i].add(n, transmission(n.nm))
	}
	return left
}

// LuminousShare returns the share of the lumens that a filter leaves.
func (s Spectrum) LuminousShare(transmission func(nm float64) float64) float64 {
	return ratio(s.Filtered(transmission).total().lumens, s.total().lumens)
}

// PhotonShare returns the share of the 400 to 700 nm photons that a filter leaves.
func (s Spectrum) PhotonShare(transmission func(nm float64) float64) float64 {
	return ratio(s.Filtered(transmission).total().micromoles, s.total().micromoles)
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}
