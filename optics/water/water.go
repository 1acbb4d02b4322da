// Package water is a body of water: what it absorbs, what it scatters and how strongly it bends light.
// Wavelengths are nm, coefficients 1/m to base e, temperatures degrees Celsius, salinities g/kg, paths metres.
// Left out: what salt adds to absorption (under 0.0002 1/m per g/kg below 720 nm), fluorescence, bubbles.
// Next: package stack for the surface of the water, package photometry for the spectra that cross it.
package water

import "math"

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
