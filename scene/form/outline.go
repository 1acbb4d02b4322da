// Package form is the pure geometry of tanks that are no upright box, and of what stands in them, in the tank's axes
// (package space) and in metres: outlines seen from above, grounds that are not level, solid things. It knows no light
// and no file. Next: package scene for the keys that describe them, package trace for the flights that meet them.
package form

import (
	"cmp"
	"math"
	"slices"

	"fathomlux/scene/space"
)

// Corner is one corner of an outline.
type Corner struct{ XM, YM float64 }

// Outline is a tank's inside seen from above: corners in order, counter-clockwise, with arcs cut into chords. The zero
// Outline stands for the rectangle of the tank's length and width.
type Outline struct {
	Corners []Corner
	Edges   []int // number of the edge, as it was written, that goes on from each corner
}

// Empty tells whether the outline is none of its own: the rectangle.
func (o Outline) Empty() bool { return len(o.Corners) == 0 }

// next is the corner after one.
func (o Outline) next(i int) Corner { return o.Corners[(i+1)%len(o.Corners)] }

// AreaM2 is the area inside.
func (o Outline) AreaM2() float64 {
	area, _ := middle(o.Corners)
	return area
}

// Size is the length along x and the width along y of the rectangle about the outline, whose corner is the origin.
func (o Outline) Size() (lengthM, widthM float64) {
	for _, c := range o.Corners {
		lengthM, widthM = max(lengthM, c.XM), max(widthM, c.YM)
	}
	return lengthM, widthM
}

// Lowest is the lowest x or y of a corner.
func (o Outline) Lowest() float64 {
	low := math.Inf(1)
	for _, c := range o.Corners {
		low = min(low, c.XM, c.YM)
	}
	return low
}

// Holds tells whether a place is inside, whatever its height; of one on an edge either may be told.
func (o Outline) Holds(at space.Point) (inside bool) {
	for i, a := range o.Corners {
		if b := o.next(i); crosses(a, b, at) {
			inside = !inside
		}
	}
	return inside
}

// crosses tells whether the edge from a to b crosses what lies right of a place on its level.
func crosses(a, b Corner, at space.Point) bool {
	return (a.YM > at.Y) != (b.YM > at.Y) && at.X < a.XM+(at.Y-a.YM)/(b.YM-a.YM)*(b.XM-a.XM)
}

// Within returns the part of an area that is inside the outline: how large it is, and its middle.
func (o Outline) Within(a space.Area) (areaM2 float64, mid Corner) {
	list := o.Corners
	for _, cut := range [4]struct{ x, y, offM float64 }{
		{1, 0, a.FromXM}, {-1, 0, -a.ToXM}, {0, 1, a.FromYM}, {0, -1, -a.ToYM}} {
		off := func(c Corner) float64 { return cut.x*c.XM + cut.y*c.YM - cut.offM }
		var kept []Corner // by Sutherland and Hodgman
		for i, c := range list {
			n := list[(i+1)%len(list)]
			here, there := off(c), off(n)
			if here >= 0 {
				kept = append(kept, c)
			}
			if (here >= 0) != (there >= 0) {
				s := here / (here - there)
				kept = append(kept, Corner{c.XM + s*(n.XM-c.XM), c.YM + s*(n.YM-c.YM)})
			}
		}
		list = kept
	}
	return middle(list)
}

// middle returns the area and the centre of gravity of a polygon.
func middle(list []Corner) (areaM2 float64, mid Corner) {
	if len(list) < 3 {
		return 0, mid
	}
	from := list[0] // near the rest, so that little cancels
	for i := 1; i < len(list)-1; i++ {
		a, b := list[i], list[i+1]
		ax, ay, bx, by := a.XM-from.XM, a.YM-from.YM, b.XM-from.XM, b.YM-from.YM
		part := (ax*by - ay*bx) / 2
		areaM2 += part
		mid.XM, mid.YM = mid.XM+part*(ax+bx)/3, mid.YM+part*(ay+by)/3
	}
	if areaM2 <= 0 {
		return 0, Corner{}
	}
	return areaM2, Corner{from.XM + mid.XM/areaM2, from.YM + mid.YM/areaM2}
}

// EdgeM is how far a place is from the nearest edge, inside as outside.
func (o Outline) EdgeM(at Corner) float64 {
	least := math.Inf(1)
	for i, a := range o.Corners {
		least = min(least, away(a, o.next(i), at))
	}
	return least
}

// Spans returns the x between which a line along the tank is inside, by pairs, rising.
func (o Outline) Spans(yM float64) (list []float64) {
	for i, a := range o.Corners {
		if b := o.next(i); (a.YM > yM) != (b.YM > yM) {
			list = append(list, a.XM+(yM-a.YM)/(b.YM-a.YM)*(b.XM-a.XM))
		}
	}
	slices.Sort(list)
	return list
}

// Reach returns from where to where a bar from wall to wall reaches, by pairs: along x where along says so, else along
// y, and from low to high across that. It reaches as far as the outline does anywhere within its width.
func (o Outline) Reach(lowM, highM float64, along bool) (list []float64) {
	turned := Outline{Corners: slices.Clone(o.Corners), Edges: o.Edges}
	lines := []float64{lowM + closeM, highM - closeM}
	for i, c := range o.Corners {
		if !along {
			c.XM, c.YM = c.YM, c.XM
			turned.Corners[i] = c
		}
		for _, y := range []float64{c.YM - closeM, c.YM + closeM} {
			if y > lowM && y < highM {
				lines = append(lines, y)
			}
		}
	}
	var spans [][2]float64
	for _, y := range lines {
		one := turned.Spans(y)
		for k := 0; k+1 < len(one); k += 2 {
			spans = append(spans, [2]float64{one[k], one[k+1]})
		}
	}
	slices.SortFunc(spans, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	for _, s := range spans {
		if n := len(list); n > 0 && s[0] <= list[n-1] {
			list[n-1] = max(list[n-1], s[1])
			continue
		}
		list = append(list, s[0], s[1])
	}
	return list
}

// convex tells whether no straight way between two places inside leaves the outline.
func (o Outline) convex() bool {
	for i, a := range o.Corners {
		b, c := o.next(i), o.next((i+1)%len(o.Corners))
		if (b.XM-a.XM)*(c.YM-b.YM)-(b.YM-a.YM)*(c.XM-b.XM) < -1e-12 {
			return false
		}
	}
	return true
}

// Normal returns the level direction to the inside of the edge that goes on from a corner.
func (o Outline) Normal(i int) space.Vector {
	a, b := o.Corners[i], o.next(i)
	long := math.Hypot(b.XM-a.XM, b.YM-a.YM)
	return space.Vector{X: (a.YM - b.YM) / long, Y: (b.XM - a.XM) / long}
}

// touchM is how far rounding may put a place beside an edge, or beyond its end.
const touchM = 1e-9

// Fence is an outline made ready for flights. It is not changed once it is made.
type Fence struct {
	Outline
	edges  []edge
	blocks []block
	bulges bool
}

// edge is one of the outline's, from a corner along a direction to the next.
type edge struct {
	from         Corner
	alongX, long float64
	alongY       float64
}

// block is some edges that follow on each other, and what holds them.
type block struct {
	from, to   int
	low, highs Corner
}

// NewFence readies an outline.
func NewFence(o Outline) *Fence {
	f := &Fence{Outline: o, bulges: o.convex()}
	for i, a := range o.Corners {
		b := o.next(i)
		long := math.Hypot(b.XM-a.XM, b.YM-a.YM)
		f.edges = append(f.edges, edge{from: a, alongX: (b.XM - a.XM) / long, alongY: (b.YM - a.YM) / long, long: long})
	}
	size := max(1, int(math.Sqrt(float64(len(f.edges))/2)))
	for from := 0; from < len(f.edges); from += size {
		b := block{from, min(from+size, len(f.edges)), Corner{math.Inf(1), math.Inf(1)}, Corner{math.Inf(-1), math.Inf(-1)}}
		for i := from; i < b.to; i++ {
			for _, c := range [2]Corner{o.Corners[i], o.next(i)} {
				b.low = Corner{min(b.low.XM, c.XM-2*touchM), min(b.low.YM, c.YM-2*touchM)}
				b.highs = Corner{max(b.highs.XM, c.XM+2*touchM), max(b.highs.YM, c.YM+2*touchM)}
			}
		}
		f.blocks = append(f.blocks, b)
	}
	return f
}

// Convex tells whether no straight way between two places inside leaves the outline.
func (f *Fence) Convex() bool { return f.bulges }

// Holds tells whether a place is inside, as seen by who goes on from there in a direction: of one on an edge it is told
// where it goes.
func (f *Fence) Holds(at space.Point, d space.Vector) (inside bool) {
	at.X, at.Y = at.X+touchM*d.X, at.Y+touchM*d.Y
	for k := range f.blocks {
		b := &f.blocks[k]
		if at.Y < b.low.YM || at.Y > b.highs.YM || at.X > b.highs.XM {
			continue
		}
		for i := b.from; i < b.to; i++ {
			if crosses(f.edges[i].from, f.next(i), at) {
				inside = !inside
			}
		}
	}
	return inside
}

// Next returns how far on a way of at most within the next edge is that a place inside comes to from within or, if it
// is to enter, one outside comes to from without, and the edge's number; within and -1 where the way ends before. The
// way is in lengths of the direction, whose z does not count.
func (f *Fence) Next(at space.Point, d space.Vector, within float64, enter bool) (way float64, edge int) {
	way, edge = within, -1
	sign := 1.0
	if enter {
		sign = -1
	}
	perX, perY := 1/d.X, 1/d.Y
	for k := range f.blocks {
		if b := &f.blocks[k]; b.beside(at, perX, perY, way) {
			continue
		} else {
			for i := b.from; i < b.to; i++ {
				if s, ok := f.edges[i].meets(at, d, sign); ok && s < way {
					way, edge = s, i
				}
			}
		}
	}
	return way, edge
}

// beside tells whether a way does not pass the block.
func (b *block) beside(at space.Point, perX, perY, way float64) bool {
	x1, x2 := (b.low.XM-at.X)*perX, (b.highs.XM-at.X)*perX
	y1, y2 := (b.low.YM-at.Y)*perY, (b.highs.YM-at.Y)*perY
	in, out := max(min(x1, x2), min(y1, y2), -touchM), min(max(x1, x2), max(y1, y2), way)
	return in > out // what is not a number is not beside
}

// meets returns how far on a way the edge is met from the side that sign says: 1 for from within.
func (e *edge) meets(at space.Point, d space.Vector, sign float64) (way float64, ok bool) {
	toward := sign * (e.alongY*d.X - e.alongX*d.Y) // along the normal to the outside
	if !(toward > 0) {
		return 0, false
	}
	x, y := at.X-e.from.XM, at.Y-e.from.YM
	off := sign * (e.alongX*y - e.alongY*x) // before the edge
	if off < -touchM {
		return 0, false
	}
	way = max(0, off/toward)
	u := (x+way*d.X)*e.alongX + (y+way*d.Y)*e.alongY
	return way, u >= -touchM && u <= e.long+touchM
}
