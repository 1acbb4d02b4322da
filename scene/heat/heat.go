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

	"fathomlux/scene/parts"
)

// Input is one rail in its air.
type Input struct {
	Profile        parts.Profile
	LengthM        float64
	Modules        []parts.Mounted
	AirC           float64 // of the room, or around the rail where Hood is nil and the user measured it
	Hood           *Hood   // nil for a rail in free air
	InterfaceKPerW float64 // board to rail, each module; 0 stands for defaultInterfaceKPerW
	ClosedEnds     bool    // the bar's ends give off nothing; else their metal does, as the outline does
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

// check returns the first thing in the input that no balance can be made of.
func (in Input) check() error {
	p := in.Profile
	switch {
	case !(in.LengthM >= shortestRailM && in.LengthM <= longestRailM):
		return fmt.Errorf("rail length %g m is not between %g and %d m", in.LengthM, shortestRailM, longestRailM)
	case !(in.AirC >= lowestAirC && in.AirC <= highestAirC):
		return fmt.Errorf("air of %g °C is not between %d and %d °C", in.AirC, lowestAirC, highestAirC)
	case !(in.InterfaceKPerW >= 0) || !finite(in.InterfaceKPerW):
		return fmt.Errorf("board to rail: %g K/W must be 0 or more", in.InterfaceKPerW)
	case !above0(p.WidthM) || !above0(p.HeightM) || !above0(p.PerimeterM):
		return fmt.Errorf("profile %q: width, height and perimeter must be above 0", p.Name)
	case !above0(p.MetalM2) || !above0(p.ConductivityWPerMK):
		return fmt.Errorf("profile %q: metal cross-section and conductivity must be above 0", p.Name)
	case !(p.Emissivity >= 0 && p.Emissivity <= 1):
		return fmt.Errorf("profile %q: emissivity %g is not between 0 and 1", p.Name, p.Emissivity)
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
	p := m.Part
	half := p.BoardLengthM / 2
	switch {
	case !finite(m.AlongM, m.CurrentA, p.ReferenceC, p.FluxPerK, p.VoltsPerK, p.HighestJunctionC):
		return fmt.Errorf("module %q holds a value that is not finite", p.Name)
	case math.Abs(p.ReferenceC) > hottestTableC || math.Abs(p.HighestJunctionC) > hottestTableC:
		return fmt.Errorf("module %q: temperatures of %g °C and %g °C are beyond %g °C", p.Name, p.ReferenceC,
			p.HighestJunctionC, hottestTableC)
	case math.Abs(p.FluxPerK) > steepestPerK || math.Abs(p.VoltsPerK) > steepestPerK:
		return fmt.Errorf("module %q: %g of the flux and %g V a kelvin are beyond %g", p.Name, p.FluxPerK, p.VoltsPerK,
			steepestPerK)
	case m.CurrentA < 0:
		return fmt.Errorf("module %q: current %g A must be 0 or more", p.Name, m.CurrentA)
	case p.Dies() < 1 || p.ParallelPaths < 1:
		return fmt.Errorf("module %q needs at least one die and one path", p.Name)
	case !(p.ResistanceKPerW >= 0) || !finite(p.ResistanceKPerW):
		return fmt.Errorf("module %q: thermal resistance %g K/W must be 0 or more", p.Name, p.ResistanceKPerW)
	case m.CurrentA > 0 && (!above0(p.LmPerW) || p.LmPerW > highestLmPerW):
		return fmt.Errorf("module %q: luminous efficacy of radiation %g lm/W is not between 0 and %d", p.Name, p.LmPerW,
			highestLmPerW)
	case !(m.OpticLoss >= 0 && m.OpticLoss <= 1):
		return fmt.Errorf("module %q: an optic's loss of %g is not between 0 and 1", p.Name, m.OpticLoss)
	case !(p.BoardLengthM >= 0) || !finite(p.BoardLengthM):
		return fmt.Errorf("module %q: board length %g m must be 0 or more", p.Name, p.BoardLengthM)
	case m.AlongM+half < 0 || m.AlongM-half > railM:
		return fmt.Errorf("the module at %.4g m is not on the rail of %.4g m", m.AlongM, railM)
	case m.CurrentA > 0 && (p.FluxLm.Empty() || p.ForwardV.Empty()):
		return fmt.Errorf("module %q has no table of flux and voltage", p.Name)
	case m.CurrentA > 0:
		return p.CheckCurrent(m.CurrentA)
	}
	return nil
}

// defaultInterfaceKPerW is the resistance between a board's back and the rail where none is given: heat-conducting
// compound or a thin pad under a screwed board of some centimetres. Common practice, no published source; dry joints
// have several times as much.
const defaultInterfaceKPerW = 0.5

func (in Input) interfaceKPerW() float64 {
	if in.InterfaceKPerW == 0 {
		return defaultInterfaceKPerW
	}
	return in.InterfaceKPerW
}

// board is where a module's heat enters the rail.
func board(m parts.Mounted, heatW float64) Source {
	half := m.Part.BoardLengthM / 2
	return Source{FromM: m.AlongM - half, ToM: m.AlongM + half, HeatW: heatW}
}
