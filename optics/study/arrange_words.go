package study

import (
	"fmt"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// verdict says what became better by which measure, what else was chosen, and whether the goal is met. All figures of
// what is left are those of After.
func (a *arranger) verdict(out *Arranged) string {
	words := a.gain(out)
	if out.Chosen != "" {
		words += "; chosen: " + out.Chosen
	}
	switch goal := out.After.Goal; {
	case goal.Met:
		words += "; the goal is met"
	case goal.Asked:
		words += "; the goal is not met: " + missing(goal)
	}
	return unit.Capital(words) + "."
}

// gain says by which measure the scene after is better than the one before.
func (a *arranger) gain(out *Arranged) string {
	g, q := a.scene.Goal, out.After.Goal.Shown
	name, from, to := "U0", out.Before.Light(q), out.After.Light(q)
	mean := "mean " + optics.Mean(q, g, to).Say(unit.Metric)
	means := fmt.Sprintf("mean %s before, %s after", optics.Mean(q, g, from).Say(unit.Metric), mean)
	before, after := fromTo(from.MinOverMean, to.MinOverMean, 3)
	even := fmt.Sprintf("%s goes from %s to %s", name, before, after)
	if stays := unit.Figure(to.MinOverMean, 3); stays == unit.Figure(from.MinOverMean, 3) { // to a thousandth
		even = name + " stays at " + stays
	}
	const kept = "No better places were found than those there are"
	lead := ""
	if samePlaces(a.scene, out.Scene) {
		lead = kept + "; "
	}
	switch {
	case out.Scene == a.scene:
		return fmt.Sprintf("%s: %s %s, %s", kept, name, after, mean)
	case a.before.scene == nil:
		return fmt.Sprintf("the modules can be mounted now, which as it is they cannot: %s %s before, %s after, %s", name,
			before, after, means)
	case to.MinOverMean >= from.MinOverMean+leastGain:
		return fmt.Sprintf("%s%s rises from %s to %s (%s)", lead, name, before, after, means)
	case missingMean(out.After) < missingMean(out.Before)-sameMean:
		return fmt.Sprintf("%sthe mean comes nearer to the goal's (%s); %s", lead, means, even)
	case out.After.PowerW < out.Before.PowerW:
		watts, wattsAfter := fromTo(out.Before.PowerW, out.After.PowerW, 1)
		return fmt.Sprintf("%sthe power falls from %s W to %s W (%s); %s", lead, watts, wattsAfter, means, even)
	}
	return fmt.Sprintf("%s%s (%s)", lead, even, means)
}

// fromTo writes two figures with enough decimals to differ where they do.
func fromTo(from, to float64, decimals int) (a, b string) {
	if from > to {
		b, a = finding.Held{Found: to, Asked: from, Decimals: decimals}.Figures()
		return a, b
	}
	return finding.Held{Found: from, Asked: to, Decimals: decimals}.Figures()
}

// samePlaces tells whether all modules of two scenes with the same rails sit at the same places.
func samePlaces(a, b *scene.Scene) bool {
	for i := range a.Rails {
		for k := range a.Rails[i].Modules {
			if !sameM(a.Rails[i].Modules[k].XM, b.Rails[i].Modules[k].XM) {
				return false
			}
		}
	}
	return true
}
