// Package heat tells how warm a rail with modules gets: temperatures along the bar, of boards and junctions, the light
// and the volts that this costs, what would make it cooler, and how long the light lasts.
//
// Steady state in still air: the bar is a fin that conducts along itself and gives heat to the air by natural
// convection and radiation. Temperatures are degrees Celsius, differences kelvin, places metres from the rail's left
// end. It knows no scene. Spread of heat across the bar, sun, draught and the tank's warm water are left out.
// Next: package parts for profiles and modules.
package heat

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// Input is one rail in its air.
type Input struct {
	Rail    string // its name
	Profile parts.Profile
	LengthM float64
	Modules []parts.Mounted
	AirC    float64 // of the room, or around the rail where Hood is nil and the user measured it
	Hood    *Hood   // nil for a rail in free air
}

// ErrTooHot is wrapped where no balance below hottestC exists: runaway, or heat that the rail cannot give off.
var ErrTooHot = errors.New("too hot")

const (
	// hottestC is the temperature beyond which Balance gives no answer: tables and parts mean nothing there.
	hottestC = 200
	// TouchC is the temperature of bare metal, in Celsius, that a hand may hold while it adjusts a rail. ISO 13732-1 puts
	// the burn threshold of smooth bare metal near 65 C for 1 s and near 55 C for 10 s (not checked against the print; it
	// gives ranges).
	TouchC = 55
	// TieK is the difference up to which two places count as equally warm: of mirror-equal ones, which a balance gives to
	// about this, the first is named as the hottest, and never the one that the last digit prefers.
	TieK = 1e-4
)

// State is one module in the balance.
type State struct {
	AlongM           float64
	RailC, BoardC    float64 // mean under the board; the board's back
	CaseC, JunctionC float64 // case: the solder point of the LEDs, by which maintenance tests go
	MarginK          float64 // to the part's highest junction temperature; negative above it
	parts.Draw
}

// Result is a rail in balance.
type Result struct {
	AirC      float64 // around the rail, inside the hood where there is one
	HoodWallC float64 // as AirC where there is no hood
	Line      Line    // temperature along the rail
	Modules   []State // in the order of the input

	ElectricalW, LightW, HeatW float64 // sums over the modules
	LossW                      float64 // what the rail gives to the air
	EnergyError                float64 // |LossW - HeatW| / HeatW; 0 without heat
	RatedLm, FluxLm            float64 // at the parts' test temperature and in balance, before the optics
	RelativeFlux               float64 // FluxLm over RatedLm; 1 without light

	Hottest, Tightest int     // modules with the highest junction and the smallest margin; -1 without modules
	HottestJunctionC  float64 // 0 without modules
	SmallestMarginK   float64 // 0 without modules
	HottestRailC      float64 // the hottest that a hand can touch of the bar, and where
	HottestRailM      float64
	Steps             int // of electrical against thermal balance
}

// check returns what no balance can be made of: a current beyond a part's tables, or light that has no watts. All other
// figures are in the ranges of the tables of keys, by which packages scene and parts read them.
func (in Input) check() error {
	for _, m := range in.Modules {
		if m.CurrentA == 0 {
			continue
		}
		err := m.Part.CheckCurrent(m.CurrentA)
		if err == nil && !(m.Part.LmPerW > 0) {
			err = fmt.Errorf("the spectrum of %s has no light from 380 to 780 nm", m.Part.Name)
		}
		if err != nil {
			return fmt.Errorf("module %s: %w", m.Name, err)
		}
	}
	return nil
}

// interfaceKPerW is the resistance between a board's back and the rail: heat-conducting compound or a thin pad under a
// screwed board of some centimetres. Common practice, no published source; dry joints have several times as much.
const interfaceKPerW = 0.5

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

// reaches returns the hours after which a share of the first light is left by Phi(t) = B exp(-alpha t),
// ln(B/share)/alpha, without regard to how long the test ran: +Inf where the light does not fall, 0 where it starts
// below. Source of all rules here: IES TM-21-11 with addendum B (2015), as summed up in the slides of the US DOE
// solid-state lighting programme on TM-21. B differs from 1 as the first thousand hours are left out of the fit.
func reaches(d parts.Maintenance, share float64) float64 {
	switch {
	case d.B <= share:
		return 0
	case d.AlphaPerHour > 0:
		return math.Log(d.B/share) / d.AlphaPerHour
	}
	return math.Inf(1)
}

// Until returns when share of the first light is left, such as 0.7 for L70, from a test of that many samples: 20 and
// more allow 6 times the length of the test, 10 to 19, the fewest there may be, 5.5 times. beyond tells that the true
// life is longer: write "> hours".
func Until(d parts.Maintenance, share float64, samples int) (hours float64, beyond bool) {
	longest := 5.5 * d.TestedHours
	if samples >= 20 {
		longest = 6 * d.TestedHours
	}
	hours = reaches(d, share)
	return math.Min(hours, longest), hours > longest
}

// DecayAt returns the decay at a case temperature from a part's tests. A case cooler than the coolest test is judged by
// that, which is on the safe side; beyond the warmest nothing is known, which is the error. Between two neighbours
// alpha follows Arrhenius, alpha = A exp(-Ea/(k T)) with T in kelvin, and B is their geometric mean; the shorter test
// counts. At a tested temperature the row itself holds. The case is where the test measured it: State.CaseC.
func DecayAt(tests []parts.Maintenance, caseC float64) (parts.Maintenance, error) {
	rows := slices.SortedStableFunc(slices.Values(tests), func(a, b parts.Maintenance) int {
		return cmp.Compare(a.CaseC, b.CaseC)
	})
	hotter := slices.IndexFunc(rows, func(r parts.Maintenance) bool { return r.CaseC >= caseC })
	switch {
	case hotter < 0:
		return parts.Maintenance{CaseC: caseC}, fmt.Errorf(
			"no test at a case temperature of %.1f °C; the highest is at %g °C", caseC, rows[len(rows)-1].CaseC)
	case hotter == 0 || rows[hotter].CaseC == caseC:
		return rows[hotter], nil
	}
	cool, hot := rows[hotter-1], rows[hotter]
	coolK, hotK, caseK := cool.CaseC+zeroCelsiusK, hot.CaseC+zeroCelsiusK, caseC+zeroCelsiusK
	kelvin := math.Log(hot.AlphaPerHour/cool.AlphaPerHour) / (1/coolK - 1/hotK) // Ea/k
	return parts.Maintenance{CaseC: caseC, AlphaPerHour: cool.AlphaPerHour * math.Exp(kelvin*(1/coolK-1/caseK)),
		B: math.Sqrt(cool.B * hot.B), TestedHours: math.Min(cool.TestedHours, hot.TestedHours)}, nil
}
