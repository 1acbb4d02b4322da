// Package stack follows light down through flat, parallel layers: air, an optional pane, air, water.
// It answers where a ray lands, how far its neighbours spread, and what share of it arrives. Ripples, bubbles
// and light that goes to and fro between pane and water are not modelled, nor what the water absorbs.
// Lengths are metres, directions the tangent v = tan(theta) to the vertical in air, shares 0 to 1.
// Next: package walls for the sides of the tank, package water for the loss along WaterPathM.
package stack

import "math"

// Pane is a plane-parallel plate in air. A ThicknessM of 0 means that there is none.
type Pane struct {
	ThicknessM float64
	Index      float64 // refractive index relative to air, 1 or more
	AbsorbPerM float64 // grey absorption coefficient, 1/m, base e
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
