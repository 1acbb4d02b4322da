package result

import (
	"math"
	"sort"
	"strings"

	"fathomlux/scene/form"
	"fathomlux/scene/unit"
)

// DarkCorners returns the connected patches of open cells whose values, the field's illuminance or PPFD, are below the
// limit, the largest first, of a tank with an outline of its own or none. Cells touch by their sides; one that is open
// by less than half makes no patch of its own.
func DarkCorners(f Field, values []float64, limit float64, o form.Outline) []DarkCorner {
	seen := make([]bool, f.Grid.Cells())
	for i := range seen {
		seen[i] = f.Solid.Closed(i)
	}
	var found []DarkCorner
	for i := range values {
		if seen[i] || !(values[i] < limit) || !f.Solid.mostly(i) {
			continue
		}
		found = append(found, describe(f, o, values, flood(f.Grid, values, i, limit, seen)))
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].AreaShare > found[b].AreaShare })
	return found
}

// flood marks the patch around start in seen and returns its cells.
func flood(g Grid, values []float64, start int, limit float64, seen []bool) []int {
	seen[start] = true
	patch := []int{start}
	for at := 0; at < len(patch); at++ {
		ix, iy := patch[at]%g.NX, patch[at]/g.NX
		for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			x, y := ix+d[0], iy+d[1]
			if x < 0 || y < 0 || x >= g.NX || y >= g.NY {
				continue
			}
			if i := y*g.NX + x; !seen[i] && values[i] < limit {
				seen[i] = true
				patch = append(patch, i)
			}
		}
	}
	return patch
}

func describe(f Field, o form.Outline, values []float64, patch []int) DarkCorner {
	g := f.Grid
	c := DarkCorner{FromXM: math.Inf(1), FromYM: math.Inf(1), Lowest: math.Inf(1)}
	var n, sumX, sumY float64
	for _, i := range patch {
		x, y, open := g.CentreX(i%g.NX), g.CentreY(i/g.NX), f.Solid.Open(i)
		n, sumX, sumY = n+open, sumX+float64(x*open), sumY+float64(y*open)
		c.FromXM, c.ToXM = math.Min(c.FromXM, x-g.StepXM/2), math.Max(c.ToXM, x+g.StepXM/2)
		c.FromYM, c.ToYM = math.Min(c.FromYM, y-g.StepYM/2), math.Max(c.ToYM, y+g.StepYM/2)
		if values[i] < c.Lowest && f.Solid.mostly(i) {
			c.Lowest, c.LowestLx, c.LowestXM, c.LowestYM = values[i], f.Illuminance[i], x, y
		}
	}
	c.AreaShare = n / (float64(g.Cells()) * (1 - f.Solid.Share()))
	if o.Empty() {
		c.Where, c.said = place(c, g, sumX/n, sumY/n)
	} else {
		c.Where, c.said = placeIn(o, c, g, sumX/n, sumY/n)
	}
	return c
}

// Place names where the patch lies: Where, with the measures of a strip.
func (c DarkCorner) Place(u unit.System) string {
	switch c.Where {
	case "across":
		return "across, from x " + u.Span(c.FromXM, c.ToXM)
	case "lengthwise":
		return "lengthwise, from y " + u.Span(c.FromYM, c.ToYM)
	}
	return c.Where
}

// Say is Place after a verb: "in the back left corner", "along the back", "across, from x 70 to 80 mm".
func (c DarkCorner) Say(u unit.System) string {
	if c.said != "" {
		return c.said
	}
	return c.Place(u)
}

// nearSide is the share of the tank's length or width within which a strip runs along a side.
const nearSide = 0.1

// place names where a patch lies: by the third of the plan that its middle is in, by the side that it runs along, or,
// for a strip away from the sides such as the shadow of a brace, by the way that it crosses the tank. said is how that
// follows a verb, empty where it is the same.
func place(c DarkCorner, g Grid, midX, midY float64) (where, said string) {
	length, width := float64(g.NX)*g.StepXM, float64(g.NY)*g.StepYM
	wide, deep := (c.ToXM-c.FromXM)/length, (c.ToYM-c.FromYM)/width
	if wide > 0.8 && deep > 0.8 {
		if c.AreaShare > 0.6 {
			return "almost everywhere", ""
		}
		return "all round the edge", ""
	}
	inX, inY := third(midX/length, "left", "right"), third(midY/width, "front", "back")
	switch {
	case wide > 0.7 && inY != "" && beside(c.FromYM, c.ToYM, width):
		return "along the " + inY, ""
	case deep > 0.7 && inX != "" && beside(c.FromXM, c.ToXM, length):
		return "along the " + inX, ""
	case deep > 0.7 && wide <= 0.7:
		return "across", ""
	case wide > 0.7 && deep <= 0.7:
		return "lengthwise", ""
	case inX != "" && inY != "":
		return inY + " " + inX, "in the " + inY + " " + inX + " corner"
	}
	where = strings.TrimSpace(inY + inX + " middle")
	return where, "at the " + where
}

// beside tells whether a patch reaches within nearSide of a side of the tank.
func beside(fromM, toM, lengthM float64) bool {
	return fromM < nearSide*lengthM || toM > (1-nearSide)*lengthM
}

// third returns low in the first third, high in the last and nothing between.
func third(share float64, low, high string) string {
	switch {
	case share < 1.0/3:
		return low
	case share > 2.0/3:
		return high
	}
	return ""
}
