package optics

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/scene"
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

// judge holds a plane against the goal.
func judge(g scene.Goal, p *result.Plane) result.Goal {
	out := result.Goal{Asked: g.Set()}
	miss := func(what string, h held, of string) {
		if h.missed() {
			is, limit := h.words()
			out.Missing = append(out.Missing, fmt.Sprintf("%s %s of %s%s is below %s%s", p.Name, what, is, of, limit, of))
		}
	}
	miss("mean illuminance", held{p.Illuminance.Mean, g.IlluminanceLx, 0}, " lx")
	miss("mean PPFD", held{p.PPFD.Mean, g.PPFD, 1}, " umol/m2/s")
	miss("DLI", held{p.DLI, g.DLI, 2}, " mol/m2/day")
	miss("uniformity (min/mean)", held{counted(g, p).MinOverMean, g.Uniformity, 2}, "")
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
		is, limit = fmt.Sprintf("%.*f", d, h.found), fmt.Sprintf("%.*f", d, h.asked)
		if is != limit || !h.missed() {
			return is, limit
		}
	}
	limit = fmt.Sprintf("%.*f", h.decimals, h.asked)
	return "just under " + limit, limit
}

// say writes the figure alone.
func (h held) say() string {
	is, _ := h.words()
	return is
}

// evenWords writes the min/mean that a goal counts.
func evenWords(g scene.Goal, s result.Statistics) string {
	return held{s.MinOverMean, g.Uniformity, 2}.say()
}

// counted returns the statistics that a goal counts: those of photons where it asks for photons alone, else those of lux.
func counted(g scene.Goal, p *result.Plane) result.Statistics {
	if g.Photons() {
		return p.PPFD
	}
	return p.Illuminance
}

// uneven is the min/mean below which light without a stated goal is called uneven.
const uneven = 0.4

// verdict says in one sentence what is wrong with the light on a plane, if anything.
func verdict(asked scene.Goal, g result.Goal, p *result.Plane) string {
	if p.Illuminance.Mean == 0 {
		return fmt.Sprintf("No light reaches the %s at all.", p.Name)
	}
	light := unit.Grouped(held{p.Illuminance.Mean, asked.IlluminanceLx, 0}.say()) + " lx"
	if asked.PPFD > 0 || asked.DLI > 0 {
		light = fmt.Sprintf("%s umol/m2/s (%s)", held{p.PPFD.Mean, asked.PPFD, 0}.say(), light)
	}
	uniformity := counted(asked, p).MinOverMean
	lead := fmt.Sprintf("The %s gets %s on average, min/mean %s", placeName(p.Name), light, evenWords(asked, counted(asked, p)))
	dark := darkWords(p)
	switch {
	case g.Met:
		return lead + ": the goal is met."
	case !g.Asked && uniformity >= uneven:
		return lead + ": no goal is set, and no place is dark."
	case !g.Asked:
		return lead + ": uneven" + dark + "."
	case asked.Uniformity > 0 && uniformity < asked.Uniformity:
		_, limit := held{uniformity, asked.Uniformity, 2}.words()
		return fmt.Sprintf("%s where %s is asked for%s%s.", lead, limit, dark, restOf(g.Missing))
	}
	return lead + ", but the goal is not met: " + strings.Join(g.Missing, "; ") + "."
}

// restOf adds what else is missing beside the uniformity.
func restOf(missing []string) string {
	var rest []string
	for _, m := range missing {
		if !strings.Contains(m, "uniformity") {
			rest = append(rest, m)
		}
	}
	if len(rest) == 0 {
		return ""
	}
	return "; also the " + strings.Join(rest, "; ")
}

// darkWords names the place of the lowest cell among the dark corners.
func darkWords(p *result.Plane) string {
	if len(p.DarkCorners) == 0 {
		return ""
	}
	worst := p.DarkCorners[0]
	for _, c := range p.DarkCorners {
		if c.Lowest < worst.Lowest-1e-9*p.DarkLimit {
			worst = c
		}
	}
	lowest := thousands(worst.Lowest) + " lx"
	if p.DarkPhotons {
		lowest = fmt.Sprintf("%.1f umol/m2/s", worst.Lowest)
	}
	words := fmt.Sprintf("; it is darkest %s (%s at x %.0f mm, y %.0f mm)", inWords(worst.Where), lowest, worst.LowestXM*1000, worst.LowestYM*1000)
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

// thousands writes a whole number with a space between thousands.
func thousands(v float64) string { return unit.Grouped(fmt.Sprintf("%.0f", math.Max(v, 0))) }
