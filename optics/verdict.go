package optics

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/scene"
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
	miss := func(what string, asked, found float64, format string) {
		if asked > 0 && !(found >= asked) {
			is, limit := fmt.Sprintf(format, found), fmt.Sprintf(format, asked)
			if is == limit { // alike when rounded
				is = "just under " + limit
			}
			out.Missing = append(out.Missing, fmt.Sprintf("%s %s of %s is below %s", p.Name, what, is, limit))
		}
	}
	miss("mean illuminance", g.IlluminanceLx, p.Illuminance.Mean, "%.0f lx")
	miss("mean PPFD", g.PPFD, p.PPFD.Mean, "%.1f umol/m2/s")
	miss("DLI", g.DLI, p.DLI, "%.2f mol/m2/day")
	miss("uniformity (min/mean)", g.Uniformity, counted(g, p).MinOverMean, "%.2f")
	out.Met = out.Asked && len(out.Missing) == 0
	return out
}

// counted returns the statistics that a goal counts: those of photons where it asks for photons alone, else those of lux.
func counted(g scene.Goal, p *result.Plane) result.Statistics {
	if g.IlluminanceLx == 0 && (g.PPFD > 0 || g.DLI > 0) {
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
	light := thousands(p.Illuminance.Mean) + " lx"
	if asked.PPFD > 0 || asked.DLI > 0 {
		light = fmt.Sprintf("%.0f umol/m2/s (%s)", p.PPFD.Mean, light)
	}
	uniformity := counted(asked, p).MinOverMean
	lead := fmt.Sprintf("The %s gets %s on average, min/mean %.2f", placeName(p.Name), light, uniformity)
	dark := darkWords(p)
	switch {
	case g.Met:
		return lead + ": the goal is met."
	case !g.Asked && uniformity >= uneven:
		return lead + ": no goal is set, and no place is dark."
	case !g.Asked:
		return lead + ": uneven" + dark + "."
	case asked.Uniformity > 0 && uniformity < asked.Uniformity:
		return fmt.Sprintf("%s where %.2f is asked for%s%s.", lead, asked.Uniformity, dark, restOf(g.Missing))
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
		if c.LowestLx < worst.LowestLx-1e-9*p.Illuminance.Mean {
			worst = c
		}
	}
	words := fmt.Sprintf("; it is darkest %s (%s lx at x %.0f mm, y %.0f mm)", inWords(worst.Where), thousands(worst.LowestLx), worst.LowestXM*1000, worst.LowestYM*1000)
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
func thousands(v float64) string {
	digits := fmt.Sprintf("%.0f", math.Max(v, 0))
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + " " + digits[i:]
	}
	return digits
}
