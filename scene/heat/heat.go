// Package heat tells how warm a rail with modules gets: temperatures along the bar, of boards and junctions, the light
// and the volts that this costs, what would make it cooler, and how long the light lasts.
//
// Steady state in still air: the bar is a fin that conducts along itself and gives heat to the air by natural
// convection and radiation. Temperatures are degrees Celsius, differences kelvin, places metres from the rail's left
// end. It knows no scene. Spread of heat across the bar, sun, draught and the tank's warm water are left out.
// Next: package parts for profiles and modules.
package heat

import (
	"errors"
	"fmt"

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
