package result

import (
	"math"
	"slices"
	"strings"

	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// What the words for places in an outline turn on: where edges meet that turn by more than sharpRad there is a corner,
// and a place nearer than nearShare of the smaller of length and width to a corner or side is at it.
const (
	sharpRad  = 20 * math.Pi / 180
	nearShare = 1.0 / 3
)

// placeIn names where a patch lies in a tank of an outline of its own, as place does in a rectangle: by the corner that
// its middle is near, else by the side, a bow where that is an arc between straight ones, else by the third of the
// plan.
func placeIn(o form.Outline, c DarkCorner, g Grid, midX, midY float64) (where, said string) {
	length, width := float64(g.NX)*g.StepXM, float64(g.NY)*g.StepYM
	inX, inY := third(midX/length, "left", "right"), third(midY/width, "front", "back")
	near, at := nearShare*math.Min(length, width), space.Point{X: midX, Y: midY}
	if i, away := nearestCorner(o, at); away < near {
		corner := o.Corners[i]
		where = strings.TrimSpace(third(corner.YM/width, "front", "back") + " " + third(corner.XM/length, "left", "right"))
		return where, "in the " + where + " corner"
	}
	edge, away := nearestEdge(o, at)
	if away < near && rounded(o) {
		where = eight(midX-length/2, midY-width/2) + " edge"
		return where, "at the " + where
	}
	if away >= near {
		where = strings.TrimSpace(strings.TrimSpace(inY+" "+inX) + " middle")
		return where, "at the " + where
	}
	side := SideName(o, edge)
	fromX, toX, fromY, toY := reach(o, edge)
	if long := math.Max(toX-fromX, toY-fromY); math.Max(c.ToXM-c.FromXM, c.ToYM-c.FromYM) > 0.7*long {
		return "along the " + side, ""
	}
	switch {
	case side == "bow":
		where = "bow's middle"
	case strings.HasSuffix(side, " side"):
		where = "middle of the " + side
	default:
		where = side + " middle"
	}
	if off := math.Hypot(midX-(fromX+toX)/2, midY-(fromY+toY)/2); off > near {
		where = side
	}
	return where, "at the " + where
}

// nearestCorner returns the true corner that is nearest to a place, and how far it is; infinity where there is none.
func nearestCorner(o form.Outline, at space.Point) (nearest int, awayM float64) {
	awayM = math.Inf(1)
	for i, c := range o.Corners {
		in, out := o.Normal((i+len(o.Corners)-1)%len(o.Corners)), o.Normal(i)
		turn := math.Abs(math.Atan2(in.X*out.Y-in.Y*out.X, in.X*out.X+in.Y*out.Y))
		if away := math.Hypot(c.XM-at.X, c.YM-at.Y); turn > sharpRad && away < awayM {
			nearest, awayM = i, away
		}
	}
	return nearest, awayM
}

// nearestEdge returns the number of the edge that is nearest to a place, and how far it is.
func nearestEdge(o form.Outline, at space.Point) (edge int, awayM float64) {
	awayM = math.Inf(1)
	for i, a := range o.Corners {
		b := o.Corners[(i+1)%len(o.Corners)]
		x, y := b.XM-a.XM, b.YM-a.YM
		along := min(max(((at.X-a.XM)*x+(at.Y-a.YM)*y)/(x*x+y*y), 0), 1)
		if away := math.Hypot(a.XM+along*x-at.X, a.YM+along*y-at.Y); away < awayM {
			edge, awayM = o.Edges[i], away
		}
	}
	return edge, awayM
}

// chords returns the indices of the corners from which an edge goes on.
func chords(o form.Outline, edge int) (list []int) {
	for i, e := range o.Edges {
		if e == edge {
			list = append(list, i)
		}
	}
	return list
}

// reach is the box about an edge.
func reach(o form.Outline, edge int) (fromX, toX, fromY, toY float64) {
	fromX, toX, fromY, toY = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, i := range chords(o, edge) {
		for _, c := range []form.Corner{o.Corners[i], o.Corners[(i+1)%len(o.Corners)]} {
			fromX, toX = math.Min(fromX, c.XM), math.Max(toX, c.XM)
			fromY, toY = math.Min(fromY, c.YM), math.Max(toY, c.YM)
		}
	}
	return fromX, toX, fromY, toY
}

// arcs are the numbers of the edges that are cut into chords.
func arcs(o form.Outline) map[int]bool {
	all := map[int]bool{}
	for i, e := range o.Edges {
		if i > 0 && o.Edges[i-1] == e {
			all[e] = true
		}
	}
	return all
}

// rounded tells whether all edges are arcs.
func rounded(o form.Outline) bool {
	all := arcs(o)
	return !slices.ContainsFunc(o.Edges, func(e int) bool { return !all[e] })
}

// eight is one of eight directions in words.
func eight(x, y float64) string {
	words := []string{"right", "back right", "back", "back left", "left", "front left", "front", "front right"}
	return words[(int(math.Round(math.Atan2(y, x)/(math.Pi/4)))+8)%8]
}

// SideName names an edge of an outline: the bow where it is the only arc, else by where it lies: "front", "front right
// side".
func SideName(o form.Outline, edge int) string {
	if all := arcs(o); len(all) == 1 && all[edge] {
		return "bow"
	}
	var x, y float64 // to the outside
	for _, i := range chords(o, edge) {
		a, b := o.Corners[i], o.Corners[(i+1)%len(o.Corners)]
		x, y = x+b.YM-a.YM, y+a.XM-b.XM
	}
	name := eight(x, y)
	if strings.Contains(name, " ") {
		return name + " side"
	}
	return name
}
