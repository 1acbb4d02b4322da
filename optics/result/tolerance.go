package result

// Tolerance says how much the light of one plane may differ from what was computed when the tank is built within its
// tolerances. Intervals hold 90 % of the samples about the value that was computed.
type Tolerance struct {
	Plane       string
	Shown       Quantity // that the goal counts, which all values are of
	Samples     int
	Mean        Interval
	Min         Interval
	MinOverMean Interval
	GoalAsked   bool
	GoalShare   float64 // of the samples that meet the goal
	Sources     []ToleranceSource
	Verdict     string
	Notes       []string
}

// ToleranceSource is one tolerance with its share of the variance when it acts alone, 0 to 1, over all sources.
type ToleranceSource struct {
	Name        string
	Limit       string // to each side, with its unit
	Given       bool   // by the scene, else usual
	Mean        float64
	Min         float64
	MinOverMean float64
}
