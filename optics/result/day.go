package result

// Day is a day of light: what the channels give by the clock. Lists of channels stand in the scene's order.
type Day struct {
	Channels []string
	Moments  []Moment // in the order of the clock; a time stands twice where the light jumps
	Planes   []DayPlane
	Weeks    []Week // of a gentle start; none where none was asked for
	Goal     Goal   // of which only daily light is judged

	ElectricalWh float64 // at the modules
	MainsWh      float64 // with the drivers' losses and stand-by; 0 where it is not known
	PeakHeatW    float64 // of the rails, and when it is first reached
	PeakHeatAtH  float64
	HottestC     float64 // highest junction of the day
}

// Moment is the light at a time of the day, hours from midnight.
type Moment struct {
	AtH         float64
	Levels      []float64 // of full light
	Share       []float64 // of the channels' rated flux
	ElectricalW float64
	MainsW      float64 // 0 where it is not known
	HeatW       float64
	JunctionC   float64 // the hottest
}

// DayPlane is a plane over a day. The field of Plane, in the place of PPFD, and its statistics are mol/m2/day.
type DayPlane struct {
	Plane
	FullPPFD []float64 // mean of each channel at its rated flux
	AboveH   float64   // hours in which the mean PPFD is at or above what was asked
	PeakPPFD float64   // highest mean
}

// PPFD returns the mean PPFD of a plane that one channel gives at a moment.
func (p DayPlane) PPFD(m Moment, channel int) float64 { return p.FullPPFD[channel] * m.Share[channel] }

// Sum returns the mean PPFD of a plane at a moment.
func (p DayPlane) Sum(m Moment) (sum float64) {
	for c := range p.FullPPFD {
		sum += p.PPFD(m, c)
	}
	return sum
}

// Week is a week of a gentle start: the levels of the day times Factor, and the mean daily light of the goal's plane.
type Week struct{ Factor, DLI float64 }
