// Package stack follows light down through flat, parallel layers: air, an optional pane, air, water.
// It answers where a ray lands, how far its neighbours spread, and what share of it arrives. Ripples, bubbles
// and light that goes to and fro between pane and water are not modelled, nor what the water absorbs.
// Lengths are metres, directions the tangent v = tan(theta) to the vertical in air, shares 0 to 1.
// Next: package walls for the sides of the tank, package water for the loss along WaterPathM.
package stack

import (
	_ "embed"
	"math"
	"sync"

	"fathomlux/scene/curve"
)

// Pane is a plane-parallel plate in air, or a Hollow sheet: two such of half the thickness each. A ThicknessM of 0
// means that there is none.
type Pane struct {
	ThicknessM float64
	Index      float64 // refractive index relative to air, 1 or more
	AbsorbPerM float64 // grey absorption coefficient, 1/m, base e
	Hollow     bool
	Scatter    float64 // share of the light through it that does not go straight on, which counts as absorbed, 0 to 1
}

// Column is what lies between an emitting point and a horizontal plane at or below the water surface.
type Column struct {
	AirM       float64 // all the air on the way, above and below the pane, without the pane
	Pane       Pane    // zero where there is none
	WaterM     float64 // depth of the plane below the surface
	WaterIndex float64 // relative to air, 1 or more; 0 where there is no water surface at all
}

// steepest is the tangent beyond which directions count as horizontal: its cube is still a finite number.
const steepest = 1e100

// ApparentM is the height at which the emitting point seems to stand above the plane, seen from straight
// below: h + t/n_g + d/n_w. It is the slope of the landing distance on the axis.
func (c Column) ApparentM() float64 {
	m := c.AirM
	if c.Pane.ThicknessM > 0 {
		m += c.Pane.ThicknessM / c.Pane.Index
	}
	if c.WaterM > 0 {
		m += c.WaterM / c.waterIndex()
	}
	return m
}

// Land follows the ray of direction tanTheta >= 0 and returns the horizontal distances from the emitting point at
// which it meets the plane and the water surface, m. Exact for flat faces. With Snell's sin(theta_i) = sin(theta)/n a
// layer of thickness x takes the ray x*v/sqrt(n^2 + (n^2-1)*v^2) to the side, which has no cancellation at any angle.
func (c Column) Land(tanTheta float64) (rhoM, surfaceM float64) {
	v := math.Min(tanTheta, steepest)
	ratio, _ := c.above(v)
	water, _ := bend(c.WaterM, square(c.waterIndex()), v*v)
	return (ratio + water) * v, ratio * v
}

// Spread is sin(theta) / (rho * d rho/d theta) in 1/m^2: the solid angle about a ray over the area of the plane
// that it covers, so that E = I * T * A * Spread. On the axis it is 1/ApparentM^2, in air alone cos^3(theta)/h^2.
// Source: conservation of flux in the ring between theta and theta + d theta, written in v = tan(theta).
func (c Column) Spread(tanTheta float64) float64 {
	v := math.Min(tanTheta, steepest)
	ratio, slope := c.rho(v)
	sec2 := 1 + v*v
	return 1 / (ratio * slope * sec2 * math.Sqrt(sec2))
}

// WaterPathM is the length of the ray's way through the water, d / cos(theta_w).
func (c Column) WaterPathM(tanTheta float64) float64 {
	v := math.Min(tanTheta, steepest)
	n2 := square(c.waterIndex())
	return c.WaterM * math.Sqrt(n2*(1+v*v)/(n2+(n2-1)*v*v))
}

// rho returns rho/v and d rho/dv of the whole column.
func (c *Column) rho(v float64) (ratio, slope float64) {
	ratio, slope = c.above(v)
	if c.WaterM > 0 {
		q, dq := bend(c.WaterM, square(c.waterIndex()), v*v)
		return ratio + q, slope + dq
	}
	return ratio, slope
}

// above returns rho/v and d rho/dv of the way through air and pane.
func (c *Column) above(v float64) (ratio, slope float64) {
	if c.Pane.ThicknessM > 0 {
		q, dq := bend(c.Pane.ThicknessM, square(c.Pane.Index), v*v)
		return c.AirM + q, c.AirM + dq
	}
	return c.AirM, c.AirM
}

// bend returns rho/v and d rho/dv of one layer of an index whose square is n2.
func bend(thicknessM, n2, v2 float64) (ratio, slope float64) {
	r := 1 / math.Sqrt(n2+(n2-1)*v2)
	return thicknessM * r, thicknessM * r * n2 * r * r
}

// waterIndex is WaterIndex, and 1 where there is no water.
func (c *Column) waterIndex() float64 {
	if c.WaterIndex == 0 {
		return 1
	}
	return c.WaterIndex
}

func square(x float64) float64 { return x * x }

// Fresnel returns the power reflectances of a flat face for light that goes from index n1 to n2 and meets it at the
// cosine cos1 >= 0 of incidence: rs for the electric field parallel to the face, rp for the other. Both are 1 beyond
// the critical angle. Source: Fresnel's equations, M. Born, E. Wolf, Principles of Optics, 7th ed., section 1.5.2.
func Fresnel(n1, n2, cos1 float64) (rs, rp float64) {
	if n1 == n2 {
		return 0, 0
	}
	k := n1 / n2
	q := 1 - k*k*(1-cos1*cos1) // cosine of refraction, squared
	if q <= 0 {
		return 1, 1
	}
	cos2 := math.Sqrt(q)
	s := (n1*cos1 - n2*cos2) / (n1*cos1 + n2*cos2)
	p := (n2*cos1 - n1*cos2) / (n2*cos1 + n1*cos2)
	return s * s, p * p
}

// Polarised returns what the pane transmits and reflects of light that meets it at the cosine cosAir, for s and p
// apart: all reflections to and fro inside the pane are summed without interference, with absorption.
// Source: J. A. Duffie, W. A. Beckman, Solar Engineering of Thermal Processes, section 5.3.
func (p Pane) Polarised(cosAir float64) (ts, tp, rs, rp float64) {
	if p.ThicknessM <= 0 {
		return 1, 1, 0, 0
	}
	faceS, faceP := Fresnel(1, p.Index, cosAir)
	tau := p.passage(cosAir)
	ts, rs = Sheet(faceS, tau, p.Hollow)
	tp, rp = Sheet(faceP, tau, p.Hollow)
	return ts * (1 - p.Scatter), tp * (1 - p.Scatter), rs, rp
}

// absorbed is the share of unpolarised light that stays in the pane: (1-r)(1-tau)/(1 - r*tau) for each polarisation.
func (p Pane) absorbed(cosAir float64) float64 {
	if p.AbsorbPerM <= 0 && p.Scatter <= 0 || p.ThicknessM <= 0 {
		return 0
	}
	if p.Hollow || p.Scatter > 0 {
		ts, tp, rs, rp := p.Polarised(cosAir)
		return 1 - (ts+tp+rs+rp)/2
	}
	faceS, faceP := Fresnel(1, p.Index, cosAir)
	tau := p.passage(cosAir)
	return ((1-faceS)*(1-tau)/(1-faceS*tau) + (1-faceP)*(1-tau)/(1-faceP*tau)) / 2
}

// passage is the share that one passage through the pane leaves, exp(-K t / cos(theta_g)).
func (p Pane) passage(cosAir float64) float64 {
	if p.AbsorbPerM <= 0 {
		return 1
	}
	sin2 := 1 - cosAir*cosAir
	return math.Exp(-p.AbsorbPerM * p.ThicknessM * p.Index / math.Sqrt(p.Index*p.Index-sin2))
}

// plate sums the reflections between two equal faces of reflectance r, with the share tau left by one passage.
// With r = 1 (grazing incidence) nothing enters.
func plate(r, tau float64) (t, back float64) {
	if r >= 1 {
		return 0, 1
	}
	t = (1 - r) * (1 - r) * tau / (1 - r*r*tau*tau)
	return t, r * (1 + tau*t)
}

// Sheet returns what a pane transmits and reflects whose faces each reflect r and that leaves the share tau of one
// passage; a hollow one is two plates that share tau, with all reflections between them.
func Sheet(r, tau float64, hollow bool) (t, back float64) {
	if !hollow {
		return plate(r, tau)
	}
	if t, back = plate(r, math.Sqrt(tau)); back >= 1 {
		return 0, 1
	}
	through := t * t / (1 - back*back)
	return through, back + back*through
}

// Transmittance is the share of unpolarised light that goes on into the water: through the pane, then through
// the surface, s and p kept apart until the end as all faces are parallel.
func (c Column) Transmittance(tanTheta float64) float64 {
	cosAir := 1 / math.Sqrt(1+tanTheta*tanTheta)
	faceS, faceP := Fresnel(1, c.waterIndex(), cosAir)
	if c.Pane.ThicknessM <= 0 {
		return 1 - (faceS+faceP)/2
	}
	ts, tp, _, _ := c.Pane.Polarised(cosAir)
	return (ts*(1-faceS) + tp*(1-faceP)) / 2
}

// Losses says where a ray's light goes on its way into the water, as shares of what leaves the die that sum to 1 (to
// rounding). transmitted equals Transmittance; what the surface reflects does not come back from the pane.
func (c Column) Losses(tanTheta float64) (coverReflected, coverAbsorbed, surfaceReflected, transmitted float64) {
	cosAir := 1 / math.Sqrt(1+tanTheta*tanTheta)
	faceS, faceP := Fresnel(1, c.waterIndex(), cosAir)
	ts, tp, rs, rp := c.Pane.Polarised(cosAir)
	return (rs + rp) / 2, c.Pane.absorbed(cosAir), (ts*faceS + tp*faceP) / 2, (ts*(1-faceS) + tp*(1-faceP)) / 2
}

// closeStep is the relative Newton step after which no further one is due. v times the second derivative of rho(v)
// over twice the first lies between -1.5 and 0 at every v (each layer has -1.5 times a share below 1), so a step of
// relative size s leaves an error below 1.6 s^2: 4e-15 here.
const closeStep = 5e-8

// mostSteps bounds the iteration; from the lower bound at most 12 steps were seen over thicknesses of 1 um to 10 m.
const mostSteps = 60

// SolveTan returns tan(theta) of the one ray that lands rhoM from the emitting point's foot, to 1e-14 of its value
// (and the rounding of rhoM itself). A startTan above 0 is where to begin, such as the neighbour's answer; 0 begins at
// the lower bound. It returns 0 for a rhoM of 0 or less, and +Inf where no ray gets that far, which happens only
// without air.
//
// rho(v) rises and is concave, so Newton's step from anywhere lands left of the root or on it, and from there
// rises to it. The root lies between rho/ApparentM and rho/AirM.
func (c Column) SolveTan(rhoM, startTan float64) float64 {
	if !(rhoM > 0) {
		return 0
	}
	low, sideways := rhoM/c.ApparentM(), c.sideways()
	if rhoM > sideways { // rho(v) nears from below the line AirM*v + what pane and water can add at most
		low = math.Max(low, (rhoM-sideways)/c.AirM)
	}
	if math.IsInf(low, 1) {
		return low
	}
	v := low
	if startTan > low && startTan*c.AirM < rhoM {
		v = startTan
	}
	for range mostSteps {
		ratio, slope := c.rho(v)
		next := math.Max(v+(rhoM-ratio*v)/slope, low)
		if math.Abs(next-v) <= closeStep*next {
			return next
		}
		v = next
	}
	return v
}

// sideways is the farthest that pane and water carry a ray to the side, at grazing incidence; 0 for layers of index 1,
// which have no such bound but behave as air.
func (c *Column) sideways() float64 {
	side := 0.0
	if c.Pane.ThicknessM > 0 {
		side += c.Pane.ThicknessM / math.Sqrt(square(c.Pane.Index)-1)
	}
	if c.WaterM > 0 {
		side += c.WaterM / math.Sqrt(square(c.waterIndex())-1)
	}
	return side
}

//go:embed data/panes.csv
var panesCSV string

// panes is the absorption of glass panes against wavelength; source and spread stand in the file's head.
var panes = sync.OnceValue(func() curve.Table { return curve.MustParseTable(panesCSV) })

// Indices of the materials that panes and walls are made of, relative to air at 550 nm. Source: rounded from M. Rubin
// 1985, Solar Energy Materials 12, 275-288 (soda-lime glass 1.525) and N. Sultanova et al. 2009, Acta Physica
// Polonica A 116, 585-587 (PMMA 1.493, polycarbonate 1.585 at 588 nm); a step of 0.005 in the index moves the loss of a
// pane by 0.1 %.
const (
	glassIndex         = 1.52
	acrylicIndex       = 1.49
	polycarbonateIndex = 1.585
)

// acrylicPerM is the absorption of clear cast PMMA in the visible, 1/m base e: the order of 0.05 to 0.5 1/m, a value
// from memory; thin-sample tables give ten times as much, which is their noise.
const acrylicPerM = 0.2

// polycarbonatePerM makes a sheet of 6 mm lose some 2 to 3 % beside its reflections, 1/m base e: what data sheets of
// clear sheet have, 86 to 89 % in all. Common practice, no published source.
const polycarbonatePerM = 4.0

// Material is what a pane is made of: its index relative to air, and its absorption, 1/m base e, against wavelength
// in nm.
type Material struct {
	Index      float64
	AbsorbPerM func(nm float64) float64
}

// ClearGlass is soda-lime float glass.
func ClearGlass() Material { return glass("clear_glass_per_m") }

// LowIronGlass is soda-lime float glass with little iron.
func LowIronGlass() Material { return glass("low_iron_glass_per_m") }

// Acrylic is clear cast PMMA, grey in the visible.
func Acrylic() Material {
	return Material{Index: acrylicIndex, AbsorbPerM: func(float64) float64 { return acrylicPerM }}
}

// Polycarbonate is clear sheet of it, grey in the visible.
func Polycarbonate() Material {
	return Material{Index: polycarbonateIndex, AbsorbPerM: func(float64) float64 { return polycarbonatePerM }}
}

func glass(column string) Material {
	c := panes().MustCurve("wavelength_nm", column)
	return Material{Index: glassIndex, AbsorbPerM: c.AtOrZero}
}
