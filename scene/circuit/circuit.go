// Package circuit answers the electrical questions of rails of modules on a constant-current driver: how the modules
// split into equal strings, which driver feeds them, what a fault does to the rest, which wire serves, what a meter
// should read. Volts, amperes, watts and metres; temperatures in degrees Celsius, shares 0 to 1.
// It takes the junction temperatures as given and computes neither heat nor light. Drivers are ideal current sources
// inside their voltage range; ripple, dimming, inrush and the heating of wires are left out.
// Next: package parts for the tables of modules and drivers, package curve for how they are read.
package circuit

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"fathomlux/scene/parts"
)

// Module is one module on a rail.
type Module struct {
	Name      string // what words call it; empty for its number in the job
	Part      parts.Module
	CurrentA  float64 // wanted current through the module
	JunctionC float64 // junction temperature in operation
	Rail      int     // index of its rail, from 0
	AlongM    float64 // place of its middle, from the left end of its rail
	ShiftV    float64 // departure of the module's forward voltage from its table; 0 as tabulated
}

// called is what words call the i-th module of a job.
func (m Module) called(i int) string { return cmp.Or(m.Name, strconv.Itoa(i+1)) }

// Tolerance is how far the forward voltage of one module may lie from its table, up or down; both terms add.
type Tolerance struct{ Volts, Share float64 }

// ofV returns the tolerance of a forward voltage, V.
func (t Tolerance) ofV(voltageV float64) float64 { return t.Volts + t.Share*voltageV }

// Wish is what the maker has decided already. A field is 0 or empty where it is open.
type Wish struct {
	Strings int
	Driver  string // a name in Job.Drivers
}

// Feed tells where the driver's leads reach the rails. A string has a pair of leads of its own, from the driver on.
type Feed struct {
	Right         bool    // at the right end of the rails, otherwise at the left
	LeadM         float64 // cable from the driver to that end of the first rail
	BetweenRailsM float64 // cable from that end of one rail to that of the next
}

// Use is how long the light is on, at what tariff, and how much light it gives.
type Use struct {
	HoursPerDay  float64
	TariffPerKWh parts.Money
	FluxLm       float64 // light of all modules together
}

// Assumptions are numbers that no scene gives. Usual has usual ones; whoever shows an answer shows them too.
type Assumptions struct {
	Forward     Tolerance // of the forward voltage of one module
	MarginShare float64   // power that a driver must have over the load, as a share of the load
	ColdC       float64   // junction temperature when the light is switched on at its coldest
	CopperC     float64   // temperature of the wires
	DropShare   float64   // highest voltage lost in the wires of a string, as a share of its voltage
}

// The usual assumptions: common practice, no published source.
const (
	usualForwardShare  = 0.03 // bins of forward voltage are about this wide
	usualMarginShare   = 0.10
	usualColdBelowAirK = 10 // a room in winter beside the ambient air of the scene
	usualWarmerCopperK = 15 // wires in a rail beside the ambient air
	usualWireDropShare = 0.02
	daysPerYear        = 365
	mostModules        = 10000
	sameCurrentShare   = 1e-6 // currents nearer than this are the same, written in different units
	driverCurrentShare = 0.02 // a driver's current may be this far from the wanted one
	roundingShare      = 1e-9 // slack for sums of many floats, as a share
)

// Usual returns the usual assumptions in air of a given temperature.
func Usual(airC float64) Assumptions {
	return Assumptions{
		Forward: Tolerance{Share: usualForwardShare}, MarginShare: usualMarginShare,
		ColdC: airC - usualColdBelowAirK, CopperC: airC + usualWarmerCopperK, DropShare: usualWireDropShare,
	}
}

// Job is what is to be wired to one driver. All modules must be for the same current; see ByCurrent.
type Job struct {
	Modules      []Module
	RailLengthsM []float64 // by rail; needed where the feed is at the right
	Drivers      map[string]parts.Driver
	Wish         Wish
	Feed         Feed
	Use          Use
	Given        Assumptions
	Before       int // strings on other drivers that come first where strings are numbered through; only words know it
}

// ErrNothing is what a job without modules gets.
var ErrNothing = errors.New("there are no modules to wire")

// check refuses a job with values that cannot be computed with.
func (j Job) check() error {
	switch g := j.Given; {
	case len(j.Modules) == 0:
		return ErrNothing
	case len(j.Modules) > mostModules:
		return fmt.Errorf("%d modules are too many for one driver; wire up to %d", len(j.Modules), mostModules)
	case !finite(g.Forward.Volts, g.Forward.Share, g.MarginShare, g.ColdC, g.CopperC, g.DropShare):
		return errors.New("an assumption is not a finite number")
	case g.Forward.Volts < 0 || g.Forward.Share < 0 || g.Forward.Share >= 1 || g.MarginShare < 0:
		return errors.New("tolerance and margin may not be negative, and a tolerance is below 100 %")
	case g.ColdC < zeroKelvinC || g.CopperC < zeroKelvinC:
		return fmt.Errorf("no temperature is below %g °C", zeroKelvinC)
	case g.DropShare <= 0:
		return errors.New("the share that wires may lose is not above 0; give one such as 2 %")
	case !finite(j.Feed.LeadM, j.Feed.BetweenRailsM) || j.Feed.LeadM < 0 || j.Feed.BetweenRailsM < 0:
		return errors.New("a length of cable is negative or not a finite number")
	case !finite(j.RailLengthsM...):
		return errors.New("the length of a rail is not a finite number")
	}
	return j.checkModules()
}

func (j Job) checkModules() error {
	for i, m := range j.Modules {
		if err := m.check(); err != nil {
			return fmt.Errorf("module %s: %w", m.called(i), err)
		}
		if j.Feed.Right && m.Rail >= len(j.RailLengthsM) {
			return fmt.Errorf("module %s: its rail has no length, which a feed at the right end needs", m.called(i))
		}
	}
	return sameCurrent(j.Modules)
}

const zeroKelvinC = -273.15 // exact, by the definition of the Celsius scale

func (m Module) check() error {
	switch {
	case !finite(m.CurrentA, m.JunctionC, m.AlongM, m.ShiftV):
		return errors.New("current, temperature, place or voltage is not a finite number")
	case m.CurrentA <= 0:
		return errors.New("the current is not above 0")
	case m.Rail < 0:
		return errors.New("rails are counted from 0")
	}
	_, err := m.voltageAt(m.CurrentA, m.JunctionC)
	return err
}

// sameCurrent refuses modules that cannot stand in one string.
func sameCurrent(modules []Module) error {
	groups := ByCurrent(modules)
	if len(groups) < 2 {
		return nil
	}
	a, b := modules[groups[0][0]].CurrentA, modules[groups[1][0]].CurrentA
	return fmt.Errorf("modules at %s and at %s cannot share a string: the same current flows through all of it; give all the same current, or feed each group from a driver of its own",
		sayA(a), sayA(b))
}

// ByCurrent groups modules, as indices, by the current that they are for, in the order in which the currents first
// appear. Each group needs a driver of its own.
func ByCurrent(modules []Module) [][]int {
	var groups [][]int
	for i, m := range modules {
		k := slices.IndexFunc(groups, func(g []int) bool {
			first := modules[g[0]].CurrentA
			return m.CurrentA == first || math.Abs(m.CurrentA-first) <= sameCurrentShare*math.Abs(first)
		})
		if k < 0 {
			groups = append(groups, nil)
			k = len(groups) - 1
		}
		groups[k] = append(groups[k], i)
	}
	return groups
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// sayV, sayA and sayW write a quantity for a reason in words; say writes a number with up to some decimals.
func sayV(v float64) string { return say(v, 1) + " V" }
func sayA(a float64) string { return say(a*1000, 1) + " mA" }
func sayW(w float64) string { return say(w, 1) + " W" }

func sayShare(share float64) string { return say(share*100, 1) + " %" }

func say(v float64, decimals int) string {
	scale := math.Pow(10, float64(decimals))
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}

// count writes a number of things, such as "1 string" or "2 strings".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
