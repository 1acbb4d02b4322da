package heat

import (
	"fmt"
	"math"
)

// Hood is a closed box over the rail. Its lid and four sides give heat to the room by convection and radiation; its
// open bottom, over the tank, gives off nothing. All heat passes from the rail to the air inside, from that air to the
// wall by natural convection over the same area, and so to the room. Radiation from rail to wall takes no short cut and
// the air inside has one temperature, which the rail's surroundings share: the true rail is a little cooler. A hood
// with slots is cooler still; for one, measure its air and give that as the air's temperature instead.
type Hood struct {
	LengthM, WidthM, HeightM float64 // outer
	Emissivity               float64 // of the outside: 0.9 for wood, paint and plastics, common practice
	OtherHeatW               float64 // from other rails and drivers under the hood
}

// hottestHoodC is where a hood is refused; wood chars far below.
const hottestHoodC = 150

// Warm returns the temperatures of wall and inner air at which heatW watts leave into a room of roomC. Errors wrap
// ErrTooHot where the air inside would pass 150 C.
func (h Hood) Warm(heatW, roomC float64) (wallC, airC float64, err error) {
	if !(heatW > 0) {
		return roomC, roomC, nil
	}
	wallC = where(heatW, roomC, func(tC float64) float64 { return h.outsideW(tC, roomC) })
	airC = where(heatW, wallC, func(tC float64) float64 { return h.convectionW(tC, wallC) })
	if math.IsNaN(airC) {
		return 0, 0, fmt.Errorf("the hood of %.3g x %.3g x %.3g m cannot give off %.3g W below %d °C inside: %w",
			h.LengthM, h.WidthM, h.HeightM, heatW, hottestHoodC, ErrTooHot)
	}
	return wallC, airC, nil
}

func (h Hood) sidesM2() float64 { return 2 * (h.LengthM + h.WidthM) * h.HeightM }
func (h Hood) lidM2() float64   { return h.LengthM * h.WidthM }

func (h Hood) outsideW(wallC, roomC float64) float64 {
	radiation := body{SurfaceC: wallC, AirC: roomC}.radiationWPerM2(h.Emissivity)
	return h.convectionW(wallC, roomC) + radiation*(h.sidesM2()+h.lidM2())
}

// convectionW returns the heat between lid and sides and air cooler than they are, or between warmer air inside and
// them: warm air under a cold lid moves as cold air over a hot one.
func (h Hood) convectionW(warmC, coolC float64) float64 {
	film, err := airAt((warmC + coolC) / 2)
	if err != nil {
		return math.NaN()
	}
	side := body{LengthM: h.HeightM, SurfaceC: warmC, AirC: coolC, Air: film}
	lid := side
	lid.LengthM = h.lidM2() / (2 * (h.LengthM + h.WidthM))
	wPerK := side.wPerM2K(side.flow().vertical())*h.sidesM2() + lid.wPerM2K(lid.flow().hotSideUp())*h.lidM2()
	return wPerK * (warmC - coolC)
}

// where returns the temperature above lowC at which lossW, which rises, reaches heatW; NaN where that is above
// hottestHoodC.
func where(heatW, lowC float64, lossW func(tC float64) float64) float64 {
	low, high := lowC, float64(hottestHoodC)
	if !(low < high && lossW(high) >= heatW) {
		return math.NaN()
	}
	for high-low > 1e-6 { // kelvin
		if middle := (low + high) / 2; lossW(middle) < heatW {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}
