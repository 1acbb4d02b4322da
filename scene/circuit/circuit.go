// Package circuit answers the electrical questions of rails of modules on a constant-current driver: how the modules
// split into equal strings, which driver feeds them, what a fault does to the rest, which wire serves, what a meter
// should read. Volts, amperes, watts and metres; temperatures in degrees Celsius, shares 0 to 1.
// It takes the junction temperatures as given and computes neither heat nor light. Drivers are ideal current sources
// inside their voltage range; ripple, dimming, inrush and the heating of wires are left out.
// Next: package parts for the modules and drivers, package curve for how their tables are read.
package circuit

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"fathomlux/scene/parts"
)

// Tolerance is how far the forward voltage of one module may lie from its table, up or down; both terms add.
type Tolerance struct{ Volts, Share float64 }

// ofV returns the tolerance of a forward voltage, V.
func (t Tolerance) ofV(voltageV float64) float64 { return t.Volts + t.Share*voltageV }

// Request is what the maker has decided already. A field is 0 or empty where it is open.
type Request struct {
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
	zeroKelvinC        = -273.15
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
	Modules      []parts.Mounted
	RailLengthsM []float64 // by rail; needed where the feed is at the right
	Drivers      map[string]parts.Driver
	Request      Request
	Feed         Feed
	Use          Use
	Given        Assumptions
	Before       int // strings on other drivers that come first where strings are numbered through; only words know it
}

// ErrNothing is what a job without modules gets.
var ErrNothing = errors.New("there are no modules to wire")

// check refuses a job with values that cannot be computed with. What it passes, nothing in this package refuses.
func (j Job) check() error {
	g := j.Given
	switch {
	case len(j.Modules) == 0:
		return ErrNothing
	case len(j.Modules) > mostModules:
		return fmt.Errorf("%d modules are too many for one driver; wire up to %d", len(j.Modules), mostModules)
	case !finite(g.Forward.Volts, g.Forward.Share, g.MarginShare, g.ColdC, g.CopperC, g.DropShare):
		return errors.New("an assumption is not a finite number")
	case g.Forward.Volts < 0 || g.Forward.Share < 0 || g.Forward.Share >= 1 || g.MarginShare < 0 || g.DropShare <= 0:
		return errors.New("tolerance and margin may not be negative, a tolerance is below 100 %, and wires lose something")
	case g.ColdC < zeroKelvinC || g.CopperC < zeroKelvinC:
		return fmt.Errorf("no temperature is below %g °C", zeroKelvinC)
	case !finite(j.RailLengthsM...) || !finite(j.Feed.LeadM, j.Feed.BetweenRailsM) ||
		min(j.Feed.LeadM, j.Feed.BetweenRailsM) < 0:
		return errors.New("a length of rail or cable is negative or not a finite number")
	case !finite(j.Use.HoursPerDay, j.Use.TariffPerKWh.Amount, j.Use.FluxLm) || j.Use.HoursPerDay > 24 ||
		min(j.Use.HoursPerDay, j.Use.TariffPerKWh.Amount, j.Use.FluxLm) < 0:
		return errors.New("hours a day are from 0 to 24, tariff and light are numbers from 0")
	}
	for i, m := range j.Modules {
		err := checkModule(m, g.ColdC)
		if err == nil && j.Feed.Right && m.Rail >= len(j.RailLengthsM) {
			err = errors.New("its rail has no length, which a feed at the right end needs")
		}
		if err != nil {
			return fmt.Errorf("module %s: %w", m.Called(i), err)
		}
	}
	return sameCurrent(j.Modules)
}

func checkModule(m parts.Mounted, coldC float64) error {
	switch {
	case !finite(m.CurrentA, m.JunctionC, m.AlongM, m.ShiftV):
		return errors.New("current, temperature, place or voltage is not a finite number")
	case m.CurrentA <= 0 || m.Rail < 0:
		return errors.New("the current is not above 0, or the rail is none")
	case m.Part.Dies() < 1 || m.Part.ForwardV.Empty():
		return errors.New("the part has no dies, or no table of voltage")
	}
	for _, junctionC := range []float64{m.JunctionC, coldC} {
		if v := at(m, junctionC); !finite(v) || v <= 0 {
			return fmt.Errorf("the voltage of %s at %g °C is not above 0", m.Part.Name, junctionC)
		}
	}
	return m.Part.CheckCurrent(m.CurrentA)
}

// at returns the voltage of a module at its wanted current and a junction temperature, V.
func at(m parts.Mounted, junctionC float64) float64 {
	v, _ := m.Part.Voltage(m.CurrentA, junctionC)
	return v + m.ShiftV
}

// voltage returns the voltage of a module at its junction temperature and any current, V; beyond is true where its
// table does not hold that.
func voltage(m parts.Mounted, currentA float64) (voltageV float64, beyond bool) {
	v, beyond := m.Part.Voltage(currentA, m.JunctionC)
	return v + m.ShiftV, beyond
}

// sameCurrent refuses modules that cannot stand in one string.
func sameCurrent(modules []parts.Mounted) error {
	groups := ByCurrent(modules)
	if len(groups) < 2 {
		return nil
	}
	return fmt.Errorf("modules at %s and at %s cannot share a string: the same current flows through all of it; give all "+
		"the same current, or feed each group from a driver of its own",
		sayA(modules[groups[0][0]].CurrentA), sayA(modules[groups[1][0]].CurrentA))
}

// ByCurrent groups modules, as indices, by the current that they are for, in the order in which the currents first
// appear. Each group needs a driver of its own.
func ByCurrent(modules []parts.Mounted) [][]int {
	var groups [][]int
	for i, m := range modules {
		k := slices.IndexFunc(groups, func(g []int) bool {
			first := modules[g[0]].CurrentA
			return m.CurrentA == first || math.Abs(m.CurrentA-first) <= sameCurrentShare*math.Abs(first)
		})
		if k < 0 {
			groups, k = append(groups, nil), len(groups)
		}
		groups[k] = append(groups[k], i)
	}
	return groups
}

func finite(values ...float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) })
}

// sayV, sayA, sayW and sayShare write a quantity for a reason in words; say writes a number with up to some decimals.
func sayV(v float64) string         { return say(v, 1) + " V" }
func sayA(a float64) string         { return say(a*1000, 1) + " mA" }
func sayW(w float64) string         { return say(w, 1) + " W" }
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
