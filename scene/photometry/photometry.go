// Package photometry weighs spectra: luminous efficiency V(lambda), lux, photon flux density and daily light.
// Wavelengths are nm, illuminance is lx, PPFD is umol/m2/s and counts photons from 400 to 700 nm, all alike.
// It knows no water and no geometry; scotopic vision and colour are left out.
// Next: package water for what a path in water takes from a spectrum.
package photometry

import (
	_ "embed"
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"
	"sync"

	"fathomlux/scene/curve"
)

// Exact constants of the SI (BIPM, SI Brochure, 9th edition 2019).
const (
	planck       = 6.62607015e-34 // J s
	speedOfLight = 299792458.0    // m/s
	avogadro     = 6.02214076e23  // 1/mol
)

// Efficacy is the luminous efficacy of light at 540 THz, lm/W, exact by definition (BIPM, SI Brochure, 9th edition
// 2019); taken at V = 1, 3e-6 below the exact factor at 555 nm.
const Efficacy = 683.0

// The ends of what is weighed, nm. Below 380 and above 780 nm V is under 4e-5.
const (
	LuminousFirstNm, LuminousLastNm = 380.0, 780.0
	PhotonFirstNm, PhotonLastNm     = 400.0, 700.0
)

//go:embed data/photopic.csv
var photopicCSV string

// photopic is V(lambda); its source stands in the file's head.
var photopic = sync.OnceValue(func() curve.Curve {
	return curve.MustParseTable(photopicCSV).MustCurve("wavelength_nm", "V")
})

// V returns the luminous efficiency for photopic vision at a wavelength in nm, 0 outside 380 to 780 nm.
// Source: CIE 1924 photopic standard observer, linear between the 1 nm values.
func V(nm float64) float64 { return photopic().AtOrZero(nm) }

// PhotonsPerJoule returns how many umol of photons of a wavelength in nm carry one joule: lambda / (h c N_A).
func PhotonsPerJoule(nm float64) float64 {
	const metresPerNm, micro = 1e-9, 1e6
	return nm * metresPerNm / (planck * speedOfLight * avogadro) * micro
}

// DLI returns the daily light integral, mol/m2/day, of a PPFD in umol/m2/s that is on for some hours a day.
func DLI(ppfd, hours float64) float64 { return ppfd * hours * 3600 / 1e6 }

const (
	// widestStepNm is the widest gap between rows that is summed as it stands: published spectra come in steps of
	// 5 nm, lines smoothed in, and are made to be summed so (the tables of CIE 015:2018 are). The 1e-6 is for rows
	// whose wavelengths are rounded.
	widestStepNm = 5.0 + 1e-6
	// fillStepNm is the widest step in wider gaps, that of the V(lambda) table.
	fillStepNm = 1.0
	// finestStepNm is the step of the regular grid that takes over from more than mostNodes rows.
	finestStepNm = 0.5
	mostNodes    = 1 + int((LuminousLastNm-LuminousFirstNm)/finestStepNm)
)

// gridNm returns the rising wavelengths at which a spectrum is summed: its own rows between 380 and 780 nm and the
// ends of the photon range, with wide gaps filled. It is empty where the spectrum has no width there.
func gridNm(power curve.Curve) []float64 {
	first, last := power.Domain()
	first, last = math.Max(first, LuminousFirstNm), math.Min(last, LuminousLastNm)
	if !(first < last) {
		return nil
	}
	rows, _ := power.Points()
	stops := append(rows, first, last, PhotonFirstNm, PhotonLastNm)
	stops = slices.DeleteFunc(stops, func(nm float64) bool { return nm < first || nm > last })
	slices.Sort(stops)
	stops = slices.Compact(stops)
	grid := stops[:1:1]
	for i := 1; i < len(stops); i++ {
		from, width, pieces := stops[i-1], stops[i]-stops[i-1], 1.0
		if width > widestStepNm {
			pieces = math.Ceil(width / fillStepNm)
		}
		for p := 1.0; p < pieces; p++ {
			grid = append(grid, from+float64(width*p)/pieces)
		}
		grid = append(grid, stops[i])
	}
	return grid
}

// thinned returns the spectrum on the regular grid of finestStepNm when it has more nodes than that. Each node's
// share goes to its two neighbours so that sum and mean wavelength stay; V is linear between them, so lumens stay too.
func (s Spectrum) thinned() Spectrum {
	if len(s.nodes) <= mostNodes {
		return s
	}
	thin := Spectrum{make([]node, mostNodes)}
	for k := range thin.nodes {
		thin.nodes[k].nm = LuminousFirstNm + finestStepNm*float64(k)
	}
	for _, n := range s.nodes {
		place := (n.nm - LuminousFirstNm) / finestStepNm
		k := min(int(place), mostNodes-2)
		right := place - float64(k)
		thin.nodes[k].add(n, 1-right)
		thin.nodes[k+1].add(n, right)
	}
	return thin
}

// Distribution is the luminous intensity of a luminaire, bilinear between its angles: Theta counts from the aim, rising
// within 0 to pi, Phi about the aim, rising from 0 to 2 pi, or 0 alone where it is round. Beyond the ends of Theta it
// is dark. Rows may share memory and must not be written to.
type Distribution struct {
	Theta, Phi []float64   // radians
	Candela    [][]float64 // a row over Theta for each Phi
}

// At returns the intensity towards theta, 0 to pi, and phi, 0 to 2 pi, in candela.
func (d *Distribution) At(theta, phi float64) float64 {
	i, f := cell(d.Theta, theta)
	if i < 0 {
		return 0
	}
	if len(d.Phi) == 1 {
		return between(d.Candela[0], i, f)
	}
	k, g := cell(d.Phi, phi)
	return (1-g)*between(d.Candela[k], i, f) + g*between(d.Candela[k+1], i, f)
}

// between returns a row's value the share f on from its cell i.
func between(row []float64, i int, f float64) float64 { return (1-f)*row[i] + f*row[i+1] }

// endSlack is by how much tables of arc functions, and degrees turned into radians, miss the end of a list.
const endSlack = 1e-9

// cell returns the cell of a rising list that holds x and how far on in it x is; i is -1 outside the list, but for
// rounding at its ends.
func cell(list []float64, x float64) (i int, share float64) {
	low, high := 0, len(list)-1
	if !(x >= list[0]-endSlack && x <= list[high]+endSlack) {
		return -1, 0
	}
	for high-low > 1 {
		if middle := int(uint(low+high) >> 1); list[middle] < x {
			low = middle
		} else {
			high = middle
		}
	}
	return low, math.Min(math.Max((x-list[low])/(list[high]-list[low]), 0), 1)
}

// MeanRow returns the mean intensity over all Phi for each Theta: the trapezium rule, exact for what is bilinear.
func (d *Distribution) MeanRow() []float64 {
	if len(d.Phi) == 1 {
		return d.Candela[0]
	}
	mean := make([]float64, len(d.Theta))
	for i := 1; i < len(d.Phi); i++ {
		weight := (d.Phi[i] - d.Phi[i-1]) / (4 * math.Pi)
		for v := range mean {
			mean[v] += weight * (d.Candela[i-1][v] + d.Candela[i][v])
		}
	}
	return mean
}

// FluxWithin returns the flux within an angle of the aim, lm: each cell is integrated exactly.
func (d *Distribution) FluxWithin(rad float64) float64 {
	return 2 * math.Pi * curve.SineMoment(d.Theta, d.MeanRow(), rad)
}

// FullAngles returns the full angles along (towards Phi of 0 and pi) and across between the outermost directions whose
// intensity is share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles. They count up to
// 90 degrees to either side. The centre-beam intensity is the mean over Phi; where the middle is dark there is no such
// angle, and they are 0. Source of the definitions: IEC TR 61341.
func (d *Distribution) FullAngles(share float64) (alongRad, acrossRad float64) {
	level := share * d.MeanRow()[0]
	if d.Theta[0] > 0 || level <= 0 {
		return 0, 0
	}
	end := min(math.Pi/2, d.Theta[len(d.Theta)-1])
	angles := append(slices.DeleteFunc(slices.Clone(d.Theta), func(v float64) bool { return v >= end }), end)
	side := func(phi float64) float64 {
		beyond, less := end, 0.0
		for _, angle := range slices.Backward(angles) {
			cd := d.At(angle, phi)
			if cd >= level {
				return angle + (beyond-angle)*(cd-level)/(cd-less)
			}
			beyond, less = angle, cd
		}
		return 0
	}
	return side(0) + side(math.Pi), side(math.Pi/2) + side(3*math.Pi/2)
}

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
