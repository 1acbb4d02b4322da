package optics

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/scene"
)

// worth is what the search makes as high as it can: min/mean, with ten times what is missing of the goal's mean taken off.
func worth(g scene.Goal, c result.Candidate) float64 {
	return measured(g, c).MinOverMean - 10*shortfall(meanOnly(g), c)
}

// meanOnly is a goal without its uniformity.
func meanOnly(g scene.Goal) scene.Goal {
	g.Uniformity = 0
	return g
}

// noMoreThan is a goal that asks for no higher mean than a candidate has.
func noMoreThan(g scene.Goal, c result.Candidate) scene.Goal {
	g.IlluminanceLx = math.Min(g.IlluminanceLx, c.Illuminance.Mean)
	g.PPFD = math.Min(g.PPFD, c.PPFD.Mean)
	g.DLI = math.Min(g.DLI, c.DLI)
	return g
}

// verdict says what became better by which measure, what else was chosen, and whether the goal is met. All figures of what
// is left are those of After.
func (a *arranger) verdict(out *Arranged) string {
	words := a.gain(out)
	if out.Chosen != "" {
		words += "; chosen: " + out.Chosen
	}
	g := a.scene.Goal
	switch {
	case !g.Set():
	case out.After.Met:
		words += "; the goal is met"
	default:
		plane := result.Plane{Name: g.Plane.Name, Illuminance: out.After.Illuminance, PPFD: out.After.PPFD, DLI: out.After.DLI}
		words += "; the goal is not met: " + strings.Join(judge(g, &plane).Missing, "; ")
	}
	return words + "."
}

// gain says by which measure the scene after is better than the one before.
func (a *arranger) gain(out *Arranged) string {
	g := a.scene.Goal
	even := [2]float64{measured(g, out.Before).MinOverMean, measured(g, out.After).MinOverMean}
	before, after := fromTo(even[0], even[1], 3)
	means := fmt.Sprintf("%s before, %s after", lightWords(g, out.Before), lightWords(g, out.After))
	watts, wattsAfter := fromTo(out.Before.PowerW, out.After.PowerW, 1)
	const kept = "No better places were found than those there are"
	lead := ""
	if samePlaces(a.scene, out.Scene) {
		lead = kept + "; "
	}
	switch {
	case out.Scene == a.scene:
		return fmt.Sprintf("%s: min/mean %s, %s", kept, after, lightWords(g, out.After))
	case a.before.scene == nil:
		return fmt.Sprintf("the modules can be mounted now, which as it is they cannot: min/mean %s before, %s after, %s", before, after, means)
	case even[1] >= even[0]+leastGain:
		return fmt.Sprintf("%smin/mean rises from %s to %s (%s)", lead, before, after, means)
	case shortfall(meanOnly(g), out.After) < shortfall(meanOnly(g), out.Before)-sameMean:
		return fmt.Sprintf("%sthe mean comes nearer to the goal's (%s); min/mean goes from %s to %s", lead, means, before, after)
	case out.After.PowerW < out.Before.PowerW:
		return fmt.Sprintf("%sthe power falls from %s W to %s W (%s); min/mean goes from %s to %s", lead, watts, wattsAfter, means, before, after)
	}
	return fmt.Sprintf("%smin/mean goes from %s to %s (%s)", lead, before, after, means)
}

// fromTo writes two figures with enough decimals to differ where they do.
func fromTo(from, to float64, decimals int) (a, b string) {
	if from > to {
		b, a = held{to, from, decimals}.words()
		return a, b
	}
	return held{from, to, decimals}.words()
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
