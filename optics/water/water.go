// Package water is a body of water: what it absorbs, what it scatters and how strongly it bends light.
// Wavelengths are nm, coefficients 1/m to base e, temperatures degrees Celsius, salinities g/kg, paths metres.
// Left out: what salt adds to absorption (under 0.0002 1/m per g/kg below 720 nm), fluorescence, bubbles.
// Next: package stack for the surface of the water, package photometry for the spectra that cross it.
package water

import (
	_ "embed"
	"math"
	"sync"

	"fathomlux/scene/curve"
	"fathomlux/scene/photometry"
)

// Constituents is what is in the water beside water: dissolved colour and particles.
type Constituents struct {
	CDOM440PerM         float64 // absorption of dissolved colour at 440 nm, 1/m, base e
	CDOMSlopePerNm      float64 // S in exp(-S (lambda - 440 nm))
	ParticleAbsorbPerM  float64 // absorption of particles, 1/m, the same at all wavelengths
	ParticleScatterPerM float64 // scattering of particles at 550 nm, 1/m
	ParticleExponent    float64 // n in (550 nm / lambda)^n
	Asymmetry           float64 // mean cosine g of the particles' Henyey-Greenstein phase function, -1 < g < 1
}

// Body is a body of water. The zero Body is pure fresh water at 0 degrees Celsius.
type Body struct {
	constituents   Constituents
	temperatureC   float64
	salinityGPerKg float64
	measured       bool    // loses greyPerM at all wavelengths instead of what its constituents say
	greyPerM       float64 // 1/m
	extraPerM      float64 // absorption on top of all else, the same at all wavelengths, 1/m
}

const (
	indexNm     = 550.0 // wavelength at which the whole of a beam is bent
	colourNm    = 440.0 // reference wavelength of dissolved colour
	particlesNm = 550.0 // reference wavelength of particle scattering
)

// New returns pure water with what is in it. The formulas were fitted to 0-30 degrees Celsius and 0-35 g/kg.
func New(c Constituents, temperatureC, salinityGPerKg float64) Body {
	return Body{constituents: c, temperatureC: temperatureC, salinityGPerKg: salinityGPerKg}
}

// Measured returns water of which only the loss is known: half the light is gone after halfDepthM metres (above 0)
// straight down. It is the same loss at all wavelengths, all of it absorption.
func Measured(halfDepthM, temperatureC, salinityGPerKg float64) Body {
	b := New(Constituents{}, temperatureC, salinityGPerKg)
	b.measured, b.greyPerM = true, math.Ln2/halfDepthM
	return b
}

// WithExtra returns the body with an absorption on top of all else that is the same at all wavelengths, 1/m. It may
// be below 0: then the water absorbs less than its constituents say, but never less than pure water does.
func (b Body) WithExtra(perM float64) Body {
	b.extraPerM = perM
	return b
}

// Index returns the refractive index relative to air at 550 nm.
func (b Body) Index() float64 { return refractiveIndex(indexNm, b.temperatureC, b.salinityGPerKg) }

// Asymmetry returns the mean cosine g of the particles' phase function. Molecules scatter forward and backward alike.
func (b Body) Asymmetry() float64 { return b.constituents.Asymmetry }

// AbsorbPerM returns the absorption coefficient a of the water and all that is in it, 1/m.
// Source of the dissolved colour's shape: A. Bricaud, A. Morel, L. Prieur 1981, Limnology and Oceanography 26, 43-53.
func (b Body) AbsorbPerM(nm float64) float64 {
	if b.measured {
		return math.Max(0, b.greyPerM+b.extraPerM)
	}
	c := b.constituents
	colour := c.CDOM440PerM * math.Exp(-c.CDOMSlopePerNm*(nm-colourNm))
	return pureAbsorbPerM(nm, b.temperatureC) + math.Max(0, colour+c.ParticleAbsorbPerM+b.extraPerM)
}

// scatterPerM returns the scattering coefficient b of water and particles, 1/m.
func (b Body) scatterPerM(nm float64) float64 {
	return b.MolecularScatterPerM(nm) + b.ParticleScatterPerM(nm)
}

// MolecularScatterPerM returns the scattering coefficient of the water itself, 1/m, 0 for measured water.
func (b Body) MolecularScatterPerM(nm float64) float64 {
	if b.measured {
		return 0
	}
	return pureScatterPerM(nm, b.temperatureC, b.salinityGPerKg)
}

// ParticleScatterPerM returns the scattering coefficient of the particles, 1/m.
func (b Body) ParticleScatterPerM(nm float64) float64 {
	if b.constituents.ParticleScatterPerM == 0 {
		return 0
	}
	return b.constituents.ParticleScatterPerM * math.Pow(particlesNm/nm, b.constituents.ParticleExponent)
}

// backscatterShare returns the share of the scattered light that turns by more than 90 degrees: half of what the
// molecules scatter, and the Henyey-Greenstein share of what the particles do. It is 0 where nothing scatters.
func (b Body) backscatterShare(nm float64) float64 {
	molecules, particles := b.MolecularScatterPerM(nm), b.ParticleScatterPerM(nm)
	if molecules+particles == 0 {
		return 0
	}
	return (molecules/2 + particles*hgBackscatterShare(b.Asymmetry())) / (molecules + particles)
}

// Attenuation chooses what a straight ray counts as lost.
type Attenuation int

const (
	// Absorbed counts a: light that the water keeps.
	Absorbed Attenuation = iota
	// Direct counts a + b_b: absorption and what is scattered back. What is scattered forward stays with the ray.
	// Source: H. R. Gordon 1973, Applied Optics 12, 2803-2804.
	Direct
	// Unscattered counts a + b: all that was absorbed or scattered.
	Unscattered
)

// AttenuationPerM returns what a straight ray loses, 1/m.
func (b Body) AttenuationPerM(nm float64, kind Attenuation) float64 {
	absorb := b.AbsorbPerM(nm)
	switch kind {
	case Direct:
		return absorb + float64(b.scatterPerM(nm)*b.backscatterShare(nm))
	case Unscattered:
		return absorb + b.scatterPerM(nm)
	default:
		return absorb
	}
}

// refractiveIndex returns the refractive index of water relative to air, as the law of refraction at the surface
// needs it. Fitted to 400-700 nm, 0-30 degrees Celsius, 0-35 g/kg; it runs on smoothly beyond.
// Source: X. Quan, E. S. Fry 1995, Applied Optics 34, 3477-3480. It is within 4e-5 of M. Daimon, A. Masumura 2007,
// Applied Optics 46, 3811-3820, over 400-700 nm at 20 degrees Celsius.
func refractiveIndex(nm, temperatureC, salinityGPerKg float64) float64 {
	const (
		n0, n1, n2, n3, n4 = 1.31405, 1.779e-4, -1.05e-6, 1.6e-8, -2.02e-6
		n5, n6, n7, n8, n9 = 15.868, 0.01155, -0.00423, -4382.0, 1.1455e6
	)
	t, s := temperatureC, salinityGPerKg
	salt := (n1 + n2*t + n3*t*t) * s
	return n0 + salt + n4*t*t + (n5+n6*s+n7*t)/nm + n8/(nm*nm) + n9/(nm*nm*nm)
}

// airIndex returns the refractive index of air relative to vacuum.
// Source: P. E. Ciddor 1996, Applied Optics 35, 1566-1573, dry air at 15 degrees Celsius and 101325 Pa.
func airIndex(nm float64) float64 {
	waves := 1e6 / (nm * nm) // (1/um)^2
	return 1 + 1e-8*(5792105/(238.0185-waves)+167917/(57.362-waves))
}

//go:embed data/pure_water_absorption.csv
var absorptionCSV string

//go:embed data/pure_water_temperature.csv
var temperatureCSV string

// pureAbsorption is a(lambda) of pure water at absorptionC, 1/m; temperatureSlope is its change, 1/m/K.
// Their sources and stated errors are in the files' heads.
var (
	pureAbsorption = sync.OnceValue(func() curve.Curve {
		return curve.MustParseTable(absorptionCSV).MustCurve("wavelength_nm", "absorption_per_m")
	})
	temperatureSlope = sync.OnceValue(func() curve.Curve {
		return curve.MustParseTable(temperatureCSV).MustCurve("wavelength_nm", "d_absorption_dT_per_m_K")
	})
)

// absorptionC is the temperature of the water that Pope & Fry 1997 measured, about.
const absorptionC = 22.0

// pureAbsorbPerM returns the absorption coefficient of pure water, 1/m, linear between the rows of the table.
// Below 380 and above 780 nm it keeps the values of the table's ends.
// Source: R. M. Pope, E. S. Fry 1997, Applied Optics 36, 8710-8723; above 727.5 nm L. Kou et al. 1993, Applied
// Optics 32, 3531-3540; change with temperature from IOCCG 2018.
func pureAbsorbPerM(nm, temperatureC float64) float64 {
	first, last := pureAbsorption().Domain()
	nm = math.Min(math.Max(nm, first), last)
	slope := temperatureSlope().AtOrZero(nm)
	return math.Max(0, pureAbsorption().AtOrZero(nm)+float64(slope*(temperatureC-absorptionC)))
}

const (
	boltzmann      = 1.380649e-23 // J/K, exact
	kelvinAtZeroC  = 273.15       // exact
	pascalPerBar   = 1e5          // exact
	Depolarisation = 0.039        // R. S. Farinato, R. L. Rowell 1976, Journal of Chemical Physics 65, 593-595

	saltShare    = 0.30 // A. Morel 1974: sea water scatters 30 % more than fresh; later tables say up to 35 %
	saltAtGPerKg = 37.0 // the middle of the 35 to 39 g/kg for which it does
)

// beta90 returns how strongly pure fresh water scatters by 90 degrees, 1/(m sr).
// Source: X. Zhang, L. Hu 2009, Optics Express 17, 1671-1678, density fluctuation with Depolarisation ratio 0.039.
func beta90(nm, temperatureC float64) float64 {
	n := refractiveIndex(nm, temperatureC, 0) * airIndex(nm) // relative to vacuum
	bend := 1 + float64(2.0/3*(n*n+2)*(n/3-1/(3*n))*(n/3-1/(3*n)))
	density := (n*n - 1) * bend
	kelvin := temperatureC + kelvinAtZeroC
	cabannes := (6 + 6*Depolarisation) / (6 - 7*Depolarisation)
	return math.Pi * math.Pi / 2 * math.Pow(nm*1e-9, -4) * boltzmann * kelvin *
		compressibilityPerPa(temperatureC) * density * density * cabannes
}

// compressibilityPerPa returns the isothermal compressibility of fresh water, 1/Pa.
// Source: F. J. Millero et al. 1980, Deep-Sea Research 27A, 255-264, secant bulk modulus in bar.
func compressibilityPerPa(temperatureC float64) float64 {
	t := temperatureC
	bar := 19652.21 + t*(148.4206+t*(-2.327105+t*(1.360477e-2-t*5.155288e-5)))
	return 1 / (bar * pascalPerBar)
}

// pureScatterPerM returns the scattering coefficient of water without particles, 1/m: beta90 over all directions with
// the phase function 1 + (1-delta)/(1+delta) cos^2, of which half goes backward. Salt adds in proportion, 30 % at
// 37 g/kg: A. Morel 1974, Optical properties of pure water and pure sea water, in Optical Aspects of Oceanography.
func pureScatterPerM(nm, temperatureC, salinityGPerKg float64) float64 {
	fresh := 8 * math.Pi / 3 * beta90(nm, temperatureC) * (2 + Depolarisation) / (1 + Depolarisation)
	return fresh * (1 + saltShare*salinityGPerKg/saltAtGPerKg)
}

// hgBackscatterShare returns the share of Henyey-Greenstein scattering that turns by more than 90 degrees, for
// -1 <= g <= 1. Source: C. D. Mobley 1994, Light and Water, (1-g)/(2g) ((1+g)/sqrt(1+g^2) - 1), here with the
// difference written as a quotient, so that g = 0 gives one half like any other value.
func hgBackscatterShare(g float64) float64 {
	root := math.Sqrt(1 + g*g)
	return (1 - g) / (root * (1 + g + root))
}

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
