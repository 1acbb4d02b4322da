package result

import "fathomlux/scene/finding"

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
