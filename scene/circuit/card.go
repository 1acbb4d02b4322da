package circuit

import (
	"fathomlux/scene/parts"
)

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
