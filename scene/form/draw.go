package form

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/space"
)

// Point is a corner as it is drawn. The edge that goes on from it bows out by SagittaM, in where that is below 0.
type Point struct {
	Corner
	SagittaM float64
}

// An arc is cut into chords of chordRad or less, at least fewestChords.
const (
	chordRad     = 2 * math.Pi / 180
	fewestChords = 16
)

// Draw makes an outline of points in order, either way round. A fault is at the edge that goes on from the point whose
// number it comes with.
func Draw(points []Point) (o Outline, at int, err error) {
	flat := make([]Corner, len(points))
	for i, p := range points {
		flat[i] = p.Corner
	}
	backwards := signed(flat) < 0
	for k := range points {
		at, a, b := k, points[k].Corner, points[(k+1)%len(points)].Corner
		if backwards {
			at = len(points) - 1 - k
			a, b = points[(at+1)%len(points)].Corner, points[at].Corner
		}
		long, bow := math.Hypot(b.XM-a.XM, b.YM-a.YM), points[at].SagittaM
		switch {
		case long < closeM:
			return Outline{}, at, fmt.Errorf("two points that follow on each other are one; leave one of them out")
		case math.Abs(bow) > long/2*(1+touchM):
			return Outline{}, at, fmt.Errorf("the arc is deeper than a half circle; give at most half the distance of the "+
				"points, here %.4g mm, or cut the edge into two", 500*long)
		}
		for _, c := range arc(a, b, bow) {
			o.Corners, o.Edges = append(o.Corners, c), append(o.Edges, at)
		}
	}
	if i, j := o.crossing(); i >= 0 {
		return Outline{}, o.Edges[j], fmt.Errorf("the edge meets that from point %d; an outline must not cross or "+
			"touch itself", o.Edges[i]+1)
	}
	if signed(o.Corners) <= 0 {
		return Outline{}, 0, fmt.Errorf("the outline holds no area; give its points in order, one way round")
	}
	return o, 0, nil
}

// closeM is how near to each other points, or edges that do not follow on each other, are one.
const closeM = 1e-5

// signed is the area, below 0 for corners in clockwise order.
func signed(list []Corner) (areaM2 float64) {
	for i, a := range list {
		b := list[(i+1)%len(list)]
		areaM2 += (a.XM*b.YM - b.XM*a.YM) / 2
	}
	return areaM2
}

// arc returns the corners of an edge from a to b, without b, that bows out to the right of its direction.
func arc(a, b Corner, bowM float64) (list []Corner) {
	x, y := (b.XM-a.XM)/2, (b.YM-a.YM)/2
	half := math.Hypot(x, y)
	if math.Abs(bowM) < closeM {
		return []Corner{a}
	}
	turn := 2 * math.Atan(bowM/half) // of half the arc
	n := max(fewestChords, int(math.Ceil(2*math.Abs(turn)/chordRad)))
	list = append(list, a)
	for k := 1; k < n; k++ {
		t := turn * (2*float64(k)/float64(n) - 1)
		along, out := math.Sin(t)/math.Sin(turn), (math.Cos(t)-math.Cos(turn))/math.Sin(turn)
		list = append(list, Corner{(a.XM+b.XM)/2 + along*x + out*y, (a.YM+b.YM)/2 + along*y - out*x})
	}
	return list
}

// crossing returns two edges that meet though they do not follow on each other, or fold back on each other; -1 for
// none.
func (o Outline) crossing() (i, j int) {
	n := len(o.Corners)
	for i, a := range o.Corners {
		b, c := o.next(i), o.next((i+1)%n)
		x, y, u, v := b.XM-a.XM, b.YM-a.YM, c.XM-b.XM, c.YM-b.YM
		if math.Abs(x*v-y*u) <= 1e-9*math.Hypot(x, y)*math.Hypot(u, v) && x*u+y*v < 0 {
			return i, (i + 1) % n
		}
		for j := i + 2; j < n; j++ {
			if (j+1)%n != i && apart(a, b, o.Corners[j], o.next(j)) <= closeM {
				return i, j
			}
		}
	}
	return -1, -1
}

// apart is how far two edges are from each other, 0 where they cross.
func apart(a, b, c, d Corner) float64 {
	if max(a.XM, b.XM)+closeM < min(c.XM, d.XM) || max(c.XM, d.XM)+closeM < min(a.XM, b.XM) ||
		max(a.YM, b.YM)+closeM < min(c.YM, d.YM) || max(c.YM, d.YM)+closeM < min(a.YM, b.YM) {
		return math.Inf(1)
	}
	side := func(p, q, r Corner) bool { return (q.XM-p.XM)*(r.YM-p.YM) > (q.YM-p.YM)*(r.XM-p.XM) }
	if side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b) {
		return 0
	}
	return min(away(a, b, c), away(a, b, d), away(c, d, a), away(c, d, b))
}

// away is how far a place is from an edge.
func away(a, b, at Corner) float64 {
	x, y := b.XM-a.XM, b.YM-a.YM
	s := min(max(((at.XM-a.XM)*x+(at.YM-a.YM)*y)/(x*x+y*y), 0), 1)
	return math.Hypot(a.XM+s*x-at.XM, a.YM+s*y-at.YM)
}

// Rectangle is the points of a rectangle with its corner at the origin; from its front edge on they go round
// counter-clockwise, as those of all forms here.
func Rectangle(lengthM, widthM float64) []Point {
	return points(Corner{}, Corner{lengthM, 0}, Corner{lengthM, widthM}, Corner{0, widthM})
}

func points(corners ...Corner) (list []Point) {
	for _, c := range corners {
		list = append(list, Point{Corner: c})
	}
	return list
}

// BowFront is the points of a rectangle whose front bows out by a sagitta, up to y = 0.
func BowFront(lengthM, widthM, sagittaM float64) []Point {
	list := Rectangle(lengthM, widthM)
	list[0].YM, list[1].YM, list[0].SagittaM = sagittaM, sagittaM, sagittaM
	return list
}

// CutCorner is the points of a rectangle one of whose corners, 0 to 3 of Rectangle, is cut off to so much of both
// sides.
func CutCorner(lengthM, widthM, cutM float64, corner int) []Point {
	list := Rectangle(lengthM, widthM)
	toward := func(other Point) Point {
		at := list[corner].Corner
		long := math.Hypot(other.XM-at.XM, other.YM-at.YM)
		return Point{Corner: Corner{at.XM + cutM/long*(other.XM-at.XM), at.YM + cutM/long*(other.YM-at.YM)}}
	}
	return slices.Concat(list[:corner], []Point{toward(list[(corner+3)%4]), toward(list[(corner+1)%4])}, list[corner+1:])
}

// Round is the points of a circle in a square: four arcs, the first in front.
func Round(diameterM float64) (list []Point) {
	r, bow := diameterM/2, diameterM/2*(1-math.Sqrt2/2)
	for _, side := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		list = append(list, Point{Corner{r * (1 + side[0]*math.Sqrt2/2), r * (1 + side[1]*math.Sqrt2/2)}, bow})
	}
	return list
}

// Hexagon is the points of a hexagon with corners left and right and a side in front.
func Hexagon(lengthM, widthM float64) []Point {
	return points(Corner{lengthM / 4, 0}, Corner{lengthM * 3 / 4, 0}, Corner{lengthM, widthM / 2},
		Corner{lengthM * 3 / 4, widthM}, Corner{lengthM / 4, widthM}, Corner{0, widthM / 2})
}

// Side tells which side of the tank an edge of drawn points forms, by the direction to its outside: 0 front, 1 right,
// 2 back, 3 left.
func (o Outline) Side(edge int) int {
	var out space.Vector
	for i, e := range o.Edges {
		if e == edge {
			a, b := o.Corners[i], o.next(i)
			out.X, out.Y = out.X+b.YM-a.YM, out.Y+a.XM-b.XM
		}
	}
	switch {
	case math.Abs(out.Y) >= math.Abs(out.X)*(1-touchM) && out.Y < 0:
		return 0
	case math.Abs(out.Y) >= math.Abs(out.X)*(1-touchM):
		return 2
	case out.X > 0:
		return 1
	}
	return 3
}
