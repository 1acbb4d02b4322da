package scene

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
)

// Module is one module on a rail. XM is its middle along the rail, see Rail.At.
type Module struct {
	Part       parts.Module
	Optic      parts.Optic
	XM         float64
	TurnRad    float64 // about its own axis, against the rail
	CurrentA   float64
	FluxFactor float64     // light over that of the part's tables; 0 stands for 1
	Supply     int         // index in Wiring.Supplies; 0 where there are none
	Channel    int         // index in Wiring.Channels
	Dim        parts.Dim   // of its channel
	Dead       bool        // gives no light and takes no power; see Without
	Draw       *parts.Draw // at the operating point; nil for a module at the part's test temperature
}

// FluxLm returns the flux of all dies of the module at its current, lm: at the reference junction temperature, or at
// the operating point where Draw is given.
func (m Module) FluxLm() float64 {
	currentA, duty := m.Dim.Of(m.CurrentA)
	switch lm := m.Part.RatedFlux(currentA) * duty * cmp.Or(m.FluxFactor, 1); {
	case m.Dead:
		return 0
	case m.Draw != nil:
		return lm * m.Draw.RelativeFlux
	default:
		return lm
	}
}

// Seat is a module's place in the scene: the index of its rail, and its own on that rail, both from 0.
type Seat struct{ Rail, Module int }

// Seats returns the places of all modules, rail by rail in the order of the file, as indices over all rails run.
func (s *Scene) Seats() []Seat {
	var all []Seat
	for r := range s.Rails {
		for m := range s.Rails[r].Modules {
			all = append(all, Seat{Rail: r, Module: m})
		}
	}
	return all
}

// SeatName writes a place as the command line takes it and as all words, tables and documents name it: modules are
// counted from 1 on each rail, "blue:3" where there are several rails and "3" on the only one.
func (s *Scene) SeatName(at Seat) string {
	if len(s.Rails) == 1 {
		return strconv.Itoa(at.Module + 1)
	}
	return fmt.Sprintf("%s:%d", s.Rails[at.Rail].Name, at.Module+1)
}

// RailWord names a rail in a sentence; one without a name of its own is called "rail 2" already.
func RailWord(name string) string {
	if strings.HasPrefix(name, "rail ") {
		return name
	}
	return "rail " + name
}

// Rail returns the rail of that name; the error names a near one, or all.
func (s *Scene) Rail(name string) (*Rail, error) {
	var names []string
	for i := range s.Rails {
		if s.Rails[i].Name == name {
			return &s.Rails[i], nil
		}
		names = append(names, s.Rails[i].Name)
	}
	return nil, errors.New(document.Unknown("rail", name, names))
}

// Operating returns a copy of the scene whose modules, by rail, take and give what was found for it at its operating
// point, or for a scene with an equal key; see package operating.
func (s *Scene) Operating(draws [][]parts.Draw) *Scene {
	c := s.Copy()
	for i := range c.Rails {
		for k := range c.Rails[i].Modules {
			if m := &c.Rails[i].Modules[k]; !m.Dead {
				m.Draw = &draws[i][k]
			}
		}
	}
	return c
}

// Copy returns a copy of the scene at test temperatures. Parts and files stay shared.
func (s *Scene) Copy() *Scene {
	c := *s
	c.Rails, c.Wiring.Channels = slices.Clone(s.Rails), slices.Clone(s.Wiring.Channels)
	c.Goal.Others = slices.Clone(s.Goal.Others)
	for i := range c.Rails {
		c.Rails[i].Modules = slices.Clone(s.Rails[i].Modules)
		for k := range c.Rails[i].Modules {
			c.Rails[i].Modules[k].Draw = nil
		}
	}
	return &c
}

// At returns where a place along the rail is in the tank's axes, x and y.
func (r *Rail) At(alongM float64) (xM, yM float64) {
	if r.TurnRad == 0 {
		return alongM, r.YM
	}
	sin, cos := math.Sincos(r.TurnRad)
	middle := r.LeftM + r.LengthM/2
	return middle + (alongM-middle)*cos, r.YM + (alongM-middle)*sin
}

// Frame returns the directions of a module of the rail.
func (r *Rail) Frame(m *Module) space.Frame {
	return space.Tilted(r.TiltRad).Turned(r.TurnRad).Spun(m.TurnRad)
}

// SortModules puts the modules of a rail in the order of their places; it changes the rail.
func (r *Rail) SortModules() {
	slices.SortStableFunc(r.Modules, func(a, b Module) int { return cmp.Compare(a.XM, b.XM) })
}

// Mounted returns the modules of all rails as heat, circuit and drilling take them, by rail: with junctions at the
// parts' test temperature. Dead ones are as all others.
func (s *Scene) Mounted() [][]parts.Mounted {
	all := make([][]parts.Mounted, len(s.Rails))
	for i, r := range s.Rails {
		for k, m := range r.Modules {
			all[i] = append(all[i], parts.Mounted{Name: s.SeatName(Seat{Rail: i, Module: k}), Rail: i, Number: k + 1,
				Part: m.Part, CurrentA: m.CurrentA, JunctionC: m.Part.ReferenceC, AlongM: m.XM - r.LeftM,
				OpticLoss: 1 - m.Optic.Efficiency, FluxFactor: m.FluxFactor, Dim: m.Dim})
		}
	}
	return all
}

// ColdJunctionC is the junction temperature of Figures: what a maker's short test right after switching on shows.
// Warm junctions give less light at a lower voltage; see Operate.
const ColdJunctionC = 25

// Figures are what all modules give and take with all junctions at ColdJunctionC.
type Figures struct {
	DiesLm, OpticsLm float64 // flux of the dies, and what of it leaves the optics
	PowerW           float64 // electrical power at the modules, without the driver's loss
	SeriesV          float64 // forward voltage of all modules in one series string, dead ones included
}

// AtSwitchOn returns the sum over all modules: flux and voltage of the parts' tables, carried from the tables' junction
// temperature to ColdJunctionC by the parts' own coefficients. A dead module has its voltage alone, which the driver
// may still give it.
func (s *Scene) AtSwitchOn() (sum Figures) {
	for i, rail := range s.Mounted() {
		for k, one := range rail {
			d, m := one.Draw(ColdJunctionC), s.Rails[i].Modules[k]
			one.Dim = parts.Dim{} // a driver must bear the full voltage whatever the level is
			if sum.SeriesV += one.Draw(ColdJunctionC).VoltageV; !m.Dead {
				lm := d.RatedLm * d.RelativeFlux
				sum.DiesLm += lm
				sum.OpticsLm += lm * m.Optic.Efficiency
				sum.PowerW += d.ElectricalW
			}
		}
	}
	return sum
}

// PowerW returns the electrical power of the module at its current, W, at the temperature of FluxLm.
func (m Module) PowerW() float64 {
	switch {
	case m.Dead:
		return 0
	case m.Draw != nil:
		return m.Draw.ElectricalW
	}
	return parts.Mounted{Part: m.Part, CurrentA: m.CurrentA, Dim: m.Dim}.Draw(m.Part.ReferenceC).ElectricalW
}

// PowerW returns the electrical power of all modules, without the driver's loss, W.
func (s *Scene) PowerW() float64 {
	var w float64
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			w += m.PowerW()
		}
	}
	return w
}
