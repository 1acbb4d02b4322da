// Package circuit answers the electrical questions of rails of modules on a constant-current driver: how the modules
// split into equal strings, which driver feeds them, what a fault does to the rest, which wire serves, what a meter
// should read. Volts, amperes, watts and metres; temperatures in degrees Celsius, shares 0 to 1.
// It takes the junction temperatures as given and computes neither heat nor light. Drivers are ideal current sources
// inside their voltage range; ripple, dimming, inrush and the heating of wires are left out. Parts are taken as package
// parts reads them.
// Next: package parts for the modules and drivers, package curve for how their tables are read.
package circuit

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Plan is the whole answer to a job.
type Plan struct {
	Splits      []Split
	Recommended Pick            // whatever the request; nothing but a reason where one driver alone is none to recommend
	Chosen      Pick            // the same among what the request leaves open
	Apart       []Pick          // where no driver feeds all modules: how several would; empty otherwise, and where none do
	Wanted      finding.Finding // what a driver would need to feed all, where none does
	Limits      []Judgement
	Circuit     Circuit // of the chosen pick; what follows is empty without one
	Sharing     Sharing
	Open        Fault // the string with the highest voltage opens
	Short       Fault // the module with the highest voltage, in the string with the lowest, is bridged
	Worst       Fault // all modules of a string are at the low end of the tolerance, all others at the high end: a bound
	Likely      Fault // one string is low by two standard deviations; expect it with modules from one lot
	Guard       Guard
	Wires       []Wire
	Card        []Point
}

// Design answers a job: all splits, the recommended one, the chosen one and what follows from it. The error tells why
// nothing can be wired, or what is wrong with the request; Plan.Splits and Plan.Recommended hold in the latter case.
func Design(job Job) (p Plan, err error) {
	if p, err = Choose(job); err == nil && p.Chosen.Split != nil {
		p.follow(job)
	}
	return p, err
}

// Choose is Design without what follows from the chosen split.
func Choose(job Job) (p Plan, err error) {
	if err := job.check(); err != nil {
		return Plan{}, err
	}
	rails, asked := byRail(job.Modules), job.Request != (Request{})
	p.Splits = job.splits(rails, false)
	p.Recommended, p.Chosen = choose(p.Splits, Request{}), choose(p.Splits, job.Request)
	if !p.Recommended.Fed() {
		p.Apart, p.Recommended.Split = job.apart(rails), nil
	}
	near := p.Chosen.Split
	if near == nil {
		return p, refusal(job, p.Splits)
	}
	if near.fit("") == nil && (len(p.Apart) == 0 || asked && near.Touch != AboveTouch) {
		p.Wanted = near.wanted(job.Given)
	}
	if !asked {
		p.Chosen = p.Recommended
	} else if p.Recommended.Harm {
		if d, err := Divide(job); err == nil && len(d.Jobs) > 1 && !d.harm {
			p.Recommended = Pick{Why: d.Why}
		}
	}
	if job.Why.Any() && p.Chosen.Fed() {
		p.Chosen.Why, p.Recommended.Why = job.Why, job.Why
	}
	return p, nil
}

// follow works out what follows from the chosen split. Where no driver is chosen, or it does not fit, the strings are
// fed their own current.
func (p *Plan) follow(job Job) {
	split := *p.Chosen.Split
	c := Circuit{Strings: split.Of, DriverA: split.DriverA, Before: job.Before}
	v := verdict(split, parts.Driver{OpenV: split.HighestV, Isolated: true}, job.Channel.Pulses)
	if p.Chosen.Fit != nil {
		c.Driver, v = p.Chosen.Fit.Driver, p.Chosen.Fit.Verdict
	}
	if p.Chosen.Fed() {
		c.DriverA = p.Chosen.Fit.CurrentA
	}
	p.Circuit, p.Limits, p.Sharing = c, judge(split, v, c.DriverA), share(c.Strings, c.DriverA)
	highString, lowString, highModule := c.extremes()
	p.Open, p.Short = c.open(highString), c.short(lowString, highModule)
	p.Worst = c.spread(job.Given.ForwardShare, 1, 1)
	p.Likely = c.spread(job.Given.ForwardShare, likelyShare(split.PerString), 0)
	p.Guard = p.guard(job)
	p.Wires, p.Card = wires(job, c, p.Sharing), card(job.Given, c, p.Sharing)
}

// Point is one place of the circuit where a meter can be held, with what to expect there. Voltages count from the
// driver's minus; wire losses are neglected.
type Point struct {
	String, Module int    // indices; -1 at the driver, and Module -1 where the string as a whole is meant
	Terminal       string // "+" or "-"
	VoltageV       float64
	LowV, HighV    float64 // by the tolerance of all modules between here and minus
	ColdV          float64 // right after a cold start
	CurrentA       float64
	AcrossV        float64 // across the module, string or driver; the same at both of its terminals
}

// card returns what a meter should read, in the order of a check: the driver's two terminals, then string by string the
// terminals of the string and of each module along it. All strings are in operation, at the given junction
// temperatures; a meter in series with a string reads the string's current. The plus that all strings share has the
// tolerance of the string with the widest.
func card(given Assumptions, c Circuit, running Sharing) []Point {
	cold := c.changed(func(_ int, m *parts.Mounted) { m.JunctionC = given.ColdC })
	starting := share(cold.Strings, c.DriverA)
	points, off := make([][]Point, len(c.Strings)), 0.0
	for i, line := range c.Strings { // from minus on, so that the last terminal is at 0 V exactly
		p := Point{String: i, CurrentA: running.CurrentA[i]}
		for k, m := range slices.Backward(line) {
			p.Module, p.Terminal = k, "-"
			p.AcrossV = voltage(m, p.CurrentA)
			points[i] = append(points[i], p)
			p.Terminal, p.VoltageV = "+", p.VoltageV+p.AcrossV
			p.ColdV += voltage(cold.Strings[i][k], starting.CurrentA[i])
			p.LowV, p.HighV = p.LowV+p.AcrossV*(1-given.ForwardShare), p.HighV+p.AcrossV*(1+given.ForwardShare)
			points[i] = append(points[i], p)
		}
		slices.Reverse(points[i])
		off = max(off, p.HighV-p.VoltageV)
	}
	v := running.VoltageV
	plus := Point{String: -1, Module: -1, Terminal: "+", VoltageV: v, LowV: v - off, HighV: v + off,
		ColdV: starting.VoltageV, CurrentA: c.DriverA, AcrossV: v}
	minus := Point{String: -1, Module: -1, Terminal: "-", CurrentA: c.DriverA, AcrossV: v}
	all := []Point{plus, minus}
	for i := range points {
		plus.String, plus.CurrentA = i, running.CurrentA[i]
		minus.String, minus.CurrentA = i, running.CurrentA[i]
		all = append(append(all, plus, minus), points[i]...)
	}
	return all
}

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

// Assumptions are numbers that no scene gives. Usual has usual ones; whoever shows an answer shows them too.
type Assumptions struct {
	ForwardShare float64 // how far the forward voltage of one module may lie from its table, up or down
	MarginShare  float64 // power that a driver must have over the load, as a share of the load
	ColdC        float64 // junction temperature when the light is switched on at its coldest
	CopperC      float64 // temperature of the wires
	DropShare    float64 // highest voltage lost in the wires of a string, as a share of its voltage
}

// What is taken as the same, and what is slack.
const (
	sameCurrentShare   = 1e-6 // currents nearer than this are the same, written in different units
	driverCurrentShare = 0.02 // a driver's current may be this far from the wanted one; a convention of this program
	roundingShare      = 1e-9 // slack for sums of many floats, as a share
)

// Usual returns the usual assumptions in air of a given temperature: bins of forward voltage are about 3 % wide, a room
// in winter is 10 K below the ambient air of the scene, wires in a rail 15 K above it. Common practice, no published
// source.
func Usual(airC float64) Assumptions {
	return Assumptions{ForwardShare: 0.03, MarginShare: 0.10, ColdC: airC - 10, CopperC: airC + 15, DropShare: 0.02}
}

// Job is what is to be wired to one driver. All modules must be for the same current; see ByCurrent.
type Job struct {
	Modules      []parts.Mounted
	RailLengthsM []float64 // by rail
	Drivers      map[string]parts.Driver
	Request      Request
	Feed         Feed
	Given        Assumptions
	Before       int // strings on other drivers that come first where strings are numbered through; only words know it
	Channel      Channel
	NearWater    bool              // the driver hangs where it may be splashed
	Dealt        [][]parts.Mounted // the strings, where they are decided already
	Why          finding.Finding   // why they are so; none where they are not decided
}

// Channel is what the driver dims with.
type Channel struct {
	Name   string
	Dims   bool // below full light, so that the driver must be able to
	Pulses bool // it dims by pulses rather than by current
}

// ErrNothing is what a job without modules gets.
var ErrNothing = errors.New("there are no modules to wire")

// check refuses modules that cannot be computed with. What it passes, nothing in this package refuses.
func (j Job) check() error {
	if len(j.Modules) == 0 {
		return ErrNothing
	}
	for _, m := range j.Modules {
		err := m.Part.CheckCurrent(m.CurrentA)
		for _, junctionC := range []float64{m.JunctionC, j.Given.ColdC} {
			if v := at(m, junctionC); err == nil && (!(v > 0) || math.IsInf(v, 0)) {
				err = fmt.Errorf("the voltage of %s at %g °C is none above 0", m.Part.Name, junctionC)
			}
		}
		if err != nil {
			return fmt.Errorf("module %s: %w", m.Name, err)
		}
	}
	return nil
}

// at returns the voltage of a module at its wanted current and a junction temperature, V.
func at(m parts.Mounted, junctionC float64) float64 {
	return m.Part.Voltage(m.CurrentA, junctionC) + m.ShiftV
}

// voltage returns the voltage of a module at its junction temperature and any current, V.
func voltage(m parts.Mounted, currentA float64) float64 {
	return m.Part.Voltage(currentA, m.JunctionC) + m.ShiftV
}

// ByCurrent groups modules by the current that they are for, in the order in which the currents first appear. Each
// group needs a driver of its own.
func ByCurrent(modules []parts.Mounted) (groups [][]parts.Mounted) {
	for _, m := range modules {
		k := slices.IndexFunc(groups, func(g []parts.Mounted) bool {
			return SameCurrent(m.CurrentA, g[0].CurrentA)
		})
		if k < 0 {
			groups, k = append(groups, nil), len(groups)
		}
		groups[k] = append(groups[k], m)
	}
	return groups
}

// SameCurrent tells whether two currents are the same, but for the unit that they were written in.
func SameCurrent(aA, bA float64) bool {
	return aA == bA || math.Abs(aA-bA) <= sameCurrentShare*math.Abs(bA)
}

// milliamps and number are arguments of findings.
func milliamps(a float64) finding.Value { return finding.Value{V: 1000 * a, Unit: "mA"} }
func number(n int) finding.Value        { return finding.Value{V: float64(n)} }
