package result

import (
	"fathomlux/scene/colour"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// Axis is one variable of a sweep.
type Axis struct {
	Name      string          // such as "spacing", or "front.y" for one rail
	Dimension *unit.Dimension // nil for a plain number
	Values    []float64       // SI
}

// In returns a value in the unit that people use for it, with the unit's name; empty for a plain number.
func (a Axis) In(value float64, u unit.System) (shown float64, name string) {
	switch a.Dimension {
	case nil:
		return value, ""
	case unit.Length:
		return value / u.Metres(), u.Name()
	}
	return a.Dimension.In(value, ""), a.Dimension.Units()[0]
}

// Candidate is one scene of a study with what counts of its light at the place of its goal, of a goal of several parts
// at that of the first.
type Candidate struct {
	Name        string    // for people
	Values      []float64 // one an axis of a sweep, SI
	Done        bool      // false where it was not computed
	Illuminance Statistics
	PPFD        Statistics
	DLI         float64
	PowerW      float64 // electrical, of the modules
	SpillLm     float64 // light that leaves the tank or misses it; 0 where it was not asked for
	Junctions   Junctions
	Goal        Goal
	Refused     finding.Finding // why it cannot be computed, if it cannot
}

// Take takes the light that counts: that of the first part of the candidate's goal, of the plane where there is none.
func (c *Candidate) Take(p *Plane) {
	c.Illuminance, c.PPFD, c.DLI = p.Illuminance, p.PPFD, p.DLI
	if len(c.Goal.Parts) > 0 {
		l := c.Goal.Parts[0].Light
		c.Illuminance, c.PPFD, c.DLI = l.Illuminance, l.PPFD, l.DLI
	}
}

// Reached tells whether the candidate's turn came before an interruption.
func (c Candidate) Reached() bool { return c.Done || c.Refused.Any() }

// WhyNot is why the candidate was not computed or cannot be built, if that is so.
func (c Candidate) WhyNot() finding.Finding {
	if c.Refused.Any() {
		return c.Refused
	}
	return c.Goal.Unbuildable
}

// Usable tells whether the candidate was computed, can be mounted and is not too hot.
func (c Candidate) Usable() bool { return c.Done && !c.WhyNot().Any() }

// Study is scenes that were tried, and which of them serves best.
type Study struct {
	Candidates []Candidate
	Shown      Quantity  // that the goal counts; of scenes with goals of their own that of the first
	Best       int       // the usable candidate that serves best, -1 where there is none
	Junctions  Junctions // of all that were computed
	Verdict    finding.Finding
}

// Sweep is a study of what some variables do to the light on one plane. The last axis runs fastest.
type Sweep struct {
	Study
	Title    string
	Plane    string
	Axes     []Axis
	Own      Candidate // the scene as it is
	Frontier []int     // usable candidates that no other beats in both mean and min/mean, by rising mean
	Reached  int       // candidates; less than all where the sweep was stopped
}

// View is what a glance shows: the zero View has the plane of the goal alone and the slice along the tank under the
// rail with the most light.
type View struct {
	OtherPlane bool
	DepthM     float64 // of the other plane
	Axis       SectionAxis
	Cut        bool    // whether the slice is at CutM, the fixed y or x
	CutM       float64 // held within the tank
}

// Glance is what one setting of a scene gives, for a page that follows a hand: the plane of the goal, the slice under
// the rail with the most light, and what counts of them.
type Glance struct {
	Plane     Plane  // statistics without percentiles and variation
	Shown     *Plane // the other plane that the view asks for; nil where it is that of the goal
	Section   Section
	Goal      Goal
	Verdict   finding.Finding
	Junctions Junctions
	PowerW    float64 // of the modules
	LumensLm  float64 // of the dies

	MirroredShare float64 // of the light on the floor that bounces nowhere, by way of clear walls
}

// Interval is a value with the ends of its interval of confidence or of frequency; which, the holder says.
type Interval struct{ Value, Low, High float64 }

// Measured is one reading of a light meter beside what was computed for its place.
type Measured struct {
	XM, YM, DepthM float64
	Quantity       Quantity // of the values
	Sensor         int      // index into Fit.Sensors
	Line           int      // of the readings' file
	Note           string
	Measured       float64
	Computed       float64 // of the scene as it is
	Fitted         float64
	Residual       float64 // measured over fitted, less 1
	Studentised    float64 // the residual in its own standard errors
	Outlier        bool    // left out of the fit
}

// SensorFactor is the light that one sensor shows over that of the scene as it is, with a 95 % interval.
type SensorFactor struct {
	Name     string
	Readings int
	Factor   Interval
}

// Fit is a scene fitted to a light meter's readings. Intervals are of 95 % confidence.
type Fit struct {
	Title    string
	Readings []Measured
	Sensors  []SensorFactor

	Factor       Interval        // light over that of the scene as it is: the geometric mean over the sensors
	FluxFactor   float64         // the scene's flux factor with that
	Absorption   bool            // whether the water's absorption was fitted too
	NoAbsorption finding.Finding // why not
	ExtraPerM    Interval        // extra absorption of the water, 1/m; the scene's own where absorption was not fitted
	Clearest     bool            // the water came out as clear as the fit allows
	WasPerM      float64         // the scene's own extra absorption
	Before       float64         // root of the mean squared deviation of the readings from the scene as it is, a share
	Scatter      float64         // standard error of one reading as the residuals show it, a share
	Stated       float64         // the one that was stated beforehand
	CosineError  float64         // stated, a share
	LeaveOneOut  float64         // root of the mean squared error of each reading predicted from all others, a share
	Dof          int
	Outliers     int
	Notes        []finding.Finding
	Verdict      finding.Finding
}

// SheetPlace is a place at which a meter is to be held.
type SheetPlace struct{ XM, YM, DepthM float64 }

// MeterSheet is where to measure: places on the goal's plane, front first, and a series in depth at one place. The
// errors are the standard errors of what a fit to readings there finds, as long as each reading is off by its usual
// error alone.
type MeterSheet struct {
	Plane        string // of the places that are not of the series
	Quantity     Quantity
	Places       []SheetPlace
	Series       []SheetPlace
	FactorError  float64 // of the light over that of the scene, a share
	PerMError    float64 // of the water's extra absorption, 1/m
	ReadingError float64 // that was counted with, a share
}

// Tolerance says how much the light of one plane may differ from what was computed when the tank is built within its
// tolerances. Intervals hold 90 % of the samples about the value that was computed.
type Tolerance struct {
	Plane       string
	Shown       Quantity // that the goal counts, which all values are of
	Samples     int
	Mean        Interval
	Min         Interval
	MinOverMean Interval
	Place       string // the name of the part of the goal that all values are of; empty for all of the plane
	GoalAsked   bool
	GoalShare   float64 // of the samples that meet the goal
	Sources     []ToleranceSource
	Verdict     finding.Finding
	Notes       []finding.Finding
}

// ToleranceSource is one tolerance with its share of the variance when it acts alone, 0 to 1, over all sources.
type ToleranceSource struct {
	Name   string
	Limit  string     // to each side, with its unit
	Given  bool       // by the scene, else usual
	Shares [3]float64 // of the variance of the mean, of that of the minimum and of that of U0
}

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

// Shimmer is the light on a plane while the water's surface moves, in the quantity Shown. Frames are moments of
// PeriodS, the time after which the surface is as it was, by cell of Grid.
type Shimmer struct {
	Title     string
	Plane     string
	DepthM    float64
	Shown     Quantity
	Grid      Grid
	Frames    [][]float64
	PeriodS   float64
	RestMean  float64    // of the light that is taken as still: mirrored by walls, scattered, bounced
	Rays      int        // that are followed at each moment
	Contrasts []Contrast // by depth, that of the plane last
	Junctions Junctions
}

// Contrast is how far the light of one depth sways: the standard deviation over time, over the mean over time, of each
// square of SquareM. All is the mean of the plane, the next are those of its thirds, and Highest that of one square.
type Contrast struct {
	DepthM, SquareM, Mean                 float64
	All, Left, Middle, Right, Front, Back float64
	Highest, HighestXM, HighestYM         float64
}

// Glare is what dazzles an eye, and what light of the tank comes to it.
type Glare struct {
	Modules []SeenModule // in sight, in the scene's order
	All     int          // modules of the scene
	Screens []Screen     // that would hide the modules of a rail, of rails with modules in sight
	DiesLx  float64      // straight from the dies in sight, on a face at the eye that looks where the eye looks
	TankLx  float64      // from all else that is lit by them, the room left dark
}

// SeenModule is a module of which dies are in sight.
type SeenModule struct {
	Module      int
	DistanceM   float64
	LuminanceCd float64 // of its brightest die, cd/m2: its intensity towards the eye over its opening
}

// Screen is an opaque strip along the long edge of a rail that faces the eye, down from the emitting face. HeightM is
// how far below that it has to reach; 0 where no screen at that edge is between.
type Screen struct {
	Rail    int
	HeightM float64
}

// Seen is what an eye sees of a lit tank, pixel by pixel, row after row from the upper left.
type Seen struct {
	Width, Height int
	Glare         Glare
	Light         []colour.Tristimulus // Y is the luminance, cd/m2
	IntoTank      []bool               // whether the pixel shows what is in the water
	White         colour.Tristimulus   // the mean light on the floor, Y in lx
	RoomCd        float64              // luminance of the room, cd/m2
	Leaves        bool                 // whether leaves are drawn, at places that are invented
	Stilled       bool                 // whether the water is drawn still though its surface moves
}
