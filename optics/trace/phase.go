package trace

import (
	"math"

	"fathomlux/optics/water"
)

// particleCosine returns the cosine below which Henyey-Greenstein scattering of mean cosine g has the share xi.
// Source: A. N. Witt 1977, Astrophysical Journal Supplement 35, 1-6.
func particleCosine(g, xi float64) float64 {
	if math.Abs(g) < 1e-6 {
		return 2*xi - 1
	}
	k := (1 - g*g) / (1 - g + 2*g*xi)
	return min(1, max(-1, (1+g*g-k*k)/(2*g)))
}

// moleculeBend is (1-delta)/(1+delta), the weight of cos^2 in the phase function of molecules.
const moleculeBend = (1 - water.Depolarisation) / (1 + water.Depolarisation)

// moleculeCosine draws from the phase function 1 + moleculeBend*cos^2 of water's molecules.
func (t *tracer) moleculeCosine() float64 {
	for {
		cos := 2*t.random.unit() - 1
		if t.random.unit()*(1+moleculeBend) < 1+moleculeBend*cos*cos {
			return cos
		}
	}
}
