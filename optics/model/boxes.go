package model

import (
	"math"

	"fathomlux/scene/space"
)

// Obstacles are opaque things within one layer of the tank.
type Obstacles interface {
	// First returns how far on a straight way in a direction of unit length the nearest of them begins; what lies beyond
	// withinM may be left out. It is math.MaxFloat64 where there is none.
	First(from space.Point, direction space.Vector, withinM float64) float64
	// Hold tells whether a place lies within one of them.
	Hold(at space.Point) bool
}

// NewObstacles returns boxes as obstacles, nil for no box.
func NewObstacles(list []space.Box) Obstacles {
	if len(list) == 0 {
		return nil
	}
	b := &boxes{list: list, all: list[0], columns: make([][]space.Box, min(len(list), boxColumns))}
	for _, o := range list {
		low, high := &b.all.Min, &b.all.Max
		low.X, low.Y, low.Z = min(low.X, o.Min.X), min(low.Y, o.Min.Y), min(low.Z, o.Min.Z)
		high.X, high.Y, high.Z = max(high.X, o.Max.X), max(high.Y, o.Max.Y), max(high.Z, o.Max.Z)
	}
	for _, o := range list {
		for c := b.column(o.Min.X); c <= b.column(o.Max.X); c++ {
			b.columns[c] = append(b.columns[c], o)
		}
	}
	return b
}

// boxes are some boxes, the box about them all, and which of them reach into each of some columns that cut that box
// along x, no more than there are boxes: a way meets a box once in each column that both pass.
type boxes struct {
	list    []space.Box
	all     space.Box
	columns [][]space.Box
}

const boxColumns = 32 // at most

// column returns the column of an x; those beside all boxes count to the outermost.
func (b *boxes) column(x float64) int {
	n := float64(len(b.columns))
	at := (x - b.all.Min.X) / (b.all.Max.X - b.all.Min.X) * n
	return int(min(max(at, 0), n-1))
}

func (b *boxes) Hold(at space.Point) bool {
	for _, o := range b.list {
		if at.X >= o.Min.X-touchM && at.X <= o.Max.X+touchM && at.Y >= o.Min.Y-touchM && at.Y <= o.Max.Y+touchM &&
			at.Z >= o.Min.Z-touchM && at.Z <= o.Max.Z {
			return true
		}
	}
	return false
}

// apart tells whether a box lies wholly to one side of a way, which runs between two corners.
func apart(b *space.Box, low, high *space.Point) bool {
	return low.Z > b.Max.Z || high.Z < b.Min.Z ||
		low.X > b.Max.X || high.X < b.Min.X || low.Y > b.Max.Y || high.Y < b.Min.Y
}

func (b *boxes) First(from space.Point, d space.Vector, withinM float64) float64 {
	first := math.MaxFloat64
	to := space.Point{X: from.X + d.X*withinM, Y: from.Y + d.Y*withinM, Z: from.Z + d.Z*withinM}
	low := space.Point{X: min(from.X, to.X), Y: min(from.Y, to.Y), Z: min(from.Z, to.Z)}
	high := space.Point{X: max(from.X, to.X), Y: max(from.Y, to.Y), Z: max(from.Z, to.Z)}
	if apart(&b.all, &low, &high) {
		return first
	}
	perX, perY, perZ := 1/d.X, 1/d.Y, 1/d.Z
	for c, last := b.column(low.X), b.column(high.X); c <= last; c++ {
		for i := range b.columns[c] {
			one := &b.columns[c][i]
			if apart(one, &low, &high) {
				continue
			}
			in, out := 0.0, first
			in, out = between(one.Min.X, one.Max.X, from.X, perX, in, out)
			in, out = between(one.Min.Y, one.Max.Y, from.Y, perY, in, out)
			in, out = between(one.Min.Z, one.Max.Z, from.Z, perZ, in, out)
			if in < out {
				first = in
			}
		}
	}
	return first
}

// between narrows a range of way to that within low and high along one axis, perM being way for each metre along it; an
// empty range has in above out.
func between(low, high, at, perM, in, out float64) (float64, float64) {
	if math.IsInf(perM, 0) {
		if at < low || at > high {
			return 1, 0
		}
		return in, out
	}
	a, b := (low-at)*perM, (high-at)*perM
	return max(in, min(a, b)), min(out, max(a, b))
}
