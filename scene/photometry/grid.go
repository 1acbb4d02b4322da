package photometry

import (
	"math"
	"slices"

	"fathomlux/scene/curve"
)

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
	stops := append(rows, first, last, PhotonFirstNm, photonLastNm)
	stops = slices.DeleteFunc(stops, func(nm float64) bool { return nm < first || nm > last })
	slices.Sort(stops)
	return fillGaps(slices.Compact(stops))
}

func fillGaps(stops []float64) []float64 {
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
