package main

import "math"

// degrees returns an angle in degrees, rounded to 1e-9 so that 40 deg comes back as 40.
func degrees(rad float64) float64 { return roundTo(rad*180/math.Pi, 1e-9) }

// millimetres returns a length in mm, rounded to a nanometre so that 1180 mm comes back as 1180.
func millimetres(m float64) float64 { return roundTo(m*1000, 1e-6) }

// roundTo returns v rounded to a multiple of step, a power of ten below 1. What rounds to nothing is 0, never -0.
func roundTo(v, step float64) float64 {
	n := math.Round(1 / step)
	if r := math.Round(v*n) / n; r != 0 {
		return r
	}
	return 0
}
