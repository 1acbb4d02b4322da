package stack

import "math"

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
	ts, rs = Plate(faceS, tau)
	tp, rp = Plate(faceP, tau)
	return ts, tp, rs, rp
}

// absorbed is the share of unpolarised light that stays in the pane: (1-r)(1-tau)/(1 - r*tau) for each polarisation.
func (p Pane) absorbed(cosAir float64) float64 {
	if p.AbsorbPerM <= 0 || p.ThicknessM <= 0 {
		return 0
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

// Plate sums the reflections between two equal faces of reflectance r, with the share tau left by one passage.
// With r = 1 (grazing incidence) nothing enters.
func Plate(r, tau float64) (t, back float64) {
	if r >= 1 {
		return 0, 1
	}
	t = (1 - r) * (1 - r) * tau / (1 - r*r*tau*tau)
	return t, r * (1 + tau*t)
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
