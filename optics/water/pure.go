package water

import (
	_ "embed"
	"math"
	"sync"

	"fathomlux/scene/curve"
)

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
