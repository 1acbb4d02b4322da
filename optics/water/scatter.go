package water

import "math"

// hgBackscatterShare returns the share of Henyey-Greenstein scattering that turns by more than 90 degrees, for
// -1 <= g <= 1. Source: C. D. Mobley 1994, Light and Water, (1-g)/(2g) ((1+g)/sqrt(1+g^2) - 1), here with the
// difference written as a quotient, so that g = 0 gives one half like any other value.
func hgBackscatterShare(g float64) float64 {
	root := math.Sqrt(1 + g*g)
	return (1 - g) / (root * (1 + g + root))
}
