package view

import (
	"math"
	"math/rand/v2"

	"fathomlux/optics/model"
	"fathomlux/optics/trace"
	"fathomlux/scene/space"
)

// leafRadiusM is the radius of the round leaves that plants are drawn with; of very many they are larger, so that there
// are mostLeaves at most. Common practice, no published source: leaves of plants in tanks are 5 to 50 mm wide.
const leafRadiusM, mostLeaves = 0.008, 20000

// foliage is the leaves of one plant as discs at invented places: evenly spread, of all directions alike, and as much leaf
// area as the plant has, so that a line of sight meets as many in the mean as the law of leaves says.
type foliage struct {
	space.Box // about the leaves
	leaves    []leaf
	radiusM   float64
	n         [3]int  // cells of a grid along each axis
	cells     [][]int // leaves in each
	reflect   float64
	transmit  float64
}

type leaf struct {
	at space.Point
	n  space.Vector
}

// newFoliage makes the leaves of a plant, but for those that open tells lie in something.
func newFoliage(l *model.Leaves, open func(space.Point) bool) *foliage {
	size := [3]float64{l.Max.X - l.Min.X, l.Max.Y - l.Min.Y, l.Max.Z - l.Min.Z}
	area := l.DensityPerM * size[0] * size[1] * size[2]
	f := &foliage{radiusM: max(leafRadiusM, math.Sqrt(area/(math.Pi*mostLeaves))), reflect: l.Reflect, transmit: l.Transmit}
	r := f.radiusM
	f.Box = space.Box{Min: space.Point{X: l.Min.X - r, Y: l.Min.Y - r, Z: l.Min.Z - r},
		Max: space.Point{X: l.Max.X + r, Y: l.Max.Y + r, Z: l.Max.Z + r}}
	for i, s := range size {
		f.n[i] = max(1, int((s+2*r)/(2*r)))
	}
	f.cells = make([][]int, f.n[0]*f.n[1]*f.n[2])
	random := rand.New(rand.NewPCG(18, uint64(len(f.cells))))
	for range int(math.Round(area / (math.Pi * r * r))) {
		one := leaf{at: space.Point{X: l.Min.X + random.Float64()*size[0], Y: l.Min.Y + random.Float64()*size[1],
			Z: l.Min.Z + random.Float64()*size[2]}}
		z, turn := 2*random.Float64()-1, 2*math.Pi*random.Float64()
		sin, cos := math.Sincos(turn)
		one.n = space.Vector{X: math.Sqrt(1-z*z) * cos, Y: math.Sqrt(1-z*z) * sin, Z: z}
		if open(one.at) {
			f.add(one)
		}
	}
	return f
}

// add puts a leaf into all cells that it may reach into.
func (f *foliage) add(one leaf) {
	low, high := f.cell(one.at, -f.radiusM), f.cell(one.at, f.radiusM)
	for z := low[2]; z <= high[2]; z++ {
		for y := low[1]; y <= high[1]; y++ {
			for x := low[0]; x <= high[0]; x++ {
				at := (z*f.n[1]+y)*f.n[0] + x
				f.cells[at] = append(f.cells[at], len(f.leaves))
			}
		}
	}
	f.leaves = append(f.leaves, one)
}

// cell is that of a place moved by some way along each axis.
func (f *foliage) cell(at space.Point, by float64) (c [3]int) {
	for i, v := range [3][3]float64{{at.X, f.Min.X, f.Max.X}, {at.Y, f.Min.Y, f.Max.Y}, {at.Z, f.Min.Z, f.Max.Z}} {
		c[i] = min(max(int((v[0]+by-v[1])/(v[2]-v[1])*float64(f.n[i])), 0), f.n[i]-1)
	}
	return c
}

// first returns how far the first leaf is on a way of at most withinM, and its number; withinM and -1 where there is none.
func (f *foliage) first(at space.Point, d space.Vector, withinM float64) (way float64, number int) {
	way, number = withinM, -1
	box := model.Leaves{Box: f.Box}
	s, to := box.Span(at, d, withinM)
	// half a cell a step: a leaf reaches into all cells about it, so that none is passed by
	step := min((f.Max.X-f.Min.X)/float64(f.n[0]), (f.Max.Y-f.Min.Y)/float64(f.n[1]), (f.Max.Z-f.Min.Z)/float64(f.n[2])) / 2
	for last := -1; s < to; s += step {
		c := f.cell(moved(at, d, s), 0)
		cell := (c[2]*f.n[1]+c[1])*f.n[0] + c[0]
		if cell == last {
			continue
		}
		last = cell
		for _, i := range f.cells[cell] {
			if on := f.leaves[i].meet(at, d, f.radiusM); on > liftM && on < way {
				way, number = on, i
			}
		}
		if number >= 0 && way < s {
			break
		}
	}
	return way, number
}

// meet is how far a leaf is on a way, 0 where it is not met.
func (l *leaf) meet(at space.Point, d space.Vector, radiusM float64) float64 {
	off := space.Vector{X: l.at.X - at.X, Y: l.at.Y - at.Y, Z: l.at.Z - at.Z}
	s := off.Dot(l.n) / d.Dot(l.n)
	to := space.Vector{X: s*d.X - off.X, Y: s*d.Y - off.Y, Z: s*d.Z - off.Z}
	if !(to.Dot(to) <= radiusM*radiusM) {
		return 0
	}
	return s
}

// leafAt adds what a leaf sends back, and on from behind: both sides are matt.
func (r *ray) leafAt(at space.Point, d space.Vector, f *foliage, number int, p path) {
	n := f.leaves[number].n
	if n.Dot(d) > 0 {
		n = scaled(n, -1) // towards the eye
	}
	g := r.sight.glow
	if g == nil {
		return
	}
	c := g.about(at)
	for k := range r.hues {
		front, back := 0.0, 0.0
		for part := range g.flows[k] {
			flow := c.of(g.flows[k][part])
			a, b := bothSides(&flow, n)
			front, back = front+a, back+b
		}
		r.see(between(&r.hues[k].leaves, p.wayM), p.weight*(f.reflect*front+f.transmit*back)/math.Pi)
	}
}

// bothSides are the illuminances of a small face on the side of its normal and on the other. Their difference is that of the
// light's vector along the normal; their sum is half the scalar illuminance for light from all sides alike and all of it,
// times the cosine, for parallel light, and is taken between by the square of the mean cosine.
func bothSides(f *trace.Flow, n space.Vector) (front, back float64) {
	net := f.Net.Dot(n)
	if f.Lux <= 0 {
		return 0, 0
	}
	mean2 := min(f.Net.Dot(f.Net)/(f.Lux*f.Lux), 1)
	sum := f.Lux * (1 - mean2) / 2
	if mean2 > 0 {
		sum += math.Sqrt(mean2) * math.Abs(net)
	}
	return max(0, (sum-net)/2), max(0, (sum+net)/2)
}
