// Package heat tells how warm a rail with modules gets: temperatures along the bar, of boards and junctions, the light
// and the volts that this costs, what would make it cooler, and how long the light lasts.
//
// Steady state in still air: the bar is a fin that conducts along itself and gives heat to the air by natural
// convection and radiation. Temperatures are degrees Celsius, differences kelvin, places metres from the rail's left
// end. It knows no scene and prints nothing. Spread of heat across the bar, sun, draught and the tank's warm water are
// left out.
// Next: package parts for profiles and modules.
package heat

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fathomlux/scene/parts"
)

// Input is one rail in its air.
type Input struct {
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

	lowestAirC, highestAirC = -20, 80
	shortestRailM           = 0.01
	longestRailM            = 100
)

// State is one module in the balance.
type State struct {
	AlongM                   float64
	RailC, BoardC, JunctionC float64 // rail: mean under the board; board: its back, the case of a maintenance test
	MarginK                  float64 // to the part's highest junction temperature; negative above it
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

// limit is what a figure of the input may be.
type limit struct {
	what         string
	v, low, high float64
	unit         string
}

const (
	above0  = math.SmallestNonzeroFloat64
	endless = math.MaxFloat64
)

// outside refuses the first figure that is not within its limits, or is not a number.
func outside(list ...limit) error {
	for _, l := range list {
		if !(l.v >= l.low && l.v <= l.high) {
			return fmt.Errorf("%s of %s is not between %.4g and %.4g", l.what, strings.TrimSpace(fmt.Sprintf("%.4g %s", l.v,
				l.unit)), l.low, l.high)
		}
	}
	return nil
}

// check returns the first thing in the input that no balance can be made of.
func (in Input) check() error {
	p := in.Profile
	err := outside(limit{"rail length", in.LengthM, shortestRailM, longestRailM, "m"},
		limit{"air", in.AirC, lowestAirC, highestAirC, "°C"})
	if err != nil {
		return err
	}
	err = outside(limit{"width", p.WidthM, above0, endless, "m"}, limit{"height", p.HeightM, above0, endless, "m"},
		limit{"perimeter", p.PerimeterM, above0, endless, "m"}, limit{"metal", p.MetalM2, above0, endless, "m²"},
		limit{"conductivity", p.ConductivityWPerMK, above0, endless, "W/m/K"}, limit{"emissivity", p.Emissivity, 0, 1, ""})
	if err != nil {
		return fmt.Errorf("profile %q: %w", p.Name, err)
	}
	for i, m := range in.Modules {
		if err := checkModule(m, in.LengthM); err != nil {
			return fmt.Errorf("module %s: %w", m.Called(i), err)
		}
	}
	if in.Hood != nil {
		return in.Hood.check()
	}
	return nil
}

// hottestTableC and steepestPerK are far beyond any part: figures beyond them would leave nothing of a balance but
// rounding.
const (
	hottestTableC = 1000.0
	steepestPerK  = 10.0
	highestLmPerW = 684 // no light has more; see package photometry
)

// checkModule returns the first thing in a module that no balance can be made of.
func checkModule(m parts.Mounted, railM float64) error {
	p, half := m.Part, m.Part.BoardLengthM/2
	err := outside(limit{"test temperature", p.ReferenceC, -hottestTableC, hottestTableC, "°C"},
		limit{"highest junction", p.HighestJunctionC, -hottestTableC, hottestTableC, "°C"},
		limit{"change of flux", p.FluxPerK, -steepestPerK, steepestPerK, "1/K"},
		limit{"change of voltage", p.VoltsPerK, -steepestPerK, steepestPerK, "V/K"},
		limit{"current", m.CurrentA, 0, endless, "A"}, limit{"number of dies", float64(p.Dies()), 1, endless, ""},
		limit{"number of paths", float64(p.ParallelPaths), 1, endless, ""},
		limit{"thermal resistance", p.ResistanceKPerW, 0, endless, "K/W"},
		limit{"loss of the optic", m.OpticLoss, 0, 1, ""}, limit{"board length", p.BoardLengthM, 0, endless, "m"},
		limit{"place along the rail", m.AlongM, -half, railM + half, "m"})
	if err == nil && m.CurrentA > 0 {
		err = outside(limit{"luminous efficacy of radiation", p.LmPerW, above0, highestLmPerW, "lm/W"})
	}
	switch {
	case err != nil:
		return fmt.Errorf("%s: %w", p.Name, err)
	case m.CurrentA == 0:
		return nil
	case p.FluxLm.Empty() || p.ForwardV.Empty():
		return fmt.Errorf("%s has no table of flux and voltage", p.Name)
	}
	return p.CheckCurrent(m.CurrentA)
}

// interfaceKPerW is the resistance between a board's back and the rail: heat-conducting compound or a thin pad under a
// screwed board of some centimetres. Common practice, no published source; dry joints have several times as much.
const interfaceKPerW = 0.5
