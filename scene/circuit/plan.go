package circuit

import (
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Plan is the whole answer to a job.
type Plan struct {
	Splits      []Split
	Recommended Pick            // whatever the request; nothing where no driver feeds all modules
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
	if p.Splits, err = splits(job); err != nil {
		return Plan{}, err
	}
	asked := job.Request != (Request{})
	p.Recommended, p.Chosen = choose(job, p.Splits, Request{}), choose(job, p.Splits, job.Request)
	if !p.Recommended.Fed() {
		p.Apart, p.Recommended.Split = apart(job), nil
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
	}
	return p, nil
}

// follow works out what follows from the chosen split.
func (p *Plan) follow(job Job) {
	c := wired(job, p.Chosen)
	p.Circuit, p.Limits, p.Sharing = c, judge(*p.Chosen.Split, c.DriverA), share(c.Strings, c.DriverA)
	highString, lowString, highModule := c.extremes()
	p.Open, p.Short = c.open(highString), c.short(lowString, highModule)
	p.Worst = c.spread(job.Given.ForwardShare, 1, 1)
	p.Likely = c.spread(job.Given.ForwardShare, likelyShare(p.Chosen.Split.PerString), 0)
	p.Wires, p.Card = wires(job, c, p.Sharing), card(job, c, p.Sharing)
}

// wired returns the circuit of a pick. Where no driver is chosen, or it does not fit, it is fed the strings' own
// current.
func wired(job Job, p Pick) Circuit {
	c := Circuit{DriverA: p.Split.DriverA, Before: job.Before}
	for _, members := range p.Split.Of {
		c.Strings = append(c.Strings, pick(job.Modules, members))
	}
	if p.Fit != nil {
		c.Driver = p.Fit.Driver
	}
	if p.Fed() {
		c.DriverA = p.Fit.CurrentA
	}
	return c
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

// level is what stands between a terminal and minus: the voltage, its tolerance, and the voltage at a cold start.
type level struct{ voltageV, offV, coldV float64 }

// at returns the point's terminal at a level.
func (p Point) at(terminal string, l level) Point {
	p.Terminal, p.VoltageV, p.ColdV = terminal, l.voltageV, l.coldV
	p.LowV, p.HighV = l.voltageV-l.offV, l.voltageV+l.offV
	return p
}

// card returns what a meter should read, in the order of a check: the driver's two terminals, then string by string the
// terminals of the string and of each module along it. All strings are in operation, at the given junction
// temperatures; a meter in series with a string reads the string's current. The plus that all strings share has the
// tolerance of the string with the widest.
func card(job Job, c Circuit, running Sharing) []Point {
	cold := c.changed(func(_ int, m *parts.Mounted) { m.JunctionC = job.Given.ColdC })
	starting := share(cold.Strings, c.DriverA)
	whole := level{voltageV: running.VoltageV, coldV: starting.VoltageV}
	points := make([][]Point, len(c.Strings)) // from minus on, so that the last terminal is at 0 V exactly
	for i, line := range c.Strings {
		var here level
		for k, m := range slices.Backward(line) {
			p := Point{String: i, Module: k, CurrentA: running.CurrentA[i]}
			p.AcrossV, _ = voltage(m, p.CurrentA)
			coldV, _ := voltage(cold.Strings[i][k], starting.CurrentA[i])
			points[i] = append(points[i], p.at("-", here))
			here = level{here.voltageV + p.AcrossV, here.offV + job.Given.ForwardShare*p.AcrossV, here.coldV + coldV}
			points[i] = append(points[i], p.at("+", here))
		}
		slices.Reverse(points[i])
		whole.offV = max(whole.offV, here.offV)
	}
	p := Point{String: -1, Module: -1, CurrentA: c.DriverA, AcrossV: running.VoltageV}
	all := []Point{p.at("+", whole), p.at("-", level{})}
	for i := range points {
		p.String, p.CurrentA = i, running.CurrentA[i]
		all = append(append(all, p.at("+", whole), p.at("-", level{})), points[i]...)
	}
	return all
}
