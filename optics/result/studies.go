package result

import (
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

// View is what a glance shows: the zero View has the plane of the goal alone and the slice along the tank under the rail
// with the most light.
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
