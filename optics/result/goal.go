package result

import "fathomlux/scene/unit"

// Goal is the goal held against the answer. A light that cannot be built meets none.
type Goal struct {
	Asked       bool
	Met         bool
	Misses      []Miss   // what is not met
	Unbuildable string   // why the light cannot be built, or its parts are too hot; also where nothing is asked
	Shown       Quantity // that it counts: its uniformity is that of this quantity
	Level       float64  // the mean of Shown that it asks for, a DLI as the PPFD that gives it; 0 for none
	Plane       string   // the name of the one that it speaks of; empty where nothing is asked
}

// GoalPart is one figure that a goal may ask for.
type GoalPart int

// The parts of a goal.
const (
	MeanIlluminance GoalPart = iota
	MeanPPFD
	MeanDLI
	Uniformity
	UniformityPPFD
)

// Name returns what the part is called, Unit the unit that follows its figures after a space.
func (p GoalPart) name() (name, unit string) {
	words := [...][2]string{{"mean illuminance", " lx"}, {"mean PPFD", " µmol/m²/s"}, {"DLI", " mol/m²/day"},
		{"uniformity (min/mean)", ""}, {"uniformity (min/mean of PPFD)", ""}}[p]
	return words[0], words[1]
}

// Miss is a part of a goal that a plane does not reach.
type Miss struct {
	Part  GoalPart
	Plane string
	Requirement
}

// Words says what is missed, with its figures.
func (m Miss) Words() string {
	name, of := m.Part.name()
	is, limit := m.Requirement.Words()
	return m.Plane + " " + name + " of " + is + of + " is below " + limit + of
}

// Missing lists in words what is not met, and why the light cannot be built.
func (g Goal) Missing() []string {
	var list []string
	for _, m := range g.Misses {
		list = append(list, m.Words())
	}
	if g.Asked && g.Unbuildable != "" {
		list = append(list, g.Unbuildable)
	}
	return list
}

// Require holds a figure against what is asked for.
func Require(found, asked float64, decimals int) Requirement {
	return Requirement{Found: found, Asked: asked, Decimals: decimals}
}

// Requirement is a figure that is held against what a goal asks for, 0 for nothing, and the decimals by which both are
// told.
type Requirement struct {
	Found, Asked float64
	Decimals     int
}

// Missed tells whether something is asked for and not found.
func (h Requirement) Missed() bool { return h.Asked > 0 && !(h.Found >= h.Asked) }

// Words writes both, with more decimals where a figure that misses would else read like what is asked for.
func (h Requirement) Words() (is, limit string) {
	const more = 3 // decimals at most
	for d := h.Decimals; d <= h.Decimals+more; d++ {
		is, limit = unit.Figure(h.Found, d), unit.Figure(h.Asked, d)
		if is != limit || !h.Missed() {
			return is, limit
		}
	}
	limit = unit.Figure(h.Asked, h.Decimals)
	return "just under " + limit, limit
}
