package circuit

import (
	"errors"
	"fmt"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// paths returns the parallel paths of dies on the board, and the dies in series in each.
func paths(p parts.Module) (parallel, series float64) {
	parallel = max(1, float64(p.ParallelPaths))
	return parallel, float64(p.Dies()) / parallel
}

// voltageAt returns the voltage across the module, V, at a current and a junction temperature: the dies in series, each
// by its table and its drift per kelvin. A current outside the table is refused.
// Source: V(T) = V(T0) + k (T - T0), Khanna 2014, Fundamentals of Solid-State Lighting, eq. 14.1.
func (m Module) voltageAt(currentA, junctionC float64) (float64, error) {
	parallel, series := paths(m.Part)
	if series < 1 {
		return 0, errors.New("the module has no dies")
	}
	dieV, err := m.Part.ForwardV.At(currentA / parallel)
	if err != nil {
		first, last := m.rangeA()
		return 0, fmt.Errorf("nothing is known of %s at %s; its table runs from %s to %s", m.Part.Name, sayA(currentA), sayA(first), sayA(last))
	}
	v := series*(dieV+m.Part.VoltsPerK*(junctionC-m.Part.ReferenceC)) + m.ShiftV
	if !finite(v) || v <= 0 {
		return 0, fmt.Errorf("the voltage of %s at %g °C is not above 0", m.Part.Name, junctionC)
	}
	return v, nil
}

// rangeA returns the module's currents from the first to the last row of its table.
func (m Module) rangeA() (first, last float64) {
	parallel, _ := paths(m.Part)
	first, last = m.Part.ForwardV.Domain()
	return first * parallel, last * parallel
}

// continuedV returns the voltage across the module at its junction temperature and any current. Beyond the rows of the
// table, as a fault may drive it, the curve is continued straight, by the slope between the outermost two rows; beyond is
// true then. A real die takes a little more current at a low voltage than this says. The module must have been checked.
func (m Module) continuedV(currentA float64) (voltageV float64, beyond bool) {
	parallel, series := paths(m.Part)
	die := currentA / parallel
	first, last := m.Part.ForwardV.Domain()
	inside := min(max(die, first), last)
	v, _ := m.Part.ForwardV.At(inside)
	if die != inside {
		v += outerSlope(m.Part.ForwardV, die > last) * (die - inside)
	}
	return series*(v+m.Part.VoltsPerK*(m.JunctionC-m.Part.ReferenceC)) + m.ShiftV, die != inside
}

// outerSlope returns the slope between the last two rows of a table, or the first two, and 0 where there is one row only.
func outerSlope(c curve.Curve, upper bool) float64 {
	x, y := c.Points()
	if len(x) < 2 {
		return 0
	}
	i := 0
	if upper {
		i = len(x) - 2
	}
	return (y[i+1] - y[i]) / (x[i+1] - x[i])
}
