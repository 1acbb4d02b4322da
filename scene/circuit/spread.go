package circuit

import (
	"math"
	"slices"
)

// Spread is how unevenly strings share the current when their forward voltages differ within the tolerance.
type Spread struct {
	OddShare     float64 // departure of a module's forward voltage that was put in, as a share of the tolerance
	Sharing      Sharing // string 0 lowest, all others highest
	LowestA      float64
	HighestA     float64
	HighestShare float64 // highest current as a share of what an equal string would get
	Over         bool    // a string gets more than a module of it may carry
	ChangeV      float64 // of the voltage, against all modules as given
}

// Worst returns the spread when all modules of one string are at the low end of the tolerance and all others are at the
// high end. It is a bound; with modules from one lot expect Likely.
func (c Circuit) Worst(t Tolerance) (Spread, error) { return c.spread(t, 1, 1) }

// likely returns the spread when one string is low by two standard deviations, those of the sum of independent modules
// that are spread evenly over the tolerance, and the others are as given: 2 t/sqrt(3 k) for k modules, t at most.
func (c Circuit) likely(t Tolerance) (Spread, error) {
	most := 0
	for _, line := range c.Strings {
		most = max(most, len(line))
	}
	return c.spread(t, min(1, 2/math.Sqrt(3*float64(max(1, most)))), 0)
}

// spread shifts the first string down by a share of the tolerance and the others up by another one.
func (c Circuit) spread(t Tolerance, down, up float64) (Spread, error) {
	before, err := c.Running()
	if err != nil {
		return Spread{}, err
	}
	shifted := make([][]Module, len(c.Strings))
	for i, line := range c.Strings {
		by := up
		if i == 0 {
			by = -down
		}
		for _, m := range line {
			v, err := m.voltageAt(m.CurrentA, m.JunctionC)
			if err != nil {
				return Spread{}, err
			}
			m.ShiftV += by * t.ofV(v)
			shifted[i] = append(shifted[i], m)
		}
	}
	s := Spread{OddShare: down}
	if s.Sharing, err = Share(shifted, c.DriverA); err != nil {
		return Spread{}, err
	}
	s.LowestA, s.HighestA = slices.Min(s.Sharing.CurrentA), slices.Max(s.Sharing.CurrentA)
	s.HighestShare = s.HighestA * float64(len(c.Strings)) / c.DriverA
	s.ChangeV = s.Sharing.VoltageV - before.VoltageV
	for i, line := range c.Strings {
		s.Over = s.Over || over(line, s.Sharing.CurrentA[i])
	}
	return s, nil
}
