package optics

import (
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
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

// unbuildable says why a scene's light cannot be built as it stands or would be too hot, if it cannot.
func unbuildable(sc *scene.Scene, j result.Junctions) finding.Finding {
	for _, why := range []finding.Finding{sc.PlacementError(), j.TooHot} {
		if why.Any() {
			return why
		}
	}
	return wiring.Unfeedable(sc)
}

// Judge holds a plane against the goal. A light that cannot be built meets none.
func Judge(g scene.Goal, p *result.Plane, unbuildable finding.Finding) result.Goal {
	out := result.Goal{Asked: g.Set(), Unbuildable: unbuildable, Shown: Shown(g)}
	for _, m := range []result.Miss{
		{Plane: p.Name, Mean: "mean illuminance", Held: Mean(result.Illuminance, g, p.Illuminance)},
		{Plane: p.Name, Mean: "mean PPFD", Held: Mean(result.PPFD, g, p.PPFD)},
		{Plane: p.Name, Mean: "DLI", Held: dli(g, p)},
		{Plane: p.Name, Held: Uniformity(g, p.Light(out.Shown))},
	} {
		if m.Missed() {
			out.Misses = append(out.Misses, m)
		}
	}
	out.Met = out.Asked && len(out.Misses) == 0 && !unbuildable.Any()
	return out
}

// Mean is a mean of a quantity against what the goal asks of it.
func Mean(q result.Quantity, g scene.Goal, s result.Statistics) finding.Held {
	return finding.Held{Found: s.Mean, Asked: result.Of(q, g.IlluminanceLx, g.PPFD), Decimals: q.Decimals(s.Mean),
		Unit: q.Unit()}
}

func dli(g scene.Goal, p *result.Plane) finding.Held {
	return finding.Held{Found: p.DLI, Asked: g.DLI, Decimals: 2, Unit: "mol/m²/day"}
}

// Uniformity is U0 against what the goal asks of it.
func Uniformity(g scene.Goal, s result.Statistics) finding.Held {
	return finding.Held{Found: s.MinOverMean, Asked: g.Uniformity, Decimals: 2}
}

// means are those of a plane: the one that the goal counts, and in brackets the other ones that it asks for.
func means(g scene.Goal, p *result.Plane) finding.Arg {
	lux, ppfd := Mean(result.Illuminance, g, p.Illuminance), Mean(result.PPFD, g, p.PPFD)
	rest := finding.Beside{ppfd}
	switch {
	case g.Photons():
		lux, rest[0] = ppfd, lux
	case g.PPFD == 0 && g.DLI == 0:
		return lux
	}
	if g.DLI > 0 {
		rest = append(rest, dli(g, p))
	}
	return append(finding.Beside{lux}, rest...)
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
	out := Judge(sc.Goal, p, unbuildable(sc, j))
	out.Level = result.Of(out.Shown, sc.Goal.IlluminanceLx, goalPPFDOf(sc))
	if out.Asked {
		out.Plane = sc.Goal.Plane.Name
	}
	return out
}

// uneven is the min/mean below which light without a stated goal is called uneven.
const uneven = 0.4

// Verdict says what is wrong with the light on a plane, if anything.
func Verdict(asked scene.Goal, g result.Goal, p *result.Plane) finding.Finding {
	if p.Illuminance.Mean == 0 {
		return finding.NoLight.Of(finding.Plane(p.Name))
	}
	even := Uniformity(asked, p.Light(Shown(asked)))
	var end finding.Finding
	switch {
	case g.Met:
		end = finding.GoalMet.Of()
	case g.Asked && len(g.Misses) == 0:
		end = finding.GoalMetNotBuilt.Of(g.Unbuildable)
	case g.Asked:
		var dark finding.Finding
		if even.Missed() {
			dark = darkest(p)
		}
		end = finding.GoalMissed.Of(finding.All(g.Missing()), dark)
	case even.Found >= uneven:
		end = finding.NoGoalEven.Of()
	default:
		end = finding.NoGoalUneven.Of(darkest(p))
	}
	return finding.LightGets.Of(finding.Plane(p.Name), means(asked, p), even, end)
}

// darkest names the place of the lowest cell among the dark corners, if there are any.
func darkest(p *result.Plane) (f finding.Finding) {
	if len(p.DarkCorners) == 0 {
		return f
	}
	worst := p.DarkCorners[0]
	for _, c := range p.DarkCorners {
		if c.Lowest < worst.Lowest-1e-9*p.DarkLimit {
			worst = c
		}
	}
	if n := len(p.DarkCorners); n > 1 {
		f = finding.DarkPlaces.Of(finding.Count{N: n, Noun: "dark place"})
	}
	return finding.Darkest.Of(worst, p.Shown.Value(worst.Lowest), finding.Length(worst.LowestXM),
		finding.Length(worst.LowestYM), f)
}

// JudgedPlane is the plane of the goal, or the floor where there is none.
func JudgedPlane(sc *scene.Scene) scene.PlaneRef {
	if sc.Goal.Set() {
		return sc.Goal.Plane
	}
	return scene.PlaneRef{Name: "floor", DepthM: sc.Tank.Water.DepthM}
}
