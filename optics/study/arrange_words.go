package study

import (
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

// verdict says by which measure the scene after is better than the one before, what else was chosen, and whether the
// goal is met. All figures of what is left are those of After.
func (a *arranger) verdict(out *Arranged) finding.Finding {
	var rest finding.Then
	if out.Chosen != "" {
		rest = append(rest, finding.AlsoChosen.Of(finding.Text(out.Chosen)))
	}
	switch goal := out.After.Goal; {
	case goal.Met:
		rest = append(rest, finding.ThenGoalMet.Of())
	case goal.Asked:
		rest = append(rest, finding.ThenGoalMissed.Of(finding.All(goal.Missing())))
	}
	g, q := a.scene.Goal, out.After.Goal.Shown
	from, to := out.Before.Light(q), out.After.Light(q)
	if out.Scene == a.scene {
		return finding.PlacesKept.Of(optics.Uniformity(g, to), optics.Mean(q, g, to), rest)
	}
	means := finding.MeansOf.Of(optics.Mean(q, g, from), optics.Mean(q, g, to))
	change := finding.FromTo{From: from.MinOverMean, To: to.MinOverMean, Decimals: 3}
	even := finding.UniformityGoes.Of(change)
	if math.Round(1000*from.MinOverMean) == math.Round(1000*to.MinOverMean) {
		even = finding.UniformityStays.Of(finding.Value{V: to.MinOverMean, Decimals: 3})
	}
	if a.before.scene == nil {
		return finding.MountableNow.Of(even, means, rest)
	}
	gain := finding.LightAfter.Of(even, means, rest)
	switch {
	case to.MinOverMean >= from.MinOverMean+leastGain:
		gain = finding.LightRises.Of(change, means, rest)
	case missingMean(out.After) < missingMean(out.Before)-sameMean:
		gain = finding.MeanNearer.Of(means, even, rest)
	case out.After.PowerW < out.Before.PowerW:
		watts := finding.FromTo{From: out.Before.PowerW, To: out.After.PowerW, Decimals: 1, Unit: "W"}
		gain = finding.PowerFalls.Of(watts, means, even, rest)
	}
	if samePlaces(a.scene, out.Scene) {
		gain = finding.PlacesSame.Of(gain)
	}
	return gain
}

// samePlaces tells whether all modules of two scenes with the same rails sit at the same places.
func samePlaces(a, b *scene.Scene) bool {
	module := func(a, b scene.Module) bool { return sameM(a.XM, b.XM) }
	rail := func(a, b scene.Rail) bool { return slices.EqualFunc(a.Modules, b.Modules, module) }
	return slices.EqualFunc(a.Rails, b.Rails, rail)
}
