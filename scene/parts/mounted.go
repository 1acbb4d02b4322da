package parts

import (
	"cmp"
	"fmt"

	"fathomlux/scene/unit"
)

// Mounted is a module on a rail: what heat, circuit and drilling take.
type Mounted struct {
	Name      string // what words call it, such as "3" or "blue:3"
	Part      Module
	CurrentA  float64 // through the whole module; 0 for one that is off
	JunctionC float64 // junction temperature in operation
	Rail      int     // index of its rail, from 0
	Number    int     // on its rail, from 1 in the order of the file
	AlongM    float64 // its middle, from the left end of its rail
	OpticLoss float64 // share of the dies' light that the optic keeps; 0 without optic
	ShiftV    float64 // departure of the module's forward voltage from its table; 0 as tabulated
	// FluxFactor is the light over that of the part's tables, as a meter found it; 0 stands for 1. Power and heat stay
	// those of the tables.
	FluxFactor float64
	Dim        Dim // of its channel
}

// Dimming is the way in which a driver gives less light.
type Dimming int

// The ways of dimming.
const (
	ByCurrent Dimming = iota // less current all the time: each module gives what its table has there
	ByPulses                 // the full current for a share of the time, hundreds of times a second
)

// Dim is how far a module is dimmed, and how; the zero Dim is full light.
type Dim struct {
	Below float64 // what is taken away, as a share of full: 0 at full light, 1 where it is off
	By    Dimming
}

// Level returns the share of full that is left.
func (d Dim) Level() float64 { return 1 - d.Below }

// Of returns the current that flows through a module whose full current is given, and the share of the time in which it
// does; 0 for one that is off. Pulses change neither colour nor current, current moves along the part's table.
func (d Dim) Of(fullA float64) (currentA, duty float64) {
	switch level := d.Level(); {
	case level <= 0:
		return 0, 1
	case d.By == ByPulses:
		return fullA, level
	default:
		return fullA * level, 1
	}
}

// Draw is what a module takes and gives at one junction temperature.
type Draw struct {
	VoltageV                   float64
	ElectricalW, LightW, HeatW float64 // light that leaves the optic, and all else; their sum is ElectricalW
	OpticW                     float64 // of HeatW: light that the optic keeps
	RelativeFlux               float64 // flux over RatedLm
	RatedLm                    float64 // at the part's test temperature, before the optic, times the flux factor
	DayLm                      float64 // mean flux over a day, where one was followed
}

// Draw returns the module's state at a junction temperature. The watts of light are the flux over the luminous efficacy
// of radiation of the part's spectrum; what an optic keeps of them is heat on the board, since most of it is reflected
// back there (assumed). The full current must be one that Part.CheckCurrent takes, or 0; of a dimmed module all figures
// are means over the pulses, but for the voltage, which is that within them.
func (m Mounted) Draw(junctionC float64) Draw {
	d := Draw{RelativeFlux: m.Part.RelativeFlux(junctionC)}
	currentA, duty := m.Dim.Of(m.CurrentA)
	if currentA == 0 {
		return d
	}
	d.VoltageV = max(m.Part.Voltage(currentA, junctionC), 0)
	d.RatedLm = m.Part.RatedFlux(currentA) * duty
	d.ElectricalW = d.VoltageV * currentA * duty
	diesW := min(d.RatedLm*d.RelativeFlux/m.Part.LmPerW, d.ElectricalW) // more only far outside the table
	d.OpticW = diesW * m.OpticLoss
	d.LightW = diesW - d.OpticW
	d.HeatW = d.ElectricalW - d.LightW
	d.RatedLm *= cmp.Or(m.FluxFactor, 1)
	return d
}

// paths returns the parallel paths of dies on the board, and the dies in series in each.
func (m Module) paths() (parallel, series float64) {
	parallel = max(1, float64(m.ParallelPaths))
	return parallel, float64(m.Dies()) / parallel
}

// RatedFlux returns the flux of all dies at the test temperature, lm; at a current above the table, that of its end,
// and below it in proportion to the current, which is a little less than a die gives there.
func (m Module) RatedFlux(currentA float64) float64 {
	parallel, series := m.paths()
	first, last := m.FluxLm.Domain()
	die := currentA / parallel
	below := min(die/first, 1)
	return m.FluxLm.AtOrZero(min(max(die, first), last)) * below * parallel * series
}

// RelativeFlux returns the flux at a junction temperature over the rated one: it changes in proportion to the distance
// from the test temperature, and is never below 0.
func (m Module) RelativeFlux(junctionC float64) float64 {
	return max(1+m.FluxPerK*(junctionC-m.ReferenceC), 0)
}

// Voltage returns the voltage across the module, V, at a current and a junction temperature: the dies in series, each
// by its table and its change per kelvin. Beyond the rows of the table, as a fault may drive it, where CheckCurrent
// refuses it, the curve is continued straight by the slope between the outermost two rows; a real die takes a little
// more current at a low voltage than this says.
// Source: V(T) = V(T0) + k (T - T0), Khanna 2014, Fundamentals of Solid-State Lighting, eq. 14.1.
func (m Module) Voltage(currentA, junctionC float64) float64 {
	parallel, series := m.paths()
	die := currentA / parallel
	first, last := m.ForwardV.Domain()
	inside := min(max(die, first), last)
	v := m.ForwardV.AtOrZero(inside) + m.ForwardV.EndSlope(die > last)*(die-inside)
	return series * (v + m.VoltsPerK*(junctionC-m.ReferenceC))
}

// currentSlack is how far a current may miss the end of a table by rounding, as a share.
const currentSlack = 1e-9

// CurrentRange returns the lowest and the highest current of the whole module that its tables cover, A.
func (m Module) CurrentRange() (low, high float64) {
	parallel, _ := m.paths()
	low, high = m.ForwardV.Domain()
	return low * parallel, high * parallel
}

// CheckCurrent refuses a current through the module that its tables do not cover.
func (m Module) CheckCurrent(currentA float64) error {
	if low, high := m.CurrentRange(); !(currentA >= low*(1-currentSlack) && currentA <= high*(1+currentSlack)) {
		return fmt.Errorf("%s is outside the table of %s, which runs from %s to %s", unit.Current.Say(currentA), m.Name,
			unit.Current.Say(low), unit.Current.Say(high))
	}
	return nil
}
