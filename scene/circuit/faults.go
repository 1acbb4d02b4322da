package circuit

import (
	"fmt"
	"slices"

	"fathomlux/scene/parts"
)

// Circuit is strings in parallel on one driver that gives DriverA.
type Circuit struct {
	Strings [][]Module // in the order of the current, from the driver's plus on
	Number  [][]int    // the modules' indices in the job
	DriverA float64
	Driver  parts.Driver // zero where none is chosen
	Before  int          // see Job
}

// wired returns the circuit of a pick. Where no driver is chosen, or its current is not the strings', it is fed the
// strings' own current.
func wired(job Job, all []Split, p Pick) (Circuit, error) {
	if p.Split < 0 || p.Split >= len(all) || all[p.Split].Refused != "" {
		return Circuit{}, fmt.Errorf("nothing is wired: %s", p.Why)
	}
	s := all[p.Split]
	c := Circuit{Number: s.Of, DriverA: s.DriverA, Before: job.Before}
	for _, members := range s.Of {
		var line []Module
		for _, i := range members {
			line = append(line, job.Modules[i])
		}
		c.Strings = append(c.Strings, line)
	}
	if p.Fit >= 0 && p.Fit < len(s.Fits) {
		c.Driver = s.Fits[p.Fit].Driver
		if s.Fits[p.Fit].Fits {
			c.DriverA = s.Fits[p.Fit].CurrentA
		}
	}
	return c, nil
}

// Running returns how the strings share the driver's current when nothing is wrong.
func (c Circuit) Running() (Sharing, error) { return Share(c.Strings, c.DriverA) }

// Fault is what one fault does to the rest. Junction temperatures stay as given; in truth they rise with the current.
type Fault struct {
	String, Module int     // where it is: index of the string, and of the module along it, -1 where a whole string opens
	Sharing        Sharing // all strings; an open one has no current
	HighestShare   float64 // highest current of a string, as a share of the modules' wanted current
	Over           []int   // strings that get more than a module of theirs may carry
	LoadW          float64
	Notes          []string // what it means for the driver
}

// Open returns what happens when a string opens: a die, a joint or a wire of it breaks. The driver presses its whole
// current through the others, N/(N-1) of what N equal strings had.
func (c Circuit) Open(dead int) (Fault, error) {
	if dead < 0 || dead >= len(c.Strings) {
		return Fault{}, fmt.Errorf("there is no string %d", dead+1)
	}
	f := Fault{String: dead, Module: -1}
	if len(c.Strings) == 1 {
		f.Sharing = Sharing{VoltageV: c.Driver.HighestV, CurrentA: []float64{0}, Beyond: []bool{false}}
		f.Notes = []string{"all modules are dark"}
		if c.Driver.HighestV > 0 {
			f.Notes[0] += "; the driver rises to as much as " + sayV(c.Driver.HighestV)
		}
		return f, nil
	}
	rest := slices.Delete(slices.Clone(c.Strings), dead, dead+1)
	shared, err := Share(rest, c.DriverA)
	if err != nil {
		return Fault{}, err
	}
	shared.CurrentA = slices.Insert(shared.CurrentA, dead, 0)
	shared.Beyond = slices.Insert(shared.Beyond, dead, false)
	f.Sharing = shared
	c.weigh(&f, c.Strings)
	return f, nil
}

// Short returns what happens when one module is bridged: its string needs less voltage and takes current from the
// others.
func (c Circuit) Short(in, module int) (Fault, error) {
	if in < 0 || in >= len(c.Strings) || module < 0 || module >= len(c.Strings[in]) {
		return Fault{}, fmt.Errorf("there is no module %d in string %d", module+1, in+1)
	}
	f := Fault{String: in, Module: module}
	after := slices.Clone(c.Strings)
	after[in] = slices.Delete(slices.Clone(after[in]), module, module+1)
	if len(after[in]) == 0 {
		f.Sharing = Sharing{CurrentA: make([]float64, len(after)), Beyond: make([]bool, len(after))}
		f.Sharing.CurrentA[in] = c.DriverA
		f.Notes = []string{"the driver is shorted: it shuts down or pulses, and all modules are dark"}
		return f, nil
	}
	var err error
	if f.Sharing, err = Share(after, c.DriverA); err != nil {
		return Fault{}, err
	}
	c.weigh(&f, after)
	return f, nil
}

// weigh holds a fault's currents against what the modules may carry, and its voltage and power against the driver.
func (c Circuit) weigh(f *Fault, after [][]Module) {
	for i, line := range after {
		a := f.Sharing.CurrentA[i]
		for _, m := range line {
			f.HighestShare = max(f.HighestShare, a/m.CurrentA)
		}
		if over(line, a) {
			f.Over = append(f.Over, i)
		}
		switch {
		case a == 0 && !(i == f.String && f.Module < 0):
			f.Notes = append(f.Notes, fmt.Sprintf("string %d gets no current, or next to none", c.Before+i+1))
		case f.Sharing.Beyond[i]:
			f.Notes = append(f.Notes, fmt.Sprintf("string %d is beyond its modules' tables: %s is an estimate", c.Before+i+1, sayA(a)))
		}
		f.LoadW += f.Sharing.VoltageV * a
	}
	d := c.Driver
	switch {
	case d.HighestV <= 0:
	case f.Sharing.VoltageV < d.LowestV:
		f.Notes = append(f.Notes, fmt.Sprintf("%s are below the driver's lowest %s: it may shut down or flicker", sayV(f.Sharing.VoltageV), sayV(d.LowestV)))
	case f.Sharing.VoltageV > d.HighestV:
		f.Notes = append(f.Notes, fmt.Sprintf("%s are above the driver's highest %s: it gives less than its current", sayV(f.Sharing.VoltageV), sayV(d.HighestV)))
	}
	if d.RatedW > 0 && f.LoadW > d.RatedW*(1+roundingShare) {
		f.Notes = append(f.Notes, fmt.Sprintf("%s are above the driver's rated %s", sayW(f.LoadW), sayW(d.RatedW)))
	}
}

// over tells whether a current is more than a module of the string may carry, 0 standing for no limit.
func over(line []Module, currentA float64) bool {
	return slices.ContainsFunc(line, func(m Module) bool {
		return m.Part.HighestA > 0 && currentA > m.Part.HighestA*(1+roundingShare)
	})
}
