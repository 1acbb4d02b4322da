package water

import "math"

// HenyeyGreenstein returns the phase function of mean cosine g, -1 < g < 1, at a scattering angle's cosine, 1/sr.
// Over all directions it sums to 1. Source: L. G. Henyey, J. L. Greenstein 1941, Astrophysical Journal 93, 70-83.
func HenyeyGreenstein(cosine, g float64) float64 {
	return (1 - g*g) / (4 * math.Pi * math.Pow(1+g*g-2*g*cosine, 1.5))
}

// HGBackscatterShare returns the share of Henyey-Greenstein scattering that turns by more than 90 degrees, for
// -1 <= g <= 1. Source: C. D. Mobley 1994, Light and Water, (1-g)/(2g) ((1+g)/sqrt(1+g^2) - 1), here with the
// difference written as a quotient, so that g = 0 gives one half like any other value.
func HGBackscatterShare(g float64) float64 {
	root := math.Sqrt(1 + g*g)
	return (1 - g) / (root * (1 + g + root))
}
