package optics

import (
	"sync"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
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
func unbuildable(sc *scene.Scene, j result.Junctions, unfeedable func(*scene.Scene) finding.Finding) finding.Finding {
	for _, why := range []finding.Finding{sc.PlacementError(), j.TooHot} {
		if why.Any() {
			return why
		}
	}
	return unfeedable(sc)
}

// feeds keeps what wiring.Unfeedable says of copies of one scene. It is safe for several goroutines.
type feeds struct {
	lock  sync.Mutex
	known map[string]finding.Finding
}

func (f *feeds) unfeedable(sc *scene.Scene) finding.Finding {
	key := wiring.Key(sc)
	f.lock.Lock()
	why, ok := f.known[key]
	f.lock.Unlock()
	if !ok {
		why = wiring.Unfeedable(sc)
		f.lock.Lock()
		f.known[key] = why
		f.lock.Unlock()
	}
	return why
}

// Judge holds the light of a goal's parts, one each in the order of scene.Goal.Parts, against what they ask: all of
// them have to be met. A light that cannot be built meets none. maintenance is the light-loss factor that what is asked
// at least is judged with, 1 for light when new; what is asked at most is judged with light when new. How far a figure
// misses is its MissedBy, and in all the answer's Shortfall. The light of a part is to be had from Lit.Candidate, which
// judges it already, or for sums of one's own as Grid.Extremes over Grid.Within of the part's area.
func Judge(g scene.Goal, lights []result.PartLight, maintenance float64, unbuildable finding.Finding) result.Goal {
	out := result.Goal{Asked: g.Set(), Unbuildable: unbuildable, Shown: Shown(g), Maintenance: maintenance}
	if !out.Asked {
		return out
	}
	for i, part := range g.Parts() {
		one := result.GoalPart{Label: part.Label(), Named: part.Name != "", Plane: part.Plane.Name,
			DepthM: part.Plane.DepthM, Area: part.Area, Light: lights[i], Met: true}
		for _, m := range held(part, out.Shown, lights[i], maintenance) {
			if m.Part, m.Plane = i, one.Label; m.Asked > 0 {
				one.Asked = append(one.Asked, m)
			}
			if m.Missed() {
				one.Met, out.Misses = false, append(out.Misses, m)
			}
		}
		out.Parts = append(out.Parts, one)
	}
	out.Met = len(out.Misses) == 0 && !unbuildable.Any()
	return out
}

// held are the figures of one part of a goal, each against what is asked of it.
func held(g scene.Goal, shown result.Quantity, light result.PartLight, maintenance float64) []result.Miss {
	aged := light.Scaled(maintenance)
	list := []result.Miss{
		{What: "mean illuminance", Held: Mean(result.Illuminance, g, aged.Illuminance)},
		{What: "mean PPFD", Held: Mean(result.PPFD, g, aged.PPFD)},
		{What: "DLI", Held: dli(g, aged.DLI)},
		{Held: Uniformity(g, aged.Of(shown))}}
	most := dli(g, light.DLI)
	most.Asked, most.Most = g.MostDLI, true
	if light.Colour.Known {
		list = append(list, colourHeld(g, light.Colour)...)
	}
	for _, q := range []result.Quantity{result.Illuminance, result.PPFD} {
		of := func(v, asked float64, most bool) finding.Held {
			return finding.Held{Found: v, Asked: asked, Decimals: q.Decimals(v), Unit: q.Unit(), Most: most}
		}
		list = append(list,
			result.Miss{What: "lowest " + q.Name(), Held: of(aged.Of(q).Min, result.Of(q, g.LowestLx, g.LowestPPFD), false)},
			result.Miss{What: "mean " + q.Name(), Held: of(light.Of(q).Mean, result.Of(q, g.MostLx, g.MostPPFD), true)},
			result.Miss{What: "highest " + q.Name(), Held: of(light.Of(q).Max, result.Of(q, g.HighestLx, g.HighestPPFD), true)})
	}
	return append(list, result.Miss{What: "DLI", Held: most})
}

// Mean is a mean of a quantity against what the goal asks of it at least.
func Mean(q result.Quantity, g scene.Goal, s result.Statistics) finding.Held {
	return finding.Held{Found: s.Mean, Asked: result.Of(q, g.IlluminanceLx, g.PPFD), Decimals: q.Decimals(s.Mean),
		Unit: q.Unit()}
}

func dli(g scene.Goal, found float64) finding.Held {
	return finding.Held{Found: found, Asked: g.DLI, Decimals: 2, Unit: "mol/m²/day"}
}

// Uniformity is U0 against what the goal asks of it.
func Uniformity(g scene.Goal, s result.Statistics) finding.Held {
	return finding.Held{Found: s.MinOverMean, Asked: g.Uniformity, Decimals: 2}
}

// means are those of a part of a goal: the one that the goal counts, and in brackets the other ones that it asks for.
func means(g scene.Goal, shown result.Quantity, light result.PartLight) finding.Arg {
	main, other := Mean(shown, g, light.Of(shown)), Mean(shown.Other(), g, light.Of(shown.Other()))
	rest := finding.Beside{other}
	if shown == result.Illuminance && g.PPFD == 0 && g.DLI == 0 {
		return main
	}
	if g.DLI > 0 {
		rest = append(rest, dli(g, light.DLI))
	}
	return append(finding.Beside{main}, rest...)
}

// Shown returns the quantity that a goal counts: photons where it asks for nothing else, else lux.
func Shown(g scene.Goal) result.Quantity {
	if g.Photons() {
		return result.PPFD
	}
	return result.Illuminance
}

// level returns the mean of the quantity shown that a part of a scene's goal asks for, of a DLI alone the PPFD that
// gives it; 0 for none.
func level(sc *scene.Scene, part scene.Goal, q result.Quantity) float64 {
	if h := LightHours(sc); q == result.PPFD && part.PPFD == 0 && h > 0 {
		return part.DLI / photometry.DLI(1, h)
	}
	return result.Of(q, part.IlluminanceLx, part.PPFD)
}

// judged is Judge of the planes of a scene, which hold those of its goal, with what pictures tell of the goal.
func judged(sc *scene.Scene, planes []result.Plane, maintenance float64, unbuildable finding.Finding) result.Goal {
	out := Judge(sc.Goal, partLights(sc, planes), maintenance, unbuildable)
	for i, part := range sc.Goal.Parts()[:len(out.Parts)] {
		out.Parts[i].Level = level(sc, part, out.Shown)
	}
	if out.Asked {
		out.Plane, out.Level = out.Parts[0].Plane, out.Parts[0].Level
	}
	return out
}

// partLights are the lights of the parts of a scene's goal; none where it asks for nothing.
func partLights(sc *scene.Scene, planes []result.Plane) (list []result.PartLight) {
	if !sc.Goal.Set() {
		return nil
	}
	for _, part := range sc.Goal.Parts() {
		for i := range planes {
			if p := &planes[i]; p.DepthM == part.Plane.DepthM {
				list = append(list, partLight(sc, part, p))
				break
			}
		}
	}
	return list
}

// colourOf adds the colour to the light of a part that asks for one.
func colourOf(part scene.Goal, p *result.Plane, l *result.PartLight) {
	if part.Coloured() && p.Tints != nil {
		l.Colour = partColour(p.Tints, p.Field.Grid, p.Field.Grid.Within(part.Area, p.Field.Solid))
	}
}

// partLight is the light of one part of a goal on its plane.
func partLight(sc *scene.Scene, part scene.Goal, p *result.Plane) result.PartLight {
	l := result.PartLight{Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI}
	if part.Area != (space.Area{}) {
		g, within := p.Field.Grid, p.Field.Grid.Within(part.Area, p.Field.Solid)
		l.Illuminance = g.Summarise(p.Field.Illuminance, within, level(sc, part, result.Illuminance))
		l.PPFD = g.Summarise(p.Field.PPFD, within, level(sc, part, result.PPFD))
		l.DLI = dailyLight(sc, p, part.Area, l.PPFD.Mean)
	}
	colourOf(part, p, &l)
	return l
}

// uneven is the min/mean below which light without a stated goal is called uneven.
const uneven = 0.4

// Verdict says what is wrong with the light on a plane, if anything; where a goal has several parts, with theirs.
func Verdict(asked scene.Goal, g result.Goal, p *result.Plane) finding.Finding {
	if p.Illuminance.Mean == 0 {
		return finding.NoLight.Of(finding.Plane(p.Name))
	}
	if len(g.Parts) > 1 {
		return partsVerdict(g)
	}
	light, name := result.PartLight{Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI}, finding.Plane(p.Name)
	for _, one := range g.Parts {
		if light = one.Light.Scaled(g.Maintenance); one.Named {
			name = finding.Text(one.Label)
		}
	}
	even := Uniformity(asked, light.Of(g.Shown))
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
	return finding.LightGets.Of(name, means(asked, g.Shown, light), even, end)
}

// partsVerdict says which parts of a goal are met.
func partsVerdict(g result.Goal) finding.Finding {
	met, all := 0, len(g.Parts)
	for _, p := range g.Parts {
		if p.Met {
			met++
		}
	}
	switch {
	case g.Met:
		return finding.PartsMet.Of(finding.Count{N: all})
	case met == all:
		return finding.PartsMetNotBuilt.Of(finding.Count{N: all}, g.Unbuildable)
	}
	return finding.PartsMissed.Of(finding.Count{N: met}, finding.Count{N: all}, finding.All(g.Missing()))
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
