package heat

import (
	"fmt"
	"math"
)

const (
	settledK  = 1e-3 // last change of any junction; ten times less than what is promised
	mostSteps = 200
	runawayC  = 1000

	energyError = 1e-3 // of the heat; more is refused
	leastW      = 1e-6 // a difference that no one minds, of a rail with next to no heat
)

// Balance finds the state in which electrical power, heat and temperatures agree: junction temperatures give volts and
// light, these give heat, the heat gives the rail's temperatures and so the junctions', until none moves by more than a
// hundredth of a kelvin. Errors are wrong input and, wrapping ErrTooHot, a rail that runs away or passes hottestC.
func Balance(in Input) (Result, error) {
	if err := in.check(); err != nil {
		return Result{}, err
	}
	s, err := newSearch(in)
	if err != nil {
		return Result{}, err
	}
	for s.Steps = 1; s.Steps <= mostSteps; s.Steps++ {
		worstK, err := s.step()
		if err != nil {
			return Result{}, err
		}
		if worstK < settledK {
			err = s.sum()
			return s.Result, err
		}
		s.move()
	}
	return Result{}, fmt.Errorf("heat and electrical power do not settle within %d steps: %w", mostSteps, ErrTooHot)
}

// search is a balance on its way. Its result has what came of the last step.
type search struct {
	Result
	in        Input
	fin       fin
	junctionC []float64 // what the last step was made for
	lastK     []float64 // the change of the step before
	pace      float64   // share of a change that is made
}

func newSearch(in Input) (*search, error) {
	n, p := len(in.Modules), in.Profile
	s := &search{in: in, pace: 1, junctionC: make([]float64, n), lastK: make([]float64, n),
		Result: Result{Line: newLine(in.LengthM, in.AirC), Modules: make([]State, n)},
		fin: fin{ConductionWM: p.ConductivityWPerMK * p.MetalM2, EndExtraM: p.MetalM2 / p.PerimeterM,
			Sources: make([]source, n)}}
	for i, m := range in.Modules {
		half := m.Part.BoardLengthM / 2
		s.fin.Sources[i] = source{FromM: m.AlongM - half, ToM: m.AlongM + half}
		s.Modules[i].AlongM, s.junctionC[i] = m.AlongM, in.AirC
	}
	return s, s.setAir(in.AirC, in.AirC)
}

// setAir makes the table of what the bar loses to the air around it.
func (s *search) setAir(wallC, airC float64) (err error) {
	s.HoodWallC, s.AirC = wallC, airC
	s.fin.Loss, err = Bar{Profile: s.in.Profile, AirC: airC}.loss()
	return err
}

// step goes once from junction temperatures to power, rail and junction temperatures, and returns the largest change.
func (s *search) step() (worstK float64, err error) {
	var heatW float64
	for i, m := range s.in.Modules {
		s.Modules[i].Draw = m.Draw(s.junctionC[i])
		s.fin.Sources[i].HeatW = s.Modules[i].HeatW
		heatW += s.Modules[i].HeatW
	}
	if worstK, err = s.warmHood(heatW); err != nil {
		return 0, err
	}
	if s.Line, err = s.fin.solve(s.Line); err != nil {
		return 0, err
	}
	for i, m := range s.in.Modules {
		state, from := &s.Modules[i], s.fin.Sources[i]
		state.RailC = s.Line.meanC(from.FromM, from.ToM)
		state.BoardC = state.RailC + state.HeatW*interfaceKPerW
		diesW := state.HeatW - state.OpticW // what the optic keeps does not pass the junction
		state.CaseC = state.BoardC + diesW*m.Part.CaseResistanceKPerW
		state.JunctionC = state.BoardC + diesW*m.Part.ResistanceKPerW
		if !(state.JunctionC < runawayC) {
			return 0, fmt.Errorf("module %s at %.4g m would exceed %d °C, from more heat than the rail gives off or "+
				"from thermal runaway: %w", m.Name, m.AlongM, runawayC, ErrTooHot)
		}
		worstK = math.Max(worstK, math.Abs(state.JunctionC-s.junctionC[i]))
	}
	return worstK, nil
}

// warmHood brings the air around the rail to the balance of the hood, and returns by how much it moved.
func (s *search) warmHood(heatW float64) (movedK float64, err error) {
	if s.in.Hood == nil {
		return 0, nil
	}
	wallC, airC, err := s.in.Hood.Warm(heatW+s.in.Hood.OtherHeatW, s.in.AirC)
	if err != nil {
		return 0, err
	}
	if movedK = math.Abs(airC - s.AirC); movedK < settledK/10 {
		return 0, nil
	}
	return movedK, s.setAir(wallC, airC)
}

// move takes the junctions towards what came of them, more slowly once they swing back and forth.
func (s *search) move() {
	var same float64
	for i, m := range s.Modules {
		same += (m.JunctionC - s.junctionC[i]) * s.lastK[i]
	}
	if same < 0 && s.Steps > 3 {
		s.pace = math.Max(s.pace/2, 1.0/64)
	}
	for i, m := range s.Modules {
		s.lastK[i] = m.JunctionC - s.junctionC[i]
		s.junctionC[i] += s.pace * s.lastK[i]
	}
}

// sum adds up what came of the last step, and refuses what is no answer.
func (r *search) sum() error {
	r.LossW, r.RelativeFlux, r.Hottest, r.Tightest = r.Line.LossW, 1, -1, -1
	r.HottestRailC, r.HottestRailM = r.Line.hottestC()
	for i := range r.Modules {
		r.add(i)
	}
	if r.HottestRailC > hottestC || r.HottestJunctionC > hottestC {
		return fmt.Errorf("the rail would reach %.0f °C and its hottest junction %.0f °C, beyond %d °C: %w",
			r.HottestRailC, r.HottestJunctionC, hottestC, ErrTooHot)
	}
	if r.HeatW > 0 {
		r.EnergyError = math.Abs(r.LossW-r.HeatW) / r.HeatW
	}
	if !(r.EnergyError <= energyError || math.Abs(r.LossW-r.HeatW) <= leastW) {
		return fmt.Errorf("%.4g W go into the rail and %.4g W come out: its figures differ too much in size to compute with",
			r.HeatW, r.LossW)
	}
	if r.RatedLm > 0 {
		r.RelativeFlux = r.FluxLm / r.RatedLm
	}
	return nil
}

// add adds module i to the sums and the extremes.
func (r *search) add(i int) {
	m := &r.Modules[i]
	m.MarginK = r.in.Modules[i].Part.HighestJunctionC - m.JunctionC
	r.ElectricalW += m.ElectricalW
	r.LightW += m.LightW
	r.HeatW += m.HeatW
	r.RatedLm += m.RatedLm
	r.FluxLm += m.RatedLm * m.RelativeFlux
	if r.Hottest < 0 || m.JunctionC > r.HottestJunctionC+TieK {
		r.Hottest, r.HottestJunctionC = i, m.JunctionC
	}
	if r.Tightest < 0 || m.MarginK < r.SmallestMarginK-TieK {
		r.Tightest, r.SmallestMarginK = i, m.MarginK
	}
}
