package study

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// Aim is what an arrangement makes as good as it can be; the empty one is the dimmest place's.
type Aim string

// The aims: the light of the dimmest place, min/mean, and the power that meets the goal.
const (
	forDimmest Aim = "dimmest"
	forEven    Aim = "even"
	forPower   Aim = "power"
)

// Aims are the names of all aims.
func Aims() []string { return []string{string(forDimmest), string(forEven), string(forPower)} }

// measure is by what light is chosen.
type measure struct {
	aim    Aim
	level  float64 // of the quantity that the goal counts, above 0: what a dimmest place and a mean are told as shares of
	strict bool    // what is missing of the goal's uniformity counts as well
	free   bool    // nothing that is missing of the goal counts
}

// Weights of what is missing of a goal, each part as a share of what is asked, and of a goal that is met.
const (
	missingWeight = 10
	metWeight     = 100
)

// worth is what a search makes as high as it can.
func (m measure) worth(c result.Candidate) float64 {
	missing, all := c.Goal.Shortfall()
	if m.strict {
		missing = all
	}
	if m.free {
		missing = 0
	}
	return m.figure(c.Light(c.Goal.Shown)) - missingWeight*missing
}

// figure is the light that the aim makes as high as it can, the goal aside.
func (m measure) figure(light result.Statistics) float64 {
	switch m.aim {
	case forEven:
		return light.MinOverMean
	case forPower:
		return light.Mean / m.level
	}
	return light.Min / m.level
}

// rank is worth by which choices are compared: any that meets its goal goes before all that do not.
func (m measure) rank(c result.Candidate) float64 {
	if c.Goal.Asked && len(c.Goal.Misses) == 0 {
		return m.worth(c) + metWeight
	}
	return m.worth(c)
}

// gains tells whether one choice is better than another by what is worth a hole: it meets the goal, serves the aim
// better or has its mean nearer to the goal's, or takes less power for the same.
func (m measure) gains(from, to result.Candidate) bool {
	met := func(c result.Candidate) bool { return c.Goal.Asked && len(c.Goal.Misses) == 0 }
	if met(to) != met(from) {
		return met(to)
	}
	less := to.PowerW < from.PowerW*(1-samePower)
	if m.aim == forPower && met(to) {
		return less
	}
	q, up := to.Goal.Shown, m.worth(to)-m.worth(from)
	nearer := missingMean(to) < missingMean(from)-sameMean
	better := m.strict || nearer || m.figure(to.Light(q)) >= m.figure(from.Light(q))+leastGain
	return up >= leastGain && better || less && up > -leastGain
}

func missingMean(c result.Candidate) float64 {
	mean, _ := c.Goal.Shortfall()
	return mean
}

// levelOf returns the light that shares are taken of: the goal's mean, or else that of the scene as it is.
func levelOf(c result.Candidate) float64 {
	for _, level := range []float64{c.Goal.Level, c.Light(c.Goal.Shown).Mean} {
		if level > 0 {
			return level
		}
	}
	return 1
}

// asksMean tells whether a goal asks for a mean.
func asksMean(g scene.Goal) bool {
	dark := make([]result.PartLight, len(g.Parts()))
	mean, _ := optics.Judge(g, dark, 1, finding.Finding{}).Shortfall()
	return mean > 0
}

// fedCurrents are the currents, rising, at which the drivers that the scene names feed its modules, or any at hand
// where it names none; nothing for modules of several currents, whose colour would change.
func fedCurrents(sc *scene.Scene) (list []float64) {
	modules := optics.Modules(sc)
	unlike := func(m optics.Mounted) bool { return m.Module.CurrentA != modules[0].Module.CurrentA }
	if len(modules) == 0 || slices.ContainsFunc(modules, unlike) {
		return nil
	}
	var all []float64
	for _, d := range driversOf(sc) {
		for _, amps := range d.CurrentsA {
			for strings := range len(modules) {
				all = append(all, math.Round(amps/float64(strings+1)*1e4)/1e4)
			}
		}
	}
	slices.Sort(all)
	for _, amps := range slices.Compact(all) {
		one, err := edit.With(sc, currentChange(amps))
		if err == nil && !wiring.Unfed(one).Any() {
			list = append(list, amps)
		}
	}
	return list
}

// driversOf returns the drivers that a scene names, or all at hand, by their names.
func driversOf(sc *scene.Scene) (list []parts.Driver) {
	for _, s := range sc.Wiring.Supplies {
		list = append(list, s.Driver)
	}
	if len(list) == 0 {
		list = append(list, sc.Wiring.Driver)
	}
	if slices.ContainsFunc(list, func(d parts.Driver) bool { return d.Name == "" }) {
		for _, name := range parts.Names(sc.Catalogue.Drivers) {
			list = append(list, sc.Catalogue.Drivers[name])
		}
	}
	return list
}

// stricter is arrange with a higher uniformity asked of the search, by a factor. Cells of the search that are wider than
// those of the answer hide a part of what the dimmest place lacks.
func (a *arranger) stricter(ctx context.Context, factor float64) (*Arranged, error) {
	goal := a.scene.Goal
	asked := goal.Parts()
	for i := range asked {
		asked[i].Uniformity = min(1, factor*asked[i].Uniformity)
	}
	a.scene.Goal, a.scene.Goal.Others, a.goal = asked[0], asked[1:], &goal
	return a.arrange(ctx)
}

// hides is by how much more even a scene is on the grid of the search than on that of the answer, where the goal's
// uniformity is met on the former alone; else 0.
func hides(search, answer result.Candidate) (most float64) {
	if !search.Goal.Asked || len(search.Goal.Misses) > 0 || len(answer.Goal.Misses) == 0 {
		return 0
	}
	for i, p := range answer.Goal.Parts {
		if of := p.Light.Of(answer.Goal.Shown).MinOverMean; of > 0 {
			most = max(most, search.Goal.Parts[i].Light.Of(answer.Goal.Shown).MinOverMean/of*hiddenMargin)
		}
	}
	return most
}

// keep returns the scene as it is, at the current that serves it best, where the best found is better on the coarse
// grid alone or not worth a hole; and as it is in all where its mean would be farther from the goal's.
func (a *arranger) keep(ctx context.Context, best variant) (variant, error) {
	own, err := a.dimmed(ctx, a.before)
	if err != nil {
		return best, err
	}
	if !a.gains(own.light, best.light) {
		best = own
	}
	if missingMean(best.light) > missingMean(a.before.light)+sameMean {
		if len(best.currents) > 0 {
			a.notes = append(a.notes, finding.CurrentsTooLow.Of())
		}
		best = a.before
	}
	return best, nil
}
