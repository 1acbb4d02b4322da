package heat

import (
	"fmt"
	"math"

	"fathomlux/scene/parts"
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
	s, err := newSearch(in)
	if err != nil {
		return Result{}, err
	}
	for s.steps = 1; s.steps <= mostSteps; s.steps++ {
		worstK, err := s.step()
		if err != nil {
			return Result{}, err
		}
		if worstK < settledK {
			return s.result()
		}
	}
	return Result{}, fmt.Errorf("heat and electrical power do not settle within %d steps: %w", mostSteps, ErrTooHot)
}

// search is a balance on its way.
type search struct {
	in               Input
	fin              fin
	line             Line
	hoodWallC, hoodC float64 // wall, and air around the rail
	draws            []parts.Draw
	junctionC, nextC []float64 // what the draws were made for, and what came of them
	lastK            []float64 // the change of the step before
	pace             float64   // share of a change that is made
	steps            int
}

func newSearch(in Input) (*search, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	n, p := len(in.Modules), in.Profile
	s := &search{
		in: in, draws: make([]parts.Draw, n), pace: 1, line: newLine(in.LengthM, in.AirC),
		junctionC: make([]float64, n), nextC: make([]float64, n), lastK: make([]float64, n),
		fin: fin{ConductionWM: p.ConductivityWPerMK * p.MetalM2, EndExtraM: p.MetalM2 / p.PerimeterM,
			Sources: make([]source, n)},
	}
	for i := range in.Modules {
		s.junctionC[i] = in.AirC
	}
	return s, s.setAir(in.AirC, in.AirC)
}

// setAir makes the table of what the bar loses to the air around it.
func (s *search) setAir(wallC, airC float64) (err error) {
	s.hoodWallC, s.hoodC = wallC, airC
	s.fin.Loss, err = Bar{Profile: s.in.Profile, AirC: airC}.loss()
	return err
}

// step goes once from junction temperatures to power, rail and junction temperatures, and returns the largest change.
func (s *search) step() (worstK float64, err error) {
	var heatW float64
	for i, m := range s.in.Modules {
		s.draws[i] = m.Draw(s.junctionC[i])
		half := m.Part.BoardLengthM / 2
		s.fin.Sources[i] = source{FromM: m.AlongM - half, ToM: m.AlongM + half, HeatW: s.draws[i].HeatW}
		heatW += s.draws[i].HeatW
	}
	movedK, err := s.warmHood(heatW)
	if err != nil {
		return 0, err
	}
	if s.line, err = s.fin.solve(s.line); err != nil {
		return 0, err
	}
	for i, m := range s.in.Modules {
		src := s.fin.Sources[i]
		// what the optic keeps does not pass the junction
		throughW := s.draws[i].HeatW - s.draws[i].OpticW
		s.nextC[i] = s.line.meanC(src.FromM, src.ToM) + src.HeatW*interfaceKPerW + throughW*m.Part.ResistanceKPerW
		if !(s.nextC[i] < runawayC) {
			return 0, fmt.Errorf("module %s at %.4g m would pass %d °C, from more heat than the rail gives off or from heat "+
				"that grows with itself: %w", m.Called(i), m.AlongM, runawayC, ErrTooHot)
		}
		worstK = math.Max(worstK, math.Abs(s.nextC[i]-s.junctionC[i]))
	}
	worstK = math.Max(worstK, movedK)
	if worstK >= settledK {
		s.move()
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
	if movedK = math.Abs(airC - s.hoodC); movedK < settledK/10 {
		return 0, nil
	}
	return movedK, s.setAir(wallC, airC)
}

// move takes the junctions towards what came of them, more slowly once they swing back and forth.
func (s *search) move() {
	var same float64
	for i := range s.nextC {
		same += (s.nextC[i] - s.junctionC[i]) * s.lastK[i]
	}
	if same < 0 && s.steps > 3 {
		s.pace = math.Max(s.pace/2, 1.0/64)
	}
	for i := range s.nextC {
		s.lastK[i] = s.nextC[i] - s.junctionC[i]
		s.junctionC[i] += s.pace * s.lastK[i]
	}
}

func (s *search) result() (Result, error) {
	r := Result{
		AirC: s.hoodC, HoodWallC: s.hoodWallC, Line: s.line, LossW: s.line.LossW,
		RelativeFlux: 1, Hottest: -1, Tightest: -1, Steps: s.steps, Modules: make([]State, len(s.in.Modules)),
	}
	r.HottestRailC, r.HottestRailM = s.line.hottestC()
	for i := range s.in.Modules {
		r.add(i, s.state(i))
	}
	if r.HottestRailC > hottestC || r.HottestJunctionC > hottestC {
		return Result{}, fmt.Errorf("the rail would reach %.0f °C and its hottest junction %.0f °C, beyond %d °C: %w",
			r.HottestRailC, r.HottestJunctionC, hottestC, ErrTooHot)
	}
	if r.HeatW > 0 {
		r.EnergyError = math.Abs(r.LossW-r.HeatW) / r.HeatW
	}
	if r.EnergyError > energyError && math.Abs(r.LossW-r.HeatW) > leastW {
		return Result{}, fmt.Errorf("%.4g W go into the rail and %.4g W come out: its numbers are too far apart to "+
			"compute with", r.HeatW, r.LossW)
	}
	if r.RatedLm > 0 {
		r.RelativeFlux = r.FluxLm / r.RatedLm
	}
	return r, nil
}

func (s *search) state(i int) State {
	src, m := s.fin.Sources[i], s.in.Modules[i]
	st := State{AlongM: m.AlongM, RailC: s.line.meanC(src.FromM, src.ToM), JunctionC: s.nextC[i], Draw: s.draws[i]}
	st.BoardC = st.RailC + src.HeatW*interfaceKPerW
	st.MarginK = m.Part.HighestJunctionC - st.JunctionC
	return st
}

// add adds module i to the list, the sums and the extremes.
func (r *Result) add(i int, m State) {
	r.Modules[i] = m
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
