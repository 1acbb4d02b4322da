package trace

import (
	"slices"

	"fathomlux/scene/space"
)

// axis cuts a length into cells. Edges rise from 0 to the length.
type axis struct {
	edges   []float64
	buckets []int32 // cell in which each of some even pieces of the length begins
	perM    float64 // pieces a metre
}

// Breaks nearer to each other than leastGapM are one; of more than mostBreaks those that are nearest to others go.
const (
	leastGapM  = 1e-3
	mostBreaks = 32
	bucketM    = 2e-3
)

// gradeOfEnds is where, in parts of a cell, the outermost cells of a graded axis are cut once more: light bends most in
// corners.
const gradeOfEnds = 0.3

// newAxis cuts a length into cells of about stepM, none of which lies on both sides of a break. A graded one has
// smaller cells at its ends and at breaks.
func newAxis(lengthM, stepM float64, breaks []float64, graded bool) axis {
	a := axis{edges: []float64{0}}
	for _, b := range append(thinned(breaks, lengthM), lengthM) {
		from := a.edges[len(a.edges)-1]
		n := pieces1(b-from, stepM)
		wide := (b - from) / float64(n)
		if graded && n > 2 {
			a.edges = append(a.edges, from+gradeOfEnds*wide)
		}
		for i := 1; i < n; i++ {
			a.edges = append(a.edges, from+float64(i)*wide)
		}
		if graded && n > 2 {
			a.edges = append(a.edges, b-gradeOfEnds*wide)
		}
		a.edges = append(a.edges, b)
	}
	n := pieces1(lengthM, bucketM)
	a.perM = float64(n) / lengthM
	cell := 0
	for i := range n {
		for at := float64(i) / a.perM; a.edges[cell+1] <= at; {
			cell++
		}
		a.buckets = append(a.buckets, int32(cell))
	}
	return a
}

// thinned returns the breaks within a length, rising, without those that are too near to others or to its ends.
func thinned(breaks []float64, lengthM float64) []float64 {
	sorted := slices.Sorted(slices.Values(breaks))
	for gap := leastGapM; ; gap *= 2 {
		var list []float64
		last := 0.0
		for _, b := range sorted {
			if b-last >= gap && lengthM-b >= gap {
				list, last = append(list, b), b
			}
		}
		if len(list) <= mostBreaks {
			return list
		}
	}
}

// cells returns the number of cells.
func (a *axis) cells() int { return len(a.edges) - 1 }

// at returns the cell that holds a place; places beyond the ends count to the outermost cells.
func (a *axis) at(v float64) int {
	i := int(a.buckets[min(max(int(v*a.perM), 0), len(a.buckets)-1)])
	for i < len(a.edges)-2 && a.edges[i+1] <= v {
		i++
	}
	return i
}

// middle and wide are the centre and the width of a cell.
func (a *axis) middle(i int) float64 { return 0.5 * (a.edges[i] + a.edges[i+1]) }
func (a *axis) wide(i int) float64   { return a.edges[i+1] - a.edges[i] }

// mesh is a rectangle in cells of two axes, x first.
type mesh struct{ x, y axis }

func (m *mesh) cells() int          { return m.x.cells() * m.y.cells() }
func (m *mesh) nodes() int          { return len(m.x.edges) * len(m.y.edges) }
func (m *mesh) at(x, y float64) int { return m.y.at(y)*m.x.cells() + m.x.at(x) }

// footShare is how wide the shadow of a box on a plane through it is, in parts of its height over the plane: rays under
// water lean by up to 49 deg, most by less.
const footShare = 0.8

// cutBox is a box that a level plane cuts, and how wide its shadow is on the plane.
type cutBox struct {
	space.Box
	footM float64
}

// cutBy returns the boxes that a level plane cuts, and as breaks along x and y their sides and the ends of their
// shadows.
func cutBy(boxes []space.Box, heightM float64) (cut []cutBox, x, y []float64) {
	for _, b := range boxes {
		if b.Min.Z <= heightM && heightM <= b.Max.Z {
			foot := footShare * (b.Max.Z - heightM)
			cut = append(cut, cutBox{b, foot})
			x = append(x, b.Min.X-foot, b.Min.X, b.Max.X, b.Max.X+foot)
			y = append(y, b.Min.Y-foot, b.Min.Y, b.Max.Y, b.Max.Y+foot)
		}
	}
	return cut, x, y
}

// awayM is how far a place of the plane is from the box.
func (b *cutBox) awayM(x, y float64) float64 {
	return max(b.Min.X-x, x-b.Max.X, b.Min.Y-y, y-b.Max.Y, 0)
}

// place is where a place lies on an axis: the node before it, and the share of the way to the next.
type place struct {
	node  int
	share float64
}

func (a *axis) place(v float64) place {
	i := a.at(v)
	return place{i, min(max((v-a.edges[i])/a.wide(i), 0), 1)}
}

// read reads between the nodes of a mesh. A cell never lies on both sides of an obstacle, so neither does what is read.
func (m *mesh) read(nodes []float64, x, y place) float64 {
	row := len(m.x.edges)
	at := nodes[y.node*row+x.node:]
	low, high := at[:2], at[row:row+2]
	return (1-y.share)*((1-x.share)*low[0]+x.share*low[1]) + y.share*((1-x.share)*high[0]+x.share*high[1])
}
