package result

// Axis is one variable of a sweep. Values are in SI units; Unit names what Value is shown in and Factor turns SI into
// it.
type Axis struct {
	Name   string // such as "spacing", or "front.y" for one rail
	Unit   string // such as "mm"; empty for a plain number
	Factor float64
	Values []float64
}

// Candidate is one scene of a sweep with what counts of its light on the goal's plane.
type Candidate struct {
	Values      []float64 // one an axis, SI
	Done        bool      // false where the sweep was stopped before
	Illuminance Statistics
	PPFD        Statistics
	DLI         float64
	PowerW      float64 // electrical, of the modules
	LumensLm    float64 // of the dies
	Junctions   Junctions
	Unbuildable string // why it cannot be mounted or its parts are too hot, empty where neither is so
	Refused     string // why it cannot be computed, empty where it can
	Met         bool   // whether the goal is met, and it can be mounted
}

// Usable tells whether the candidate was computed, can be mounted and is not too hot.
func (c Candidate) Usable() bool { return c.Done && c.Unbuildable == "" && c.Refused == "" }

// Sweep is the answer to what some variables do to the light on one plane.
type Sweep struct {
	Title      string
	Plane      string
	DepthM     float64 // of the plane in the scene as it is
	Grid       Grid
	Axes       []Axis
	Candidates []Candidate // the last axis runs fastest
	Own        Candidate   // the scene as it is
	Shown      Quantity    // that the goal counts
	GoalLevel  float64     // the mean of Shown that it asks for; 0 for none
	Frontier   []int       // usable candidates that no other beats in both mean and min/mean, by rising mean
	Best       int         // the usable candidate that serves best, -1 where there is none
	Bounced    Bounced     // what the best candidate leaves out, or the scene as it is where there is none
	Complete   bool        // false where it was stopped
	Junctions  Junctions   // of all candidates
	Verdict    string
}

// Glance is what one setting of a scene gives, for a page that follows a hand: the plane of the goal, the slice under
// the rail with the most light, and what counts of them.
type Glance struct {
	Plane     Plane // statistics without percentiles and variation
	Section   Section
	Goal      Goal
	Verdict   string
	Bounced   Bounced
	Junctions Junctions
	PowerW    float64 // of the modules
	LumensLm  float64 // of the dies
}
