package circuit

import (
	"fathomlux/scene/parts"
)

// Plan is the whole answer to a job.
type Plan struct {
	Splits      []Split
	Recommended Pick
	Chosen      Pick      // the same among what the request leaves open
	Apart       []Portion // where no driver feeds all modules: how several would; empty otherwise, and where none do
	Wanted      string    // what a driver would need to feed all, where neither one nor several serve
	Limits      []Judgement
	Circuit     Circuit // of the chosen pick
	Sharing     Sharing
	Open        Fault // the string with the highest voltage opens
	Short       Fault // the module with the highest voltage, in the string with the lowest, is bridged
	Worst       Spread
	Likely      Spread
	Running     Running // zero where no driver fits
	Wires       []Wire
	Card        []Point
}

// Running is what the light costs while nothing is wrong.
type Running struct {
	LoadW, Efficiency, MainsW float64
	HoursPerYear, KWhPerYear  float64
	CostPerYear               parts.Money // without amount where there is no tariff
	LmPerMainsW               float64     // 0 where the light is not known
}

// Design answers a job: all splits, the recommended one, the chosen one and what follows from it. The error tells why
// nothing can be wired, or what is wrong with the request; Plan.Splits and Plan.Recommended hold in the latter case.
func Design(job Job) (p Plan, err error) {
	if p.Splits, err = Splits(job); err != nil {
		return Plan{}, err
	}
	p.Recommended = recommend(p.Splits, Request{})
	if p.Chosen, err = choose(job, p.Splits); err != nil {
		return p, err
	}
	if p.Recommended.Split < 0 {
		if p.Apart = apart(job); len(p.Apart) == 0 && job.Request == (Request{}) {
			p.Wanted = wantedBy(p.Splits, job.Given)
		}
	}
	k := p.Chosen.Split
	if words := wanted(p.Splits, p.Chosen, job.Given); words != "" &&
		(len(p.Apart) == 0 || p.Splits[k].Touch != AboveTouch) {
		p.Chosen.Why += "; " + words
	}
	if k < 0 {
		return p, nil // nothing follows without a split that could be chosen; Chosen.Why says so
	}
	p.follow(job)
	return p, nil
}

// follow works out what follows from the chosen split.
func (p *Plan) follow(job Job) {
	s, c := p.Splits[p.Chosen.Split], wired(job, p.Splits, p.Chosen)
	p.Circuit, p.Limits, p.Sharing = c, judge(s, c.DriverA), share(c.Strings, c.DriverA)
	highString, lowString, highModule := c.extremes()
	p.Open, p.Short = c.Open(highString), c.Short(lowString, highModule)
	p.Worst, p.Likely = c.worst(job.Given.Forward), c.likely(job.Given.Forward)
	p.Wires, p.Card = wires(job, c, p.Sharing), card(job, c, p.Sharing)
	if k := p.Chosen.Fit; k >= 0 && s.Fits[k].Efficiency > 0 {
		p.Running = runningOf(s.LoadW, s.Fits[k].Efficiency, job.Use)
	}
}

// wired returns the circuit of a pick. Where no driver is chosen, or it does not fit, it is fed the strings' own
// current.
func wired(job Job, all []Split, pick Pick) Circuit {
	s := all[pick.Split]
	c := Circuit{Number: s.Of, DriverA: s.DriverA, Before: job.Before}
	for _, members := range s.Of {
		line := make([]parts.Mounted, len(members))
		for k, i := range members {
			line[k] = job.Modules[i]
		}
		c.Strings = append(c.Strings, line)
	}
	if pick.Fit >= 0 {
		c.Driver = s.Fits[pick.Fit].Driver
		if s.Fits[pick.Fit].Fits {
			c.DriverA = s.Fits[pick.Fit].CurrentA
		}
	}
	return c
}

// runningOf returns the running cost of a load on a driver of some efficiency at that load.
func runningOf(loadW, efficiency float64, u Use) Running {
	r := Running{LoadW: loadW, Efficiency: efficiency, MainsW: loadW / efficiency,
		HoursPerYear: u.HoursPerDay * daysPerYear}
	r.KWhPerYear = r.MainsW / 1000 * r.HoursPerYear
	r.CostPerYear = parts.Money{Amount: r.KWhPerYear * u.TariffPerKWh.Amount, Currency: u.TariffPerKWh.Currency}
	r.LmPerMainsW = u.FluxLm / r.MainsW
	return r
}

// Point is one place of the circuit where a meter can be held, with what to expect there. Voltages count from the
// driver's minus; wires are taken as free of loss.
type Point struct {
	String, Module int    // indices; -1 at the driver, and Module -1 where the string as a whole is meant
	Number         int    // the module's index in the job, -1 where none is meant
	Terminal       string // "+" or "-"
	VoltageV       float64
	LowV, HighV    float64 // by the tolerance of all modules between here and minus
	ColdV          float64 // right after a cold start
	CurrentA       float64
	AcrossV        float64 // across the module, string or driver; the same at both of its terminals
}

// card returns what a meter should read, in the order of a check: the driver's two terminals, then string by string the
// terminals of the string and of each module along it. All strings are in operation, at the given junction
// temperatures; a meter in series with a string reads the string's current.
func card(job Job, c Circuit, running Sharing) []Point {
	m := meter{warm: c, running: running, forward: job.Given.Forward}
	m.cold = c.changed(func(_ int, one *parts.Mounted) { one.JunctionC = job.Given.ColdC })
	m.starting = share(m.cold.Strings, c.DriverA)
	whole := m.driver(c.DriverA)
	points := whole.pair()
	for i := range c.Strings {
		whole.String, whole.CurrentA = i, m.running.CurrentA[i]
		points = append(append(points, whole.pair()...), m.along(i)...)
	}
	return points
}

// meter is the circuit in operation and at a cold start.
type meter struct {
	warm, cold        Circuit
	running, starting Sharing
	forward           Tolerance
}

// driver returns the plus terminal that all strings share. Its tolerance is that of the string with the widest.
func (m meter) driver(currentA float64) Point {
	v := m.running.VoltageV
	p := Point{String: -1, Module: -1, Number: -1, Terminal: "+", VoltageV: v, AcrossV: v, ColdV: m.starting.VoltageV,
		CurrentA: currentA}
	most := 0.0
	for i, line := range m.warm.Strings {
		off := 0.0
		for _, module := range line {
			across, _ := voltage(module, m.running.CurrentA[i])
			off += m.forward.ofV(across)
		}
		most = max(most, off)
	}
	p.LowV, p.HighV = v-most, v+most
	return p
}

// pair returns a plus terminal and the minus that belongs to it.
func (p Point) pair() []Point {
	minus := p
	minus.Terminal, minus.VoltageV, minus.LowV, minus.HighV, minus.ColdV = "-", 0, 0, 0, 0
	return []Point{p, minus}
}

// along returns the terminals of the modules of a string, from plus to minus. It adds up from minus, so that the last
// terminal is at 0 V exactly.
func (m meter) along(i int) []Point {
	line, coldLine := m.warm.Strings[i], m.cold.Strings[i]
	points := make([]Point, 2*len(line))
	var v, off, coldV float64
	for k := len(line) - 1; k >= 0; k-- {
		at := Point{String: i, Module: k, Number: m.warm.Number[i][k], CurrentA: m.running.CurrentA[i]}
		at.AcrossV, _ = voltage(line[k], at.CurrentA)
		at.Terminal, at.VoltageV, at.LowV, at.HighV, at.ColdV = "-", v, v-off, v+off, coldV
		points[2*k+1] = at
		across, _ := voltage(coldLine[k], m.starting.CurrentA[i])
		v, off, coldV = v+at.AcrossV, off+m.forward.ofV(at.AcrossV), coldV+across
		at.Terminal, at.VoltageV, at.LowV, at.HighV, at.ColdV = "+", v, v-off, v+off, coldV
		points[2*k] = at
	}
	return points
}
