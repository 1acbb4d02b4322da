// Package photometry weighs spectra: luminous efficiency V(lambda), lux, photon flux density and daily light.
// Wavelengths are nm, illuminance is lx, PPFD is umol/m2/s and counts photons from 400 to 700 nm, all alike.
// It knows no water and no geometry; scotopic vision and colour are left out.
// Next: package water for what a path in water takes from a spectrum.
package photometry

import (
	_ "embed"
	"sync"

	"fathomlux/scene/curve"
)

// Exact constants of the SI (BIPM, SI Brochure, 9th edition 2019).
const (
	planck              = 6.62607015e-34 // J s
	speedOfLight        = 299792458.0    // m/s
	avogadro            = 6.02214076e23  // 1/mol
	luminousEfficacy683 = 683.0          // lm/W at 540 THz; taken at V = 1, 3e-6 below the exact factor at 555 nm
)

// The ends of what is weighed, nm. Below 380 and above 780 nm V is under 4e-5.
const (
	LuminousFirstNm, LuminousLastNm = 380.0, 780.0
	PhotonFirstNm, photonLastNm     = 400.0, 700.0
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

// photonsPerJoule returns how many umol of photons of a wavelength in nm carry one joule: lambda / (h c N_A).
func photonsPerJoule(nm float64) float64 {
	const metresPerNm, micro = 1e-9, 1e6
	return nm * metresPerNm / (planck * speedOfLight * avogadro) * micro
}

// DLI returns the daily light integral, mol/m2/day, of a PPFD in umol/m2/s that is on for some hours a day.
func DLI(ppfd, hours float64) float64 { return ppfd * hours * 3600 / 1e6 }
