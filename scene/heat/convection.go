package heat

import (
	"math"
)

// Body is a surface in still air.
type Body struct {
	// LengthM is the height of a vertical plate, area over perimeter of a horizontal one.
	LengthM        float64
	SurfaceC, AirC float64
	Air            Air     // at the film temperature, the mean of the two
	GravityMPerS2  float64 // 0 stands for standard gravity
}

// flow is the pair of numbers that natural convection follows.
type flow struct{ Rayleigh, Prandtl float64 }

// flow returns the body's Rayleigh number g beta dT L^3/(nu alpha), with the temperature difference taken as positive,
// and the Prandtl number.
func (b Body) flow() flow {
	g := b.GravityMPerS2
	if g == 0 {
		g = gravity
	}
	lift := g * b.Air.ExpansionPerK * math.Abs(b.SurfaceC-b.AirC)
	return flow{
		Rayleigh: lift * b.LengthM * b.LengthM * b.LengthM / (b.Air.ViscosityM2PerS * b.Air.DiffusivityM2PerS),
		Prandtl:  b.Air.Prandtl,
	}
}

// wPerM2K returns the heat transfer coefficient that belongs to a Nusselt number, W/m2/K.
func (b Body) wPerM2K(nusselt float64) float64 { return nusselt * b.Air.ConductivityWPerMK / b.LengthM }

// verticalPlate returns the mean Nusselt number of a vertical plate, Rayleigh 0.1 to 1e12.
// Source: S. W. Churchill, H. H. S. Chu 1975, Int. J. Heat Mass Transfer 18, 1323-1329, all Rayleigh numbers.
func (f flow) verticalPlate() float64 {
	s := math.Pow(1+math.Pow(0.492/f.Prandtl, 9.0/16), 8.0/27)
	root := 0.825 + 0.387*math.Pow(f.Rayleigh, 1.0/6)/s
	return root * root
}

// verticalPlateLaminar returns the mean Nusselt number of a vertical plate below Rayleigh 1e9, where it is a little
// better than verticalPlate. Source: as there.
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

// The published ranges of the Rayleigh number of horizontal plates.
const (
	leastUp, laminarUp, mostUp = 1e4, 1e7, 1e11
	leastDown, mostDown        = 1e5, 1e10
)

// hotSideUp returns the mean Nusselt number of a horizontal plate that is hot on its upper side (or cold on its lower),
// with the length area over perimeter, Rayleigh 1e4 to 1e11. It steps up by 6 % at 1e7, where the flow becomes
// turbulent.
// Source: W. H. McAdams 1954, Heat Transmission; J. R. Lloyd, W. R. Moran 1974, J. Heat Transfer 96, 443-447.
func (f flow) hotSideUp() float64 {
	if f.Rayleigh <= laminarUp {
		return f.hotSideUpLaminar()
	}
	return 0.15 * math.Cbrt(f.Rayleigh)
}

// hotSideUpLaminar is hotSideUp's branch for laminar flow, Rayleigh 1e4 to 1e7. Below, from 200 on, others measured
// about 0.59 where it has 0.54 (R. J. Goldstein, E. M. Sparrow, D. C. Jones 1973, Int. J. Heat Mass Transfer 16,
// 1025-1035; not checked against the print): it errs to the hot side there.
func (f flow) hotSideUpLaminar() float64 { return 0.54 * fourthRoot(f.Rayleigh) }

// hotSideDown returns the mean Nusselt number of a horizontal plate that is hot on its lower side, with the length area
// over perimeter, Rayleigh 1e5 to 1e10. Source: McAdams 1954, as hotSideUp; range not checked against the print.
func (f flow) hotSideDown() float64 { return 0.27 * fourthRoot(f.Rayleigh) }

func fourthRoot(x float64) float64 { return math.Sqrt(math.Sqrt(x)) }
