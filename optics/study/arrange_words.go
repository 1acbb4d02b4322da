package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

// interrupted is what was found, or the scene as it is where that serves no worse.
func (a *arranger) interrupted() *Arranged {
	best := a.found
	if a.before.scene != nil && (!a.gains(a.before.light, best.light) ||
		missingMean(best.light) > missingMean(a.own)+sameMean) {
		best = a.before
	}
	out := &Arranged{Scene: best.scene, Before: a.own, After: best.light, Chosen: a.chosen(best), Notes: a.notes,
		Interrupted: true}
	out.Verdict = a.verdict(out, finding.Finding{})
	return out
}

// refusal says why there is no place for the modules, and what would serve.
func (a *arranger) refusal() error {
	if errors.Is(a.refused, errTooHot) {
		return fmt.Errorf("%w; use less current, fewer modules or a larger profile", a.refused)
	}
	return fmt.Errorf("the modules do not fit on their rails: %w; use fewer modules, a smaller gap or a longer rail, "+
		"or giving up mirror symmetry where a keep-out lies in the middle", a.refused)
}

// verdict says by which measure the scene after is better than the one before, what else was chosen, whether the goal
// is met, and, where the places are kept, what more even ones cost. All figures of what is left are those of After.
func (a *arranger) verdict(out *Arranged, more finding.Finding) finding.Finding {
	var rest finding.Then
	if out.Chosen != "" {
		rest = append(rest, finding.AlsoChosen.Of(finding.Text(out.Chosen)))
	}
	switch goal := out.After.Goal; {
	case goal.Met:
		rest = append(rest, finding.ThenGoalMet.Of())
	case goal.Asked:
		rest = append(rest, finding.ThenGoalMissed.Of(finding.All(goal.Missing())))
		rest = append(rest, whatColours(goal, out.Scene)...)
	}
	if more.Any() {
		rest = append(rest, more)
	}
	g, q := a.scene.Goal, out.After.Goal.Shown
	from, to := out.Before.Light(q), out.After.Light(q)
	if out.Scene == a.scene {
		return finding.PlacesKept.Of(q.Value(to.Min), optics.Uniformity(g, to), optics.Mean(q, g, to), rest)
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
	case a.aim == forDimmest && to.Min >= from.Min+leastGain*a.level:
		least := finding.FromTo{From: from.Min, To: to.Min, Decimals: q.Decimals(to.Min), Unit: q.Unit()}
		gain = finding.DimmestRises.Of(least, even, means, rest)
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

// whatColours says what would change a colour that a goal misses, since places are sought by the amount of light.
func whatColours(g result.Goal, sc *scene.Scene) (list []finding.Finding) {
	modules := optics.Modules(sc)
	alike := func(m optics.Mounted) bool { return m.Module.Part.Spectrum == modules[0].Module.Part.Spectrum }
	missed := func(what string) bool {
		return slices.ContainsFunc(g.Misses, func(m result.Miss) bool { return m.What == what })
	}
	mixed := slices.ContainsFunc(modules, func(m optics.Mounted) bool { return !alike(m) })
	mean := missed(result.MeanColour)
	switch {
	case mean && !mixed:
		return []finding.Finding{finding.ColourOfPart.Of()}
	case mean:
		return []finding.Finding{finding.ColourOfMix.Of()}
	case missed(result.EvenColour):
		return []finding.Finding{finding.ColourByTurns.Of()}
	}
	return nil
}

// samePlaces tells whether two scenes have their rails and all modules on them at the same places.
func samePlaces(a, b *scene.Scene) bool {
	module := func(a, b scene.Module) bool { return sameM(a.XM, b.XM) }
	rail := func(a, b scene.Rail) bool { return slices.EqualFunc(a.Modules, b.Modules, module) }
	return sameAcross(a, b) && slices.EqualFunc(a.Rails, b.Rails, rail)
}

// leastEven is by how much min/mean is higher where places are called more even.
const leastEven = 0.005

// moreEven says what light more even places cost than those where the modules stay, if there are any; it looks for them
// on the search's own grid and without regard to the goal.
func (a *arranger) moreEven(ctx context.Context, coarse *optics.Light,
	kept result.Candidate) (f finding.Finding, err error) {
	fine := a.light
	a.light = coarse
	b, err := a.space(ctx, a.scene, false)
	if err == nil {
		b.lit, err = a.light.Compute(ctx, b.sets...)
	}
	a.light = fine
	if err != nil {
		return f, err
	}
	b.measure = measure{aim: forEven, level: a.level, free: true}
	even, err := a.places(ctx, b, variant{scene: a.scene}, false)
	q := kept.Goal.Shown
	from, to := kept.Light(q), even.light.Light(q)
	if err != nil || to.MinOverMean < from.MinOverMean+leastEven || to.Mean >= from.Mean {
		return f, nil // which keeps the present places, whatever hinders other ones
	}
	return finding.MoreEvenCosts.Of(finding.Value{V: to.MinOverMean, Decimals: 3}, q.Value(to.Mean), q.Value(to.Min)), nil
}
