// Package photometry weighs spectra: luminous efficiency V(lambda), lux, photon flux density and daily light.
// Wavelengths are nm, illuminance is lx, PPFD is umol/m2/s and counts photons from 400 to 700 nm, all alike.
// It knows no water and no geometry; scotopic vision and colour are left out.
// Next: package water for what a path in water takes from a spectrum.
package photometry

import (
	_ "embed"
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
