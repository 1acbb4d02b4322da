package form

import (
	"math"

	"fathomlux/scene/space"
)

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
