package scene

// ColdJunctionC is the junction temperature of Figures: what a maker's short test right after switching on shows.
// Warm junctions give less light at a lower voltage; see Operate.
const ColdJunctionC = 25

// Figures are what one module, or a sum of modules, gives and takes with all junctions at ColdJunctionC.
type Figures struct {
	DiesLm, OpticsLm float64 // flux of the dies, and what of it leaves the optics
	PowerW           float64 // electrical power at the modules, without the driver's loss
	SeriesV          float64 // forward voltage; of a sum: all modules in one series string, dead ones included
}

// AtSwitchOn returns the figures of one module: flux and voltage of the part's tables, carried from the tables'
// junction temperature to ColdJunctionC by the part's own coefficients. A dead module has its voltage alone, which the
// driver may still give it.
func (m Module) AtSwitchOn() Figures {
	d := m.mounted().Draw(ColdJunctionC)
	if m.Dead {
		return Figures{SeriesV: d.VoltageV}
	}
	lm := d.RatedLm * d.RelativeFlux * m.Factor()
	return Figures{DiesLm: lm, OpticsLm: lm * m.Optic.Efficiency, PowerW: d.ElectricalW, SeriesV: d.VoltageV}
}

// AtSwitchOn returns the sum over all modules of the scene.
func (s *Scene) AtSwitchOn() Figures {
	var sum Figures
	for _, rail := range s.Rails {
		for _, m := range rail.Modules {
			f := m.AtSwitchOn()
			sum.DiesLm += f.DiesLm
			sum.OpticsLm += f.OpticsLm
			sum.PowerW += f.PowerW
			sum.SeriesV += f.SeriesV
		}
	}
	return sum
}

// StringV returns the forward voltage of one string right after switching on, the mean over the strings, and 0 where
// the scene does not say how many strings there are, or where its modules cannot be divided into so many.
func (s *Scene) StringV() float64 {
	if s.Wiring.Strings < 1 || len(s.Seats())%s.Wiring.Strings != 0 {
		return 0
	}
	return s.AtSwitchOn().SeriesV / float64(s.Wiring.Strings)
}

// PowerW returns the electrical power of the module at its current, W: at the reference junction temperature, or warm
// where the scene is; see Warm.
func (m Module) PowerW() float64 {
	if m.Dead {
		return 0
	}
	if m.Warmth != nil {
		return m.Warmth.VoltageV * m.CurrentA
	}
	v, _ := m.Part.Voltage(m.CurrentA, m.Part.ReferenceC)
	return v * m.CurrentA
}

// PowerW returns the electrical power of all modules, without the driver's loss, W.
func (s *Scene) PowerW() float64 {
	var w float64
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			w += m.PowerW()
		}
	}
	return w
}
