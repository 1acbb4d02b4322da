package result

import "fathomlux/scene/finding"

// Goal is the goal held against the answer. A light that cannot be built meets none.
type Goal struct {
	Asked       bool
	Met         bool
	Misses      []Miss          // what is not met
	Unbuildable finding.Finding // why the light cannot be built, or its parts are too hot; also where nothing is asked
	Shown       Quantity        // that it counts: its uniformity is that of this quantity
	Level       float64         // the mean of Shown that it asks for, a DLI as the PPFD that gives it; 0 for none
	Plane       string          // the name of the one that it speaks of; empty where nothing is asked
}

// Miss is a figure of a goal that a plane does not reach: a mean, or the uniformity where Mean is empty.
type Miss struct {
	Plane, Mean string
	finding.Held
}

// Missing lists what is not met, and why the light cannot be built.
func (g Goal) Missing() (list []finding.Finding) {
	for _, m := range g.Misses {
		if m.Mean == "" {
			list = append(list, finding.UniformityBelow.Of(finding.Text(m.Plane), m.Held, m.Limit()))
		} else {
			list = append(list, finding.MeanBelow.Of(finding.Text(m.Plane), finding.Text(m.Mean), m.Held, m.Limit()))
		}
	}
	if g.Asked && g.Unbuildable.Any() {
		list = append(list, g.Unbuildable)
	}
	return list
}
