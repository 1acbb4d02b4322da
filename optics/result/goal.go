package result

import (
	"fathomlux/scene/colour"
	"fathomlux/scene/finding"
	"fathomlux/scene/space"
)

// Goal is the goal held against the answer. A light that cannot be built meets none.
type Goal struct {
	Asked       bool
	Met         bool            // all parts of it
	Parts       []GoalPart      // in the order of the file; none where nothing is asked
	Misses      []Miss          // what is not met, by part
	Unbuildable finding.Finding // why the light cannot be built, or its parts are too hot; also where nothing is asked
	Shown       Quantity        // that it counts: its uniformity is that of this quantity
	Level       float64         // that of the first part
	Plane       string          // the name of that of the first part; empty where nothing is asked
	Maintenance float64         // light-loss factor of all that is asked for at least; at most holds for light when new
}

// GoalPart is one part of a goal with its light when new.
type GoalPart struct {
	Label  string // its name, or that of its plane
	Named  bool   // whether Label is its own name
	Plane  string
	DepthM float64
	Area   space.Area
	Level  float64 // the mean of the goal's Shown that it asks for, a DLI as the PPFD that gives it; 0 for none
	Met    bool
	Light  PartLight
	Asked  []Miss // each figure that is asked of it, missed or not
}

// SamePlace tells whether two parts speak of the same place.
func (p GoalPart) SamePlace(o GoalPart) bool { return p.Plane == o.Plane && p.Area == o.Area }

// On returns the goal as it stands for one plane: the parts that speak of it, Level that of a part that does alone.
func (g Goal) On(depthM float64) Goal {
	on := g
	on.Parts, on.Misses, on.Met, on.Level = nil, nil, !g.Unbuildable.Any(), 0
	for i, p := range g.Parts {
		if p.DepthM != depthM {
			continue
		}
		for _, m := range g.Misses {
			if m.Part == i {
				on.Misses = append(on.Misses, m)
			}
		}
		on.Parts, on.Level = append(on.Parts, p), p.Level
	}
	on.Asked, on.Met = len(on.Parts) > 0, on.Met && len(on.Parts) > 0 && len(on.Misses) == 0
	if len(on.Parts) > 1 {
		on.Level = 0
	}
	return on
}

// Lights returns the lights of the parts.
func (g Goal) Lights() (list []PartLight) {
	for _, p := range g.Parts {
		list = append(list, p.Light)
	}
	return list
}

// PartLight is the light over the place of one part of a goal: a plane, or an area of it.
type PartLight struct {
	Illuminance, PPFD  Statistics
	DLI                float64 // mean, mol/m2/day; 0 where the scene gives no hours
	Colour             PartColour
	Dimmest, Brightest Spot // of the quantity shown; zero in studies
}

// PartColour is the colour of the light over the place of a part of a goal that asks for one; Known is false where it
// was not computed, and is not judged.
type PartColour struct {
	Known     bool
	Mean      colour.Tristimulus
	StepsMost float64 // how far a place is from the mean
	Farthest  Spot
}

// Spot is a place on a plane.
type Spot struct{ XM, YM float64 }

// Of returns the statistics of a quantity.
func (l PartLight) Of(q Quantity) Statistics { return Of(q, l.Illuminance, l.PPFD) }

// Scaled returns the same light times factor.
func (l PartLight) Scaled(factor float64) PartLight {
	l.Illuminance, l.PPFD, l.DLI = l.Illuminance.Scaled(factor), l.PPFD.Scaled(factor), l.DLI*factor
	return l
}

// Miss is a figure of a goal that is not as a part of it asks: that which What names, or the uniformity where What is
// empty.
type Miss struct {
	Part        int    // its index
	Plane, What string // the part's label
	finding.Held
	OfK, FromK float64 // of the colour: the temperature that the light has, 0 for none, and the one that it is far from
}

// What a miss of the colour is called.
const (
	MeanColour = "colour"
	EvenColour = "evenness of the colour"
)

// Finding says what is not met.
func (m Miss) Finding() finding.Finding {
	label, what := finding.Text(m.Plane), finding.Text(m.What)
	kelvin := func(v float64) finding.Value { return finding.Value{V: v, Unit: "K"} }
	switch {
	case m.What == EvenColour:
		return finding.ColourUneven.Of(label, m.Held, m.Limit())
	case m.What == MeanColour && m.OfK == 0:
		return finding.NoTemperature.Of(label, kelvin(m.FromK))
	case m.What == MeanColour:
		return finding.ColourOff.Of(label, kelvin(m.OfK), m.Held, kelvin(m.FromK), m.Limit())
	case what == "":
		return finding.UniformityBelow.Of(label, m.Held, m.Limit())
	case m.Most:
		return finding.MeanAbove.Of(label, what, m.Held, m.Limit())
	}
	return finding.MeanBelow.Of(label, what, m.Held, m.Limit())
}

// Missing lists what is not met, and why the light cannot be built.
func (g Goal) Missing() (list []finding.Finding) {
	for _, m := range g.Misses {
		list = append(list, m.Finding())
	}
	if g.Asked && g.Unbuildable.Any() {
		list = append(list, g.Unbuildable)
	}
	return list
}

// Shortfall is how far the light misses a goal, each figure as a share of what is asked, summed: in all, and without
// the uniformity of the first part, which a search for even light raises by itself.
func (g Goal) Shortfall() (means, all float64) {
	for _, m := range g.Misses {
		share := m.MissedBy()
		all += share
		if m.What != "" || m.Part > 0 {
			means += share
		}
	}
	return means, all
}
