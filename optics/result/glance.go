package result

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
