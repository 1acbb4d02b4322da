package circuit

import (
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
