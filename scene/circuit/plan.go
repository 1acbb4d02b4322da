package circuit

// Plan is the whole answer to a job.
type Plan struct {
	Splits      []Split
	Recommended Pick
	Chosen      Pick      // the same among what the wish leaves open
	Apart       []Portion // where no driver feeds all modules: how several would; empty otherwise, and where none do
	Wanted      string    // what a driver would need to feed all modules, where there is none and several do not serve either
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

// Design answers a job: all splits, the recommended one, the chosen one and what follows from it. The error tells why
// nothing can be wired, or what is wrong with the wish; Plan.Splits and Plan.Recommended hold in the latter case.
func Design(job Job) (Plan, error) {
	var p Plan
	var err error
	if p.Splits, err = Splits(job); err != nil {
		return Plan{}, err
	}
	p.Recommended = recommendAll(p.Splits)
	if p.Chosen, err = choose(job, p.Splits); err != nil {
		return p, err
	}
	if !fed(p.Splits) {
		if p.Apart = Apart(job); len(p.Apart) == 0 && job.Wish == (Wish{}) {
			p.Wanted = wantedBy(p.Splits, job.Given)
		}
	}
	if words := wanted(p.Splits, p.Chosen, job.Given); words != "" && (len(p.Apart) == 0 || p.Splits[p.Chosen.Split].Touch != AboveTouch) {
		p.Chosen.Why += "; " + words
	}
	if p.Circuit, err = wired(job, p.Splits, p.Chosen); err != nil {
		return p, nil // nothing follows without a split that could be chosen; Chosen.Why says so
	}
	if err := p.follow(job); err != nil {
		return p, err
	}
	return p, nil
}

// follow works out what follows from the chosen split.
func (p *Plan) follow(job Job) error {
	s, c := p.Splits[p.Chosen.Split], p.Circuit
	p.Limits = judge(Output{HighestV: s.HighestV, CurrentA: c.DriverA, LoadW: s.LoadW})
	highString, lowString, highModule := c.extremes()
	steps := []func() error{
		func() (err error) { p.Sharing, err = c.Running(); return err },
		func() (err error) { p.Open, err = c.Open(highString); return err },
		func() (err error) { p.Short, err = c.Short(lowString, highModule); return err },
		func() (err error) { p.Worst, err = c.Worst(job.Given.Forward); return err },
		func() (err error) { p.Likely, err = c.likely(job.Given.Forward); return err },
		func() (err error) { p.Wires, err = Wires(job, c); return err },
		func() (err error) { p.Card, err = Card(job, c); return err },
		func() (err error) {
			if p.Chosen.Fit >= 0 && s.Fits[p.Chosen.Fit].Efficiency > 0 {
				p.Running, err = runningOf(s.LoadW, s.Fits[p.Chosen.Fit].Efficiency, job.Use)
			}
			return err
		},
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// extremes returns the strings with the highest and the lowest voltage, and the module with the highest voltage in the
// latter; the first of equals.
func (c Circuit) extremes() (highString, lowString, highModule int) {
	volts := make([]float64, len(c.Strings))
	for i, line := range c.Strings {
		volts[i], _ = stringV(line, line[0].CurrentA)
		if volts[i] > volts[highString] {
			highString = i
		}
		if volts[i] < volts[lowString] {
			lowString = i
		}
	}
	highestV := 0.0
	for k, m := range c.Strings[lowString] {
		if v, _ := m.continuedV(m.CurrentA); v > highestV {
			highestV, highModule = v, k
		}
	}
	return highString, lowString, highModule
}
