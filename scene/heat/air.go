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

// Air holds the properties of air at one temperature that natural convection depends on.
type Air struct {
	ConductivityWPerMK float64
	ViscosityM2PerS    float64 // kinematic
	DiffusivityM2PerS  float64 // thermal
	Prandtl            float64
	ExpansionPerK      float64 // 1/T of an ideal gas, T in kelvin
}

//go:embed data/air.csv
var airCSV string

// airTable is dry air at 1 atm against the temperature in kelvin; source and error are in the file's head.
type airTable struct{ conductivity, viscosity, diffusivity, prandtl curve.Curve }

var air = sync.OnceValue(func() airTable {
	t := curve.MustParseTable(airCSV)
	column := func(name string) curve.Curve { return t.MustCurve("temperature_K", name) }
	return airTable{
		conductivity: column("conductivity_W_per_m_K"),
		viscosity:    column("viscosity_m2_per_s"),
		diffusivity:  column("diffusivity_m2_per_s"),
		prandtl:      column("prandtl"),
	}
})

// airAt returns the properties of dry air at 1 atm and filmC, the mean of surface and air temperature, in degrees
// Celsius. Outside the table, -23 C to 177 C, it refuses.
func airAt(filmC float64) (Air, error) {
	t, filmK := air(), filmC+zeroCelsiusK
	k, err := t.conductivity.At(filmK)
	if err != nil {
		first, last := t.conductivity.Domain()
		return Air{}, fmt.Errorf("air at %.4g °C: the table of air runs from %.4g to %.4g °C", filmC,
			first-zeroCelsiusK, last-zeroCelsiusK)
	}
	return Air{
		ConductivityWPerMK: k,
		ViscosityM2PerS:    t.viscosity.AtOrZero(filmK),
		DiffusivityM2PerS:  t.diffusivity.AtOrZero(filmK),
		Prandtl:            t.prandtl.AtOrZero(filmK),
		ExpansionPerK:      1 / filmK,
	}, nil
}

// hottestSurfaceC returns the highest surface temperature in air of airC whose film is still in the table of air.
func hottestSurfaceC(airC float64) float64 {
	_, last := air().conductivity.Domain()
	return 2*(last-zeroCelsiusK) - airC
}

// radiation is a grey surface that faces large surroundings of one temperature.
type radiation struct{ Emissivity, SurfaceC, SurroundingsC float64 }

// wPerM2 returns the net radiated heat by the Stefan-Boltzmann law, W/m2; negative where the surroundings are warmer.
func (r radiation) wPerM2() float64 {
	return r.Emissivity * boltzmann * (math.Pow(r.SurfaceC+zeroCelsiusK, 4) - math.Pow(r.SurroundingsC+zeroCelsiusK, 4))
}
