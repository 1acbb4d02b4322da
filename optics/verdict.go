package optics

import (
	"cmp"
	"fmt"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// GoalPlane returns the plane that the goal speaks of; where there is no goal, the deepest.
func GoalPlane(sc *scene.Scene, planes []result.Plane) *result.Plane {
	deepest := &planes[0]
	for i := range planes {
		if sc.Goal.Set() && planes[i].DepthM == sc.Goal.Plane.DepthM {
			return &planes[i]
		}
		if planes[i].DepthM > deepest.DepthM {
			deepest = &planes[i]
		}
	}
	return deepest
}

// Unbuildable says why a scene's light cannot be built as it stands or would be too hot, empty where neither is so.
func Unbuildable(sc *scene.Scene, j result.Junctions) string {
	return cmp.Or(sc.PlacementError().Words(unit.Metric), j.TooHot, wiring.Unfeedable(sc))
}

// Judge holds a plane against the goal. A light that cannot be built meets none.
func Judge(g scene.Goal, p *result.Plane, unbuildable string) result.Goal {
	out := result.Goal{Asked: g.Set(), Unbuildable: unbuildable, Shown: Shown(g)}
	hold := func(part result.GoalPart, found, asked float64, decimals int) {
		if r := (result.Requirement{Found: found, Asked: asked, Decimals: decimals}); r.Missed() {
			out.Misses = append(out.Misses, result.Miss{Part: part, Plane: p.Name, Requirement: r})
		}
	}
	lux, ppfd := p.Illuminance.Mean, p.PPFD.Mean
	hold(result.MeanIlluminance, lux, g.IlluminanceLx, result.Illuminance.Decimals(lux))
	hold(result.MeanPPFD, ppfd, g.PPFD, 1)
	hold(result.MeanDLI, p.DLI, g.DLI, 2)
	hold(result.Of(out.Shown, result.Uniformity, result.UniformityPPFD), p.Light(out.Shown).MinOverMean, g.Uniformity, 2)
	out.Met = out.Asked && len(out.Misses) == 0 && unbuildable == ""
	return out
}

// EvenName is what the min/mean of the quantity that a goal counts is called.
func EvenName(g scene.Goal) string {
	return result.Of(Shown(g), "min/mean", "PPFD min/mean")
}

// meansWords writes the means of a plane: the one that the goal counts, and in brackets the other ones that it asks
// for.
func meansWords(g scene.Goal, p *result.Plane) string {
	lux, ppfd, rest := LightWords(result.Illuminance, g, p.Light(result.Illuminance)), LightWords(result.PPFD, g,
		p.Light(result.PPFD)), ""
	if g.DLI > 0 {
		rest = ", " + say(p.DLI, g.DLI, 2) + " mol/m²/day"
	}
	switch {
	case g.Photons():
		return fmt.Sprintf("%s (%s%s)", ppfd, lux, rest)
	case g.PPFD > 0 || g.DLI > 0:
		return fmt.Sprintf("%s (%s%s)", lux, ppfd, rest)
	}
	return lux
}

// LightFigure writes a light with its unit.
func LightFigure(q result.Quantity, v float64) string {
	return unit.Figure(v, q.Decimals(v)) + " " + q.Unit()
}

// LightWords writes a mean of a quantity against what the goal asks of it.
func LightWords(q result.Quantity, g scene.Goal, s result.Statistics) string {
	asked := result.Of(q, g.IlluminanceLx, g.PPFD)
	return say(s.Mean, asked, q.Decimals(s.Mean)) + " " + q.Unit()
}

// EvenWords writes the min/mean that a goal counts.
func EvenWords(g scene.Goal, s result.Statistics) string {
	return say(s.MinOverMean, g.Uniformity, 2)
}

// Shown returns the quantity that a goal counts: photons where it asks for nothing else, else lux.
func Shown(g scene.Goal) result.Quantity {
	if g.Photons() {
		return result.PPFD
	}
	return result.Illuminance
}

// goalPPFDOf returns the mean PPFD that a scene asks for, of a DLI alone the PPFD that gives it; 0 for none.
func goalPPFDOf(sc *scene.Scene) float64 {
	if sc.Goal.PPFD == 0 && sc.Wiring.HoursPerDay > 0 {
		return sc.Goal.DLI / photometry.DLI(1, sc.Wiring.HoursPerDay)
	}
	return sc.Goal.PPFD
}

// judged is judge with what a picture tells of the goal.
func judged(sc *scene.Scene, p *result.Plane, j result.Junctions) result.Goal {
	out := Judge(sc.Goal, p, Unbuildable(sc, j))
	out.Level = result.Of(out.Shown, sc.Goal.IlluminanceLx, goalPPFDOf(sc))
	if out.Asked {
		out.Plane = sc.Goal.Plane.Name
	}
	return out
}

// uneven is the min/mean below which light without a stated goal is called uneven.
const uneven = 0.4

// Verdict says in one sentence what is wrong with the light on a plane, if anything.
func Verdict(asked scene.Goal, g result.Goal, p *result.Plane, u unit.System) string {
	if p.Illuminance.Mean == 0 {
		return fmt.Sprintf("No light reaches the %s at all.", p.Name)
	}
	even := p.Light(Shown(asked))
	lead := fmt.Sprintf("The %s gets %s on average, %s %s", finding.Plane(p.Name).Say(u), meansWords(asked, p), EvenName(asked),
		EvenWords(asked, even))
	dark := darkWords(p, u)
	switch {
	case g.Met:
		return lead + ": the goal is met."
	case g.Asked && len(g.Misses) == 0 && g.Unbuildable != "":
		return lead + ", as the goal asks, but the light cannot be built so: " + g.Unbuildable + "."
	case !g.Asked && even.MinOverMean >= uneven:
		return lead + ": no goal is set, and no place is dark."
	case !g.Asked:
		return lead + ": uneven" + dark + "."
	case asked.Uniformity > 0 && even.MinOverMean < asked.Uniformity:
		_, limit := result.Require(even.MinOverMean, asked.Uniformity, 2).Words()
		return fmt.Sprintf("%s where %s is asked for%s%s.", lead, limit, dark, restOf(g))
	}
	return lead + ", but the goal is not met: " + strings.Join(g.Missing(), "; ") + "."
}

// restOf adds what else is missing beside the uniformity.
func restOf(g result.Goal) (words string) {
	var rest []string
	for _, m := range g.Misses {
		if m.Part != result.Uniformity && m.Part != result.UniformityPPFD {
			rest = append(rest, m.Words())
		}
	}
	if len(rest) > 0 {
		words = "; also the " + strings.Join(rest, "; ")
	}
	if g.Unbuildable != "" {
		words += "; the light cannot be built so: " + g.Unbuildable
	}
	return words
}

// darkWords names the place of the lowest cell among the dark corners.
func darkWords(p *result.Plane, u unit.System) string {
	if len(p.DarkCorners) == 0 {
		return ""
	}
	worst := p.DarkCorners[0]
	for _, c := range p.DarkCorners {
		if c.Lowest < worst.Lowest-1e-9*p.DarkLimit {
			worst = c
		}
	}
	lowest := LightFigure(p.Shown, worst.Lowest)
	words := fmt.Sprintf("; it is darkest %s (%s at x %s, y %s)", worst.AtPlace(u.Span), lowest, u.Length(worst.LowestXM),
		u.Length(worst.LowestYM))
	if more := len(p.DarkCorners) - 1; more == 1 {
		words += ", one of two dark places"
	} else if more > 1 {
		words += fmt.Sprintf(", one of %d dark places", more+1)
	}
	return words
}

// JudgedPlane is the plane of the goal, or the floor where there is none.
func JudgedPlane(sc *scene.Scene) scene.PlaneRef {
	if sc.Goal.Set() {
		return sc.Goal.Plane
	}
	return scene.PlaneRef{Name: "floor", DepthM: sc.Tank.Water.DepthM}
}

// say writes a figure that is held against what is asked for.
func say(found, asked float64, decimals int) string {
	is, _ := result.Require(found, asked, decimals).Words()
	return is
}
