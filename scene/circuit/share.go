package circuit

import (
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Circuit is strings in parallel on one driver that gives DriverA.
type Circuit struct {
	Strings [][]parts.Mounted // in the order of the current, from the driver's plus on
	DriverA float64
	Driver  parts.Driver // zero where none is chosen
	Before  int          // see Job
}

// Sharing is how strings in parallel share a current.
type Sharing struct {
	VoltageV float64   // across all strings
	CurrentA []float64 // by string
	Beyond   []bool    // by string: a module of it is beyond its table, so that its current is an estimate
}

// Range returns the lowest and the highest current of a string.
func (s Sharing) Range() (lowA, highA float64) { return slices.Min(s.CurrentA), slices.Max(s.CurrentA) }

// jointOhm is the resistance that each string is given beside its modules, far below that of any solder joint. With it
// the current of a string follows from its voltage even where a table is flat.
const jointOhm = 1e-6

// share returns how parallel strings share totalA: the voltage at which the currents of the strings, each a rising
// function of the voltage, add to it. Junction temperatures stay as given. A string whose voltage is not reached gets
// no current, nor one that is nil: it is open.
// Source: circuit laws; for straight lines V = a + b I in two strings, I1 = (a2 - a1 + b2 I) / (b1 + b2).
func share(strings [][]parts.Mounted, totalA float64) Sharing {
	low, high := math.Inf(1), 0.0
	for _, s := range strings {
		if s != nil {
			low, high = min(low, stringV(s, 0)), max(high, stringV(s, totalA))
		}
	}
	out := Sharing{CurrentA: make([]float64, len(strings)), Beyond: make([]bool, len(strings))}
	acrossV := root(func(v float64) float64 {
		sum := -totalA
		for _, s := range strings {
			sum += stringA(s, v, totalA)
		}
		return sum
	}, low, high)
	most := 0
	for i, s := range strings {
		out.CurrentA[i] = stringA(s, acrossV, totalA)
		out.Beyond[i] = slices.ContainsFunc(s, func(m parts.Mounted) bool {
			return m.Part.CheckCurrent(out.CurrentA[i]) != nil
		})
		if out.CurrentA[i] > out.CurrentA[most] {
			most = i
		}
	}
	out.VoltageV = stringV(strings[most], out.CurrentA[most]) // where one string takes all, acrossV may lie above
	return out
}

// stringV returns the voltage of a string at a current, with the curves continued beyond their tables.
func stringV(s []parts.Mounted, currentA float64) float64 {
	sum := jointOhm * currentA
	for _, m := range s {
		sum += voltage(m, currentA)
	}
	return sum
}

// stringA returns the current of a string at a voltage, from none to mostA.
func stringA(s []parts.Mounted, voltageV, mostA float64) float64 {
	if s == nil {
		return 0
	}
	return root(func(a float64) float64 { return stringV(s, a) - voltageV }, 0, mostA)
}

// Fault is what one fault does to the rest, or unlike forward voltages. Junction temperatures stay as given; in truth
// they rise with the current.
type Fault struct {
	String, Module int     // where it is: index of the string, and of the module along it, -1 for a whole string
	Sharing        Sharing // all strings; an open one has no current
	HighestShare   float64 // highest current of a string, as a share of the modules' wanted current
	Over           []int   // strings that get more than a module of theirs may carry
	LoadW          float64
	Notes          []finding.Finding // what it means for the driver
}

// open returns what happens when a string opens: a die, a joint or a wire of it breaks. The driver presses its whole
// current through the others, N/(N-1) of what N equal strings had.
func (c Circuit) open(dead int) Fault {
	left := slices.Clone(c.Strings)
	left[dead] = nil
	return c.fault(Fault{String: dead, Module: -1}, left)
}

// short returns what happens when one module is bridged: its string needs less voltage and takes current from the
// others.
func (c Circuit) short(in, module int) Fault {
	left := slices.Clone(c.Strings)
	left[in] = slices.Delete(slices.Clone(left[in]), module, module+1)
	return c.fault(Fault{String: in, Module: module}, left)
}

// fault returns what happens when the strings become others, of which one is nil where it is open, and empty where it
// is bridged as a whole: the currents against what the modules may carry, voltage and power against the driver.
func (c Circuit) fault(f Fault, after [][]parts.Mounted) Fault {
	note := func(what finding.Finding) { f.Notes = append(f.Notes, what) }
	d, none := c.Driver, Sharing{CurrentA: make([]float64, len(after)), Beyond: make([]bool, len(after))}
	switch hit := after[f.String]; {
	case hit == nil && len(after) == 1:
		f.Sharing = none
		note(finding.AllDark.Of())
		if f.Sharing.VoltageV = max(d.OpenV, d.HighestV); f.Sharing.VoltageV > 0 {
			note(finding.DriverRises.Of(finding.Volts(f.Sharing.VoltageV)))
		}
		return f
	case hit != nil && len(hit) == 0:
		f.Sharing = none
		f.Sharing.CurrentA[f.String] = c.DriverA
		note(finding.DriverShorted.Of())
		return f
	}
	f.Sharing = share(after, c.DriverA)
	v := f.Sharing.VoltageV
	for i, line := range after {
		if line == nil {
			continue
		}
		a, number := f.Sharing.CurrentA[i], number(c.Before+i+1)
		f.HighestShare = max(f.HighestShare, a/line[0].CurrentA)
		if slices.ContainsFunc(line, func(m parts.Mounted) bool { // 0 stands for no limit
			return m.Part.HighestA > 0 && a > m.Part.HighestA*(1+roundingShare)
		}) {
			f.Over = append(f.Over, i)
		}
		switch {
		case a == 0:
			note(finding.StringDark.Of(number))
		case f.Sharing.Beyond[i]:
			note(finding.StringBeyondTable.Of(number, milliamps(a)))
		}
		f.LoadW += v * a
	}
	switch {
	case d.HighestV <= 0: // there is none
	case v < d.LowestV:
		note(finding.BelowDriver.Of(finding.Volts(v), finding.Volts(d.LowestV)))
	case v > d.HighestV:
		note(finding.AboveDriver.Of(finding.Volts(v), finding.Volts(d.HighestV)))
	}
	if d.RatedW > 0 && f.LoadW > d.RatedW*(1+roundingShare) {
		note(finding.AboveRated.Of(finding.Watts(f.LoadW), finding.Watts(d.RatedW)))
	}
	return f
}

// likelyShare returns two standard deviations of a string's voltage as a share of the tolerance: those of the sum of k
// independent modules that are spread evenly over it, 2 t/sqrt(3 k), t at most.
func likelyShare(k int) float64 { return min(1, 2/math.Sqrt(3*float64(k))) }

// spread returns how unevenly strings share the current when the first is shifted down by a share of the tolerance,
// which is one of the forward voltage, and the others up by another one.
func (c Circuit) spread(tolerance, down, up float64) Fault {
	shifted := c.changed(func(i int, m *parts.Mounted) {
		by := up
		if i == 0 {
			by = -down
		}
		m.ShiftV += by * tolerance * at(*m, m.JunctionC)
	})
	return c.fault(Fault{Module: -1}, shifted.Strings)
}

// changed returns a copy of the circuit with each module changed; i is the index of its string.
func (c Circuit) changed(change func(i int, m *parts.Mounted)) Circuit {
	c.Strings = slices.Clone(c.Strings)
	for i, line := range c.Strings {
		c.Strings[i] = slices.Clone(line)
		for k := range line {
			change(i, &c.Strings[i][k])
		}
	}
	return c
}

// extremes returns the strings with the highest and the lowest voltage, and the module with the highest voltage in the
// latter; the first of equals.
func (c Circuit) extremes() (highString, lowString, highModule int) {
	volts := make([]float64, len(c.Strings))
	for i, line := range c.Strings {
		volts[i] = stringV(line, line[0].CurrentA)
	}
	lowString = slices.Index(volts, slices.Min(volts))
	volts, highString = volts[:0], slices.Index(volts, slices.Max(volts))
	for _, m := range c.Strings[lowString] {
		volts = append(volts, at(m, m.JunctionC))
	}
	return highString, lowString, slices.Index(volts, slices.Max(volts))
}

// root returns where the rising function f crosses zero between low and high, to the last bits of those; the nearer end
// where it does not. False position that halves the weight of an end that stays (the Illinois rule), and falls back to
// halving the bracket where that is slow. gonum has no bracketing root finder.
// Source: M. Dowell, P. Jarratt 1971, BIT 11, 168-174.
func root(f func(float64) float64, low, high float64) float64 {
	atLow, atHigh := f(low), f(high)
	if atLow >= 0 {
		return low
	}
	side, slack := 0, 0x1p-51*max(math.Abs(low), math.Abs(high)) // side of the last guess
	for n := 0; n < 200 && atHigh > 0; n++ {
		x := low + (high-low)/2
		if straight := low - atLow*(high-low)/(atHigh-atLow); n%4 != 3 && straight > low && straight < high {
			x = straight
		}
		switch fx := f(x); {
		case fx == 0 || high-low <= slack || math.IsNaN(fx):
			return x
		case fx < 0:
			if low, atLow = x, fx; side < 0 {
				atHigh /= 2
			}
			side = -1
		default:
			if high, atHigh = x, fx; side > 0 {
				atLow /= 2
			}
			side = 1
		}
	}
	return high
}
