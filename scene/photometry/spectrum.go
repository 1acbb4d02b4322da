package photometry

import (
	"errors"
	"fmt"
	"slices"

	"fathomlux/scene/curve"
)

// Spectrum is a relative spectral power distribution, ready for weighing: at each of its wavelengths stands what the
// neighbourhood holds of power, lumens and 400 to 700 nm photons. Only ratios have a meaning. It is not changed
// once made, so it may be copied and used from many goroutines. The zero Spectrum is dark.
type Spectrum struct {
	nm                        []float64
	watts, lumens, micromoles []float64 // on one common, arbitrary scale
}

func newNodes(n int) Spectrum {
	return Spectrum{
		nm: make([]float64, n), watts: make([]float64, n),
		lumens: make([]float64, n), micromoles: make([]float64, n),
	}
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
	s := newNodes(len(grid))
	copy(s.nm, grid)
	for i := range values {
		values[i] /= peak // keeps any scale clear of overflow
	}
	s.sum(values)
	if total(s.micromoles) == 0 {
		return Spectrum{}, errors.New("the spectrum has no photons between 400 and 700 nm")
	}
	return s.thinned(), nil
}

var errNoLight = errors.New("the spectrum has no light between 380 and 780 nm; give at least two rows there")

// sum shares out the trapezium rule: half of each step belongs to the node at either end. 400 and 700 nm are nodes
// wherever the spectrum reaches them, so each step is either inside or outside the photon range.
func (s Spectrum) sum(power []float64) {
	for i := 1; i < len(s.nm); i++ {
		half := (s.nm[i] - s.nm[i-1]) / 2
		photons := s.nm[i-1] >= PhotonFirstNm && s.nm[i] <= photonLastNm
		for _, k := range []int{i - 1, i} {
			watts := half * power[k]
			s.watts[k] += watts
			s.lumens[k] += watts * luminousEfficacy683 * V(s.nm[k])
			if photons {
				s.micromoles[k] += watts * photonsPerJoule(s.nm[k])
			}
		}
	}
}

// wavelengthsNm returns the rising wavelengths of the spectrum's nodes, at most 801.
func (s Spectrum) wavelengthsNm() []float64 { return slices.Clone(s.nm) }

// Nodes returns the wavelengths in nm and the share of the lumens and of the 400 to 700 nm photons at each.
// The shares sum to 1; they are 0 where nothing is left.
func (s Spectrum) Nodes() (nm, luminousWeight, photonWeight []float64) {
	return s.wavelengthsNm(), normalised(s.lumens), normalised(s.micromoles)
}

// LuxPerPPFD returns how many lx go with 1 umol/m2/s of photons, 0 where no photons are left.
func (s Spectrum) LuxPerPPFD() float64 { return ratio(total(s.lumens), total(s.micromoles)) }

// PPFDPerLux returns how many umol/m2/s go with 1 lx, 0 where no lumens are left.
func (s Spectrum) PPFDPerLux() float64 { return ratio(total(s.micromoles), total(s.lumens)) }

// EfficacyOfRadiation returns the lumens per watt of light from 380 to 780 nm, lm/W, 0 for a dark spectrum.
func (s Spectrum) EfficacyOfRadiation() float64 { return ratio(total(s.lumens), total(s.watts)) }

// PhotonsPerWatt returns the umol of 400 to 700 nm photons a second per watt of light in the same range, umol/J.
func (s Spectrum) PhotonsPerWatt() float64 {
	watts := 0.0
	for i, umol := range s.micromoles {
		watts += umol / photonsPerJoule(s.nm[i])
	}
	return ratio(total(s.micromoles), watts)
}

// Filtered returns what is left of the spectrum behind a filter that lets the share transmission(nm) through.
// The scale stays, so shares of one spectrum may be compared.
func (s Spectrum) Filtered(transmission func(nm float64) float64) Spectrum {
	left := newNodes(len(s.nm))
	copy(left.nm, s.nm)
	for i, nm := range s.nm {
		left.add(i, s, i, transmission(nm))
	}
	return left
}

// LuminousShare returns the share of the lumens that a filter leaves.
func (s Spectrum) LuminousShare(transmission func(nm float64) float64) float64 {
	return s.share(s.lumens, transmission)
}

// PhotonShare returns the share of the 400 to 700 nm photons that a filter leaves.
func (s Spectrum) PhotonShare(transmission func(nm float64) float64) float64 {
	return s.share(s.micromoles, transmission)
}

func (s Spectrum) share(weights []float64, transmission func(nm float64) float64) float64 {
	left := 0.0
	for i, w := range weights {
		left += w * transmission(s.nm[i])
	}
	return ratio(left, total(weights))
}

func total(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}

func normalised(values []float64) []float64 {
	sum, shares := total(values), make([]float64, len(values))
	for i, v := range values {
		shares[i] = ratio(v, sum)
	}
	return shares
}
