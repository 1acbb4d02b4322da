package heat

import (
	_ "embed"
	"fmt"
	"math"
	"sync"

	"fathomlux/scene/curve"
)

const (
	zeroCelsiusK = 273.15         // exact
	boltzmann    = 5.670374419e-8 // W/m2/K4, Stefan-Boltzmann; exact by the SI's fixed constants, here to ten digits
	gravity      = 9.80665        // m/s2, standard gravity, exact; real places differ by 0.3 %
)

// air is what natural convection depends on at one temperature of the film of air along a surface.
type air struct {
	ConductivityWPerMK float64
	ViscosityM2PerS    float64 // kinematic
	DiffusivityM2PerS  float64 // thermal
	Prandtl            float64
	ExpansionPerK      float64 // 1/T of an ideal gas, T in kelvin
}

//go:embed data/air.csv
var airCSV string

// airTable is dry air at 1 atm against the temperature in kelvin: conductivity, viscosity, diffusivity and Prandtl
// number; source and error are in the file's head.
var airTable = sync.OnceValue(func() (columns [4]curve.Curve) {
	t := curve.MustParseTable(airCSV)
	for i, name := range []string{"conductivity_W_per_m_K", "viscosity_m2_per_s", "diffusivity_m2_per_s", "prandtl"} {
		columns[i] = t.MustCurve("temperature_K", name)
	}
	return columns
})

// airAt returns dry air at 1 atm and filmC, the mean of surface and air temperature, in degrees Celsius. Outside the
// table, -23 C to 177 C, it refuses.
func airAt(filmC float64) (air, error) {
	t, filmK := airTable(), filmC+zeroCelsiusK
	k, known := t[0].At(filmK)
	if !known {
		first, last := t[0].Domain()
		return air{}, fmt.Errorf("air at %.4g °C: the table of air runs from %.4g to %.4g °C", filmC,
			first-zeroCelsiusK, last-zeroCelsiusK)
	}
	return air{ConductivityWPerMK: k, ViscosityM2PerS: t[1].AtOrZero(filmK), DiffusivityM2PerS: t[2].AtOrZero(filmK),
		Prandtl: t[3].AtOrZero(filmK), ExpansionPerK: 1 / filmK}, nil
}

// hottestSurfaceC returns the highest surface temperature in air of airC whose film is still in the table of air.
func hottestSurfaceC(airC float64) float64 {
	_, last := airTable()[0].Domain()
	return 2*(last-zeroCelsiusK) - airC
}

// body is a surface in still air.
type body struct {
	// LengthM is the height of a vertical plate, area over perimeter of a horizontal one.
	LengthM        float64
	SurfaceC, AirC float64
	Air            air // of the film
}

// flow is the pair of numbers that natural convection follows.
type flow struct{ Rayleigh, Prandtl float64 }

// flow returns the body's Rayleigh number g beta dT L^3/(nu alpha), with the temperature difference taken as positive,
// and the Prandtl number.
func (b body) flow() flow {
	lift := gravity * b.Air.ExpansionPerK * math.Abs(b.SurfaceC-b.AirC)
	return flow{
		Rayleigh: lift * b.LengthM * b.LengthM * b.LengthM / (b.Air.ViscosityM2PerS * b.Air.DiffusivityM2PerS),
		Prandtl:  b.Air.Prandtl,
	}
}

// wPerM2K returns the heat transfer coefficient that belongs to a Nusselt number, W/m2/K.
func (b body) wPerM2K(nusselt float64) float64 { return nusselt * b.Air.ConductivityWPerMK / b.LengthM }

// verticalPlate returns the mean Nusselt number of a vertical plate, Rayleigh 0.1 to 1e12.
// Source: S. W. Churchill, H. H. S. Chu 1975, Int. J. Heat Mass Transfer 18, 1323-1329, all Rayleigh numbers.
func (f flow) verticalPlate() float64 {
	root := 0.825 + 0.387*math.Pow(f.Rayleigh, 1.0/6)/math.Pow(1+math.Pow(0.492/f.Prandtl, 9.0/16), 8.0/27)
	return root * root
}

// verticalPlateLaminar returns the same below Rayleigh 1e9, where it is a little better. Source: as there.
func (f flow) verticalPlateLaminar() float64 {
	return 0.68 + 0.670*fourthRoot(f.Rayleigh)/math.Pow(1+math.Pow(0.492/f.Prandtl, 9.0/16), 4.0/9)
}

// vertical returns the better of the two for the Rayleigh number.
func (f flow) vertical() float64 {
	if f.Rayleigh < 1e9 {
		return f.verticalPlateLaminar()
	}
	return f.verticalPlate()
}

// hotSideUp returns the mean Nusselt number of a horizontal plate that is hot on its upper side (or cold on its lower),
// with the length area over perimeter, Rayleigh 1e4 to 1e11. It steps up by 6 % at 1e7, up to which the flow is
// laminar. Source: W. H. McAdams 1954, Heat Transmission; J. R. Lloyd, W. R. Moran 1974, J. Heat Transfer 96, 443-447.
func (f flow) hotSideUp() float64 {
	if f.Rayleigh <= 1e7 {
		return f.hotSideUpLaminar()
	}
	return 0.15 * math.Cbrt(f.Rayleigh)
}

// hotSideUpLaminar is hotSideUp's branch for laminar flow. Below 1e4, from 200 on, others measured about 0.59 where it
// has 0.54 (R. J. Goldstein, E. M. Sparrow, D. C. Jones 1973, Int. J. Heat Mass Transfer 16, 1025-1035; not checked
// against the print): it errs to the hot side there.
func (f flow) hotSideUpLaminar() float64 { return 0.54 * fourthRoot(f.Rayleigh) }

// hotSideDown returns the mean Nusselt number of a horizontal plate that is hot on its lower side, with the length area
// over perimeter, Rayleigh 1e5 to 1e10. Source: McAdams 1954, as hotSideUp; range not checked against the print.
func (f flow) hotSideDown() float64 { return 0.27 * fourthRoot(f.Rayleigh) }

func fourthRoot(x float64) float64 { return math.Sqrt(math.Sqrt(x)) }

// radiationWPerM2 returns the net radiated heat of a grey surface that faces large surroundings of the air's
// temperature by the Stefan-Boltzmann law, W/m2; negative where they are warmer.
func (b body) radiationWPerM2(emissivity float64) float64 {
	return emissivity * boltzmann * (math.Pow(b.SurfaceC+zeroCelsiusK, 4) - math.Pow(b.AirC+zeroCelsiusK, 4))
}
