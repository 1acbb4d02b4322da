package heat

import "math"

// Body is a surface in still air.
type Body struct {
	// LengthM is the height of a vertical plate, area over perimeter of a horizontal one, the diameter of a cylinder.
	LengthM        float64
	SurfaceC, AirC float64
	Air            Air     // at the film temperature, the mean of the two
	GravityMPerS2  float64 // 0 stands for standard gravity
}

// Flow is the pair of numbers that natural convection follows.
type Flow struct{ Rayleigh, Prandtl float64 }

// Flow returns the body's Rayleigh number g beta dT L^3/(nu alpha), with the temperature difference taken as positive,
// and the Prandtl number.
func (b Body) Flow() Flow {
	g := b.GravityMPerS2
	if g == 0 {
		g = gravity
	}
	lift := g * b.Air.ExpansionPerK * math.Abs(b.SurfaceC-b.AirC)
	return Flow{
		Rayleigh: lift * b.LengthM * b.LengthM * b.LengthM / (b.Air.ViscosityM2PerS * b.Air.DiffusivityM2PerS),
		Prandtl:  b.Air.Prandtl,
	}
}

// WPerM2K returns the heat transfer coefficient that belongs to a Nusselt number, W/m2/K.
func (b Body) WPerM2K(nusselt float64) float64 { return nusselt * b.Air.ConductivityWPerMK / b.LengthM }

// VerticalPlate returns the mean Nusselt number of a vertical plate, Rayleigh 0.1 to 1e12.
// Source: S. W. Churchill, H. H. S. Chu 1975, Int. J. Heat Mass Transfer 18, 1323-1329, all Rayleigh numbers.
func (f Flow) VerticalPlate() float64 {
	s := math.Pow(1+math.Pow(0.492/f.Prandtl, 9.0/16), 8.0/27)
	root := 0.825 + 0.387*math.Pow(f.Rayleigh, 1.0/6)/s
	return root * root
}

// VerticalPlateLaminar returns the mean Nusselt number of a vertical plate below Rayleigh 1e9, where it is a little
// better than VerticalPlate. Source: as there.
func (f Flow) VerticalPlateLaminar() float64 {
	return 0.68 + 0.670*fourthRoot(f.Rayleigh)/math.Pow(1+math.Pow(0.492/f.Prandtl, 9.0/16), 4.0/9)
}

// vertical returns the better of the two for the Rayleigh number.
func (f Flow) vertical() float64 {
	if f.Rayleigh < 1e9 {
		return f.VerticalPlateLaminar()
	}
	return f.VerticalPlate()
}

// The published ranges of the Rayleigh number of horizontal plates.
const (
	leastUp, laminarUp, mostUp = 1e4, 1e7, 1e11
	leastDown, mostDown        = 1e5, 1e10
)

// HotSideUp returns the mean Nusselt number of a horizontal plate that is hot on its upper side (or cold on its lower),
// with the length area over perimeter, Rayleigh 1e4 to 1e11. It steps up by 6 % at 1e7, where the flow becomes turbulent.
// Source: W. H. McAdams 1954, Heat Transmission; J. R. Lloyd, W. R. Moran 1974, J. Heat Transfer 96, 443-447.
func (f Flow) HotSideUp() float64 {
	if f.Rayleigh <= laminarUp {
		return f.HotSideUpLaminar()
	}
	return 0.15 * math.Cbrt(f.Rayleigh)
}

// HotSideUpLaminar is HotSideUp's branch for laminar flow, Rayleigh 1e4 to 1e7. Below, from 200 on, others measured about
// 0.59 where it has 0.54 (R. J. Goldstein, E. M. Sparrow, D. C. Jones 1973, Int. J. Heat Mass Transfer 16, 1025-1035;
// from memory): it errs to the hot side there.
func (f Flow) HotSideUpLaminar() float64 { return 0.54 * fourthRoot(f.Rayleigh) }

// HotSideDown returns the mean Nusselt number of a horizontal plate that is hot on its lower side, with the length area
// over perimeter, Rayleigh 1e5 to 1e10. Source: McAdams 1954, as HotSideUp; range from memory.
func (f Flow) HotSideDown() float64 { return 0.27 * fourthRoot(f.Rayleigh) }

// LongCylinder returns the mean Nusselt number of a long horizontal cylinder, length its diameter, Rayleigh up to 1e12.
// Source: S. W. Churchill, H. H. S. Chu 1975, Int. J. Heat Mass Transfer 18, 1049-1053.
func (f Flow) LongCylinder() float64 {
	s := math.Pow(1+math.Pow(0.559/f.Prandtl, 9.0/16), 8.0/27)
	root := 0.60 + 0.387*math.Pow(f.Rayleigh, 1.0/6)/s
	return root * root
}

func fourthRoot(x float64) float64 { return math.Sqrt(math.Sqrt(x)) }

// FinBlock is a block of equal, upright, parallel fins on a vertical base.
type FinBlock struct {
	WidthM             float64 // of the base, across the fins
	LengthM            float64 // of the fins along the rising air
	DepthM, ThicknessM float64 // of one fin: out from the base, and its metal
	SurfaceC, AirC     float64
	Air                Air // at the film temperature
}

// FinSpacing is what the best gap between fins gives.
type FinSpacing struct {
	GapM    float64
	WPerM2K float64 // on both sides of every fin
	Fins    int     // whole fins that fit
	HeatW   float64 // from these fins' sides, the base left out
}

// Best returns the gap between fins at which the block gives most heat: wider gaps mean fewer fins, narrower ones choke
// the air. S = 2.714 L/Ra_L^(1/4), Nu_S = 1.307, for fins of one temperature.
// Source: A. Bar-Cohen, W. M. Rohsenow 1984, J. Heat Transfer 106, 116-123. A block no warmer than its air has no best gap:
// then the result is zero.
func (b FinBlock) Best() FinSpacing {
	flow := Body{LengthM: b.LengthM, SurfaceC: b.SurfaceC, AirC: b.AirC, Air: b.Air}.Flow()
	if !(flow.Rayleigh > 0) || b.SurfaceC <= b.AirC {
		return FinSpacing{}
	}
	s := FinSpacing{GapM: 2.714 * b.LengthM / fourthRoot(flow.Rayleigh)}
	s.WPerM2K = 1.307 * b.Air.ConductivityWPerMK / s.GapM
	s.Fins = int(math.Min(b.WidthM/(s.GapM+b.ThicknessM), 1e6))
	s.HeatW = s.WPerM2K * 2 * float64(s.Fins) * b.LengthM * b.DepthM * (b.SurfaceC - b.AirC)
	return s
}
