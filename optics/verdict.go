package optics

import (
	"fmt"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/photometry"
	"fathomlux/scene/unit"
)

// goalPlane returns the plane that the goal speaks of; where there is no goal, the deepest.
func goalPlane(sc *scene.Scene, planes []result.Plane) *result.Plane {
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

// hurdle says why a scene's light cannot be built as it stands or would be too hot, empty where neither is so.
func hurdle(sc *scene.Scene, j result.Junctions) string {
	for _, why := range []string{sc.Misfit(), j.TooHot} {
		if why != "" {
			return why
		}
	}
	return sc.Unfeedable()
}

// judge holds a plane against the goal. A light with a hurdle meets none.
func judge(g scene.Goal, p *result.Plane, hurdle string) result.Goal {
	out := result.Goal{Asked: g.Set(), Hurdle: hurdle}
	miss := func(what string, h held, of string) {
		if h.missed() {
			is, limit := h.words()
			out.Missing = append(out.Missing, fmt.Sprintf("%s %s of %s%s is below %s%s", p.Name, what, is, of, limit, of))
		}
	}
	lux, ppfd := p.Illuminance.Mean, p.PPFD.Mean
	miss("mean illuminance", held{lux, g.IlluminanceLx, result.Illuminance.Decimals(lux)}, " lx")
	miss("mean PPFD", held{ppfd, g.PPFD, 1}, " µmol/m²/s")
	miss("DLI", held{p.DLI, g.DLI, 2}, " mol/m²/day")
	miss(result.Of(shown(g), "uniformity (min/mean)", "uniformity (min/mean of PPFD)"), held{p.Light(shown(g)).MinOverMean, g.Uniformity, 2}, "")
	if out.Asked && hurdle != "" {
		out.Missing = append(out.Missing, hurdle)
	}
	out.Met = out.Asked && len(out.Missing) == 0
	return out
}

// held is a figure that is held against what a goal asks for, 0 for nothing, and the decimals by which both are told.
type held struct {
	found, asked float64
	decimals     int
}

func (h held) missed() bool { return h.asked > 0 && !(h.found >= h.asked) }

// words writes both, with more decimals where a figure that misses would else read like what is asked for.
func (h held) words() (is, limit string) {
	const more = 3 // decimals at most
	for d := h.decimals; d <= h.decimals+more; d++ {
		is, limit = unit.Figure(h.found, d), unit.Figure(h.asked, d)
		if is != limit || !h.missed() {
			return is, limit
		}
	}
	limit = unit.Figure(h.asked, h.decimals)
	return "just under " + limit, limit
}

// say writes the figure alone.
func (h held) say() string {
	is, _ := h.words()
	return is
}

// evenName is what the min/mean of the quantity that a goal counts is called.
func evenName(g scene.Goal) string {
	return result.Of(shown(g), "min/mean", "PPFD min/mean")
}

// meansWords writes the means of a plane: the one that the goal counts, and in brackets the other ones that it asks for.
func meansWords(g scene.Goal, p *result.Plane) string {
	lux, ppfd, rest := lightWords(result.Illuminance, g, p.Light(result.Illuminance)), lightWords(result.PPFD, g, p.Light(result.PPFD)), ""
	if g.DLI > 0 {
		rest = ", " + held{p.DLI, g.DLI, 2}.say() + " mol/m²/day"
	}
	switch {
	case g.Photons():
		return fmt.Sprintf("%s (%s%s)", ppfd, lux, rest)
	case g.PPFD > 0 || g.DLI > 0:
		return fmt.Sprintf("%s (%s%s)", lux, ppfd, rest)
	}
	return lux
}

// lightFigure writes a light with its unit.
func lightFigure(q result.Quantity, v float64) string {
	return unit.Figure(v, q.Decimals(v)) + " " + q.Unit()
}

// lightWords writes a mean of a quantity against what the goal asks of it.
func lightWords(q result.Quantity, g scene.Goal, s result.Statistics) string {
	asked := result.Of(q, g.IlluminanceLx, g.PPFD)
	return held{s.Mean, asked, q.Decimals(s.Mean)}.say() + " " + q.Unit()
}

// evenWords writes the min/mean that a goal counts.
func evenWords(g scene.Goal, s result.Statistics) string {
	return held{s.MinOverMean, g.Uniformity, 2}.say()
}

// shown returns the quantity that a goal counts: photons where it asks for nothing else, else lux.
func shown(g scene.Goal) result.Quantity {
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

// goalLevel returns the mean of the quantity shown that a scene asks for; 0 for none.
func goalLevel(sc *scene.Scene) float64 {
	return result.Of(shown(sc.Goal), sc.Goal.IlluminanceLx, goalPPFDOf(sc))
}

// judged is judge with what a picture tells of the goal.
func judged(sc *scene.Scene, p *result.Plane, j result.Junctions) result.Goal {
	out := judge(sc.Goal, p, hurdle(sc, j))
	out.Shown, out.Level = shown(sc.Goal), goalLevel(sc)
	if out.Asked {
		out.Plane = sc.Goal.Plane.Name
	}
	return out
}

// uneven is the min/mean below which light without a stated goal is called uneven.
const uneven = 0.4

// verdict says in one sentence what is wrong with the light on a plane, if anything.
func verdict(asked scene.Goal, g result.Goal, p *result.Plane, u unit.System) string {
	if p.Illuminance.Mean == 0 {
		return fmt.Sprintf("No light reaches the %s at all.", p.Name)
	}
	even := p.Light(shown(asked))
	lead := fmt.Sprintf("The %s gets %s on average, %s %s", placeName(p.Name), meansWords(asked, p), evenName(asked), evenWords(asked, even))
	dark := darkWords(p, u)
	switch {
	case g.Met:
		return lead + ": the goal is met."
	case g.Asked && len(g.Missing) == 1 && g.Hurdle != "":
		return lead + ", as the goal asks, but the light cannot be built so: " + g.Hurdle + "."
	case !g.Asked && even.MinOverMean >= uneven:
		return lead + ": no goal is set, and no place is dark."
	case !g.Asked:
		return lead + ": uneven" + dark + "."
	case asked.Uniformity > 0 && even.MinOverMean < asked.Uniformity:
		_, limit := held{even.MinOverMean, asked.Uniformity, 2}.words()
		return fmt.Sprintf("%s where %s is asked for%s%s.", lead, limit, dark, restOf(g))
	}
	return lead + ", but the goal is not met: " + strings.Join(g.Missing, "; ") + "."
}

// restOf adds what else is missing beside the uniformity.
func restOf(g result.Goal) (words string) {
	var rest []string
	for _, m := range g.Missing {
		if !strings.Contains(m, "uniformity") && m != g.Hurdle {
			rest = append(rest, m)
		}
	}
	if len(rest) > 0 {
		words = "; also the " + strings.Join(rest, "; ")
	}
	if g.Hurdle != "" {
		words += "; the light cannot be built so: " + g.Hurdle
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
	lowest := lightFigure(p.Shown, worst.Lowest)
	words := fmt.Sprintf("; it is darkest %s (%s at x %s, y %s)", inWords(worst.Place(u.Span)), lowest, u.Length(worst.LowestXM), u.Length(worst.LowestYM))
	if more := len(p.DarkCorners) - 1; more == 1 {
		words += ", one of two dark places"
	} else if more > 1 {
		words += fmt.Sprintf(", one of %d dark places", more+1)
	}
	return words
}

// inWords puts a place after a verb: "in the back left", "along the back", "across, from x 70 to 80 mm".
func inWords(where string) string {
	switch {
	case strings.HasPrefix(where, "along"), strings.HasPrefix(where, "across"), strings.HasPrefix(where, "lengthwise"), strings.HasPrefix(where, "all round"), strings.HasPrefix(where, "almost"):
		return where
	case strings.Contains(where, "middle"), !strings.Contains(where, " "):
		return "at the " + where
	}
	return "in the " + where + " corner"
}

// placeName turns a plane's name into words that follow "the".
func placeName(name string) string {
	switch name {
	case "surface", "floor":
		return name
	case "mid":
		return "mid-water plane"
	}
	return "plane at " + name
}
