package heat

import (
	"cmp"
	"fmt"
	"math"
	"strconv"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// defaultInterfaceKPerW is the resistance between a board's back and the rail where none is given: heat-conducting
// compound or a thin pad under a screwed board of some centimetres. Common practice, no published source; dry joints have
// several times as much.
const defaultInterfaceKPerW = 0.5

// chain is the way of heat from a junction to the air, resistances in series, K/W. With all three as K m2/W it works per
// area as well.
type chain struct{ ModuleKPerW, InterfaceKPerW, SinkKPerW float64 }

// kPerW returns the whole resistance.
func (c chain) kPerW() float64 { return c.ModuleKPerW + c.InterfaceKPerW + c.SinkKPerW }

// junctionC returns the junction temperature when heatW flows through the chain to what is at sinkC.
func (c chain) junctionC(sinkC, heatW float64) float64 { return sinkC + heatW*c.kPerW() }

// Module is one module on a rail.
type Module struct {
	Name     string // what words call it; empty for its number on the rail
	Part     parts.Module
	AtM      float64 // its middle, from the rail's left end
	CurrentA float64 // through the whole module; 0 for one that is off

	OpticLoss float64 // share of the dies' light that the optic keeps; 0 without optic
}

// called is what words call the i-th module of a rail.
func (m Module) called(i int) string { return cmp.Or(m.Name, strconv.Itoa(i+1)) }

// Draw is what a module takes and gives at one junction temperature.
type Draw struct {
	VoltageV                   float64
	ElectricalW, LightW, HeatW float64 // light that leaves the optic, and all else; their sum is ElectricalW
	OpticW                     float64 // of HeatW: light that the optic keeps
	RelativeFlux               float64 // flux over ColdFluxLm
	ColdFluxLm                 float64 // at the part's reference temperature, before the optic
}

// Draw returns the module's state at a junction temperature. Volts and flux change in proportion to the distance from
// the reference temperature, and never below 0. The watts of light are the flux at this current and temperature over the
// luminous efficacy of radiation of the part's spectrum; what an optic keeps of them is heat on the board, since most of it
// is reflected back there (assumed). Errors are a current outside the part's table and broken part values.
func (m Module) Draw(junctionC float64) (Draw, error) {
	l, err := newLamp(m)
	if err != nil {
		return Draw{}, err
	}
	return l.at(junctionC), nil
}

// lamp is a module with its tables read at its current.
type lamp struct {
	Module
	coldV, voltsPerK float64 // of the whole module
	coldLm           float64
}

func newLamp(m Module) (lamp, error) {
	if err := m.check(); err != nil {
		return lamp{}, err
	}
	l := lamp{Module: m}
	if m.CurrentA == 0 {
		return l, nil
	}
	paths, dies := float64(m.Part.ParallelPaths), float64(m.Part.Dies())
	volts, err := readDie(m.Part.ForwardV, m.CurrentA/paths)
	if err != nil {
		return lamp{}, fmt.Errorf("current of a die of %q: %w", m.Part.Name, err)
	}
	lumens, err := readDie(m.Part.FluxLm, m.CurrentA/paths)
	if err != nil {
		return lamp{}, fmt.Errorf("current of a die of %q: %w", m.Part.Name, err)
	}
	l.coldV, l.voltsPerK, l.coldLm = volts*dies/paths, m.Part.VoltsPerK*dies/paths, lumens*dies
	return l, nil
}

// readDie reads a table at a die's current; one that misses the table's end by a rounding is at the end.
func readDie(c curve.Curve, dieA float64) (float64, error) {
	first, last := c.Domain()
	if end := math.Min(math.Max(dieA, first), last); math.Abs(dieA-end) < 1e-9*end {
		dieA = end
	}
	return c.At(dieA)
}

// hottestTableC and steepestPerK are far beyond any part: figures beyond them would leave nothing of a balance but rounding.
const (
	hottestTableC = 1000.0
	steepestPerK  = 10.0
	highestLmPerW = 684 // no light has more; see package photometry
)

func (m Module) check() error {
	p := m.Part
	for _, v := range []float64{m.AtM, m.CurrentA, p.ReferenceC, p.FluxPerK, p.VoltsPerK, p.HighestJunctionC} {
		if !finite(v) {
			return fmt.Errorf("module %q holds a value that is not finite", p.Name)
		}
	}
	switch {
	case math.Abs(p.ReferenceC) > hottestTableC || math.Abs(p.HighestJunctionC) > hottestTableC:
		return fmt.Errorf("module %q: temperatures of %g °C and %g °C are beyond %g °C", p.Name, p.ReferenceC, p.HighestJunctionC, hottestTableC)
	case math.Abs(p.FluxPerK) > steepestPerK || math.Abs(p.VoltsPerK) > steepestPerK:
		return fmt.Errorf("module %q: %g of the flux and %g V a kelvin are beyond %g", p.Name, p.FluxPerK, p.VoltsPerK, steepestPerK)
	case m.CurrentA < 0:
		return fmt.Errorf("module %q: current %g A must be 0 or more", p.Name, m.CurrentA)
	case p.Dies() < 1 || p.ParallelPaths < 1:
		return fmt.Errorf("module %q needs at least one die and one path", p.Name)
	case !(p.ResistanceKPerW >= 0) || !finite(p.ResistanceKPerW):
		return fmt.Errorf("module %q: thermal resistance %g K/W must be 0 or more", p.Name, p.ResistanceKPerW)
	case m.CurrentA > 0 && (!above0(p.LmPerW) || p.LmPerW > highestLmPerW):
		return fmt.Errorf("module %q: luminous efficacy of radiation %g lm/W is not between 0 and %d", p.Name, p.LmPerW, highestLmPerW)
	case !(m.OpticLoss >= 0 && m.OpticLoss <= 1):
		return fmt.Errorf("module %q: an optic's loss of %g is not between 0 and 1", p.Name, m.OpticLoss)
	case !(p.BoardLengthM >= 0) || !finite(p.BoardLengthM):
		return fmt.Errorf("module %q: board length %g m must be 0 or more", p.Name, p.BoardLengthM)
	}
	return nil
}

func (l lamp) at(junctionC float64) Draw {
	warmK := junctionC - l.Part.ReferenceC
	d := Draw{
		VoltageV:     math.Max(l.coldV+l.voltsPerK*warmK, 0),
		RelativeFlux: math.Max(1+l.Part.FluxPerK*warmK, 0),
		ColdFluxLm:   l.coldLm,
	}
	d.ElectricalW = d.VoltageV * l.CurrentA
	if l.CurrentA > 0 {
		diesW := math.Min(l.coldLm*d.RelativeFlux/l.Part.LmPerW, d.ElectricalW) // more only far outside the table
		d.OpticW = diesW * l.OpticLoss
		d.LightW = diesW - d.OpticW
	}
	d.HeatW = d.ElectricalW - d.LightW
	return d
}

// source is the module's heat over its board.
func (l lamp) source(heatW float64) Source {
	half := l.Part.BoardLengthM / 2
	return Source{FromM: l.AtM - half, ToM: l.AtM + half, HeatW: heatW}
}
