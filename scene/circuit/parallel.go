package circuit

import (
	"errors"
	"fmt"
	"math"
)

// jointOhm is the resistance that each string is given beside its modules, far below that of any solder joint. With it the
// current of a string follows from its voltage even where a table is flat.
const jointOhm = 1e-6

// Sharing is how strings in parallel share a current.
type Sharing struct {
	VoltageV float64   // across all strings
	CurrentA []float64 // by string
	Beyond   []bool    // by string: a module of it is beyond its table, so that its current is an estimate
}

// Share returns how parallel strings share totalA: the voltage at which the currents of the strings, each a rising
// function of the voltage, add to it. Junction temperatures stay as given. Where a string's modules leave their tables,
// see Sharing.Beyond; a string whose voltage is not reached gets no current.
// Source: circuit laws; for straight lines V = a + b I in two strings, I1 = (a2 - a1 + b2 I) / (b1 + b2).
func Share(strings [][]Module, totalA float64) (Sharing, error) {
	if err := checkStrings(strings, totalA); err != nil {
		return Sharing{}, err
	}
	low, high := math.Inf(1), 0.0
	for _, s := range strings {
		atNone, _ := stringV(s, 0)
		atAll, _ := stringV(s, totalA)
		low, high = min(low, atNone), max(high, atAll)
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
		_, out.Beyond[i] = stringV(s, out.CurrentA[i])
		if out.CurrentA[i] > out.CurrentA[most] {
			most = i
		}
	}
	out.VoltageV, _ = stringV(strings[most], out.CurrentA[most]) // where one string takes all, acrossV may lie above
	return out, nil
}

func checkStrings(strings [][]Module, totalA float64) error {
	switch {
	case len(strings) == 0:
		return ErrNothing
	case !finite(totalA) || totalA <= 0:
		return errors.New("the driver's current is not a number above 0")
	}
	for i, s := range strings {
		if len(s) == 0 {
			return fmt.Errorf("string %d has no modules; it would short the driver", i+1)
		}
		for _, m := range s {
			if err := m.check(); err != nil {
				return fmt.Errorf("string %d: %w", i+1, err)
			}
		}
	}
	return nil
}

// stringV returns the voltage of a string at a current, with the curves continued beyond their tables.
func stringV(s []Module, currentA float64) (voltageV float64, beyond bool) {
	voltageV = jointOhm * currentA
	for _, m := range s {
		v, outside := m.continuedV(currentA)
		voltageV += v
		beyond = beyond || outside
	}
	return voltageV, beyond
}

// stringA returns the current of a string at a voltage, from none to mostA.
func stringA(s []Module, voltageV, mostA float64) float64 {
	return root(func(a float64) float64 {
		v, _ := stringV(s, a)
		return v - voltageV
	}, 0, mostA)
}
