package study

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// worth is what the search makes as high as it can: min/mean, with ten times what is missing of the goal's mean taken
// off.
func worth(g scene.Goal, c result.Candidate) float64 {
	return c.Light(optics.Shown(g)).MinOverMean - 10*optics.Shortfall(meanOnly(g), c)
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

// verdict says what became better by which measure, what else was chosen, and whether the goal is met. All figures of
// what is left are those of After.
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
		plane := result.Plane{Name: g.Plane.Name, Illuminance: out.After.Illuminance, PPFD: out.After.PPFD,
			DLI: out.After.DLI}
		words += "; the goal is not met: " + strings.Join(optics.Judge(g, &plane, out.After.Unbuildable).Missing(), "; ")
	}
	return words + "."
}

// gain says by which measure the scene after is better than the one before.
func (a *arranger) gain(out *Arranged) string {
	g := a.scene.Goal
	q, name := out.Shown, optics.EvenName(g)
	even := [2]float64{out.Before.Light(q).MinOverMean, out.After.Light(q).MinOverMean}
	light := [2]string{"mean " + optics.LightWords(q, g, out.Before.Light(q)), "mean " + optics.LightWords(q, g,
		out.After.Light(q))}
	before, after := fromTo(even[0], even[1], 3)
	means := fmt.Sprintf("%s before, %s after", light[0], light[1])
	evens := goes(name, even[0], even[1])
	const kept = "No better places were found than those there are"
	lead := ""
	if samePlaces(a.scene, out.Scene) {
		lead = kept + "; "
	}
	switch {
	case out.Scene == a.scene:
		return fmt.Sprintf("%s: %s %s, %s", kept, name, after, light[1])
	case a.before.scene == nil:
		return fmt.Sprintf("the modules can be mounted now, which as it is they cannot: %s %s before, %s after, %s", name,
			before, after, means)
	case even[1] >= even[0]+leastGain:
		return fmt.Sprintf("%s%s rises from %s to %s (%s)", lead, name, before, after, means)
	case optics.Shortfall(meanOnly(g), out.After) < optics.Shortfall(meanOnly(g), out.Before)-sameMean:
		return fmt.Sprintf("%sthe mean comes nearer to the goal's (%s); %s", lead, means, evens)
	case out.After.PowerW < out.Before.PowerW:
		watts, wattsAfter := fromTo(out.Before.PowerW, out.After.PowerW, 1)
		return fmt.Sprintf("%sthe power falls from %s W to %s W (%s); %s", lead, watts, wattsAfter, means, evens)
	}
	return fmt.Sprintf("%s%s (%s)", lead, evens, means)
}

// goes says how a min/mean changes; what reads alike to a thousandth does not.
func goes(name string, from, to float64) string {
	a, b := unit.Figure(from, 3), unit.Figure(to, 3)
	if a == b {
		return name + " stays at " + a
	}
	return fmt.Sprintf("%s goes from %s to %s", name, a, b)
}

// fromTo writes two figures with enough decimals to differ where they do.
func fromTo(from, to float64, decimals int) (a, b string) {
	if from > to {
		b, a = result.Require(to, from, decimals).Words()
		return a, b
	}
	return result.Require(from, to, decimals).Words()
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
