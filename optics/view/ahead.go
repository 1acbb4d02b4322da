package view

import (
	"math"

	"fathomlux/scene/space"
)

// seen is what a line of sight meets.
type seen int

const (
	nothing seen = iota
	surface
	coverPane
	table
	box
	bar
	hoodOutside
	hoodInside
	wall
	ground
	thing
	leafSide
)

const (
	liftM  = 1e-9 // off a face that a line of sight goes on from
	touchM = 1e-6 // how far faces may lie apart that touch
	farM   = 1e4  // farther than anything that is seen
)

// ahead keeps the nearest of what a line of sight may meet.
type ahead struct {
	s           float64
	what        seen
	edge        int  // of the wall
	on          spot // of the thing
	plant, leaf int
	n           space.Vector // normal of a ground that is not level
}

// spot is a face of a piece of one of the model's solids.
type spot struct{ solid, piece, face int }

func (a *ahead) try(s float64, what seen) {
	if s > liftM && s < a.s {
		a.s, a.what = s, what
	}
}

// tryThings tries what stands in the tank. A face of it that touches a pane, the ground or the surface is met behind
// that: not together with it, but at once on the way that goes on from there.
func (r *ray) tryThings(at space.Point, d space.Vector, next *ahead) {
	at = moved(at, d, -touchM)
	nearer := func(s float64) bool { return s > liftM && s < next.s }
	for i := range r.Solids {
		if s, piece, face := r.Solids[i].Find(at, d, min(next.s, farM)); nearer(s) {
			next.s, next.what, next.on = max(s-touchM, 0), thing, spot{i, piece, face}
		}
	}
	if r.boxes != nil {
		if s := r.boxes.First(at, d, min(next.s, farM)); nearer(s) {
			next.s, next.what = max(s-touchM, 0), box
		}
	}
}

func moved(at space.Point, d space.Vector, s float64) space.Point {
	return space.Point{X: at.X + s*d.X, Y: at.Y + s*d.Y, Z: at.Z + s*d.Z}
}

// inAir finds what a line of sight meets next in the air.
func (r *ray) inAir(at space.Point, d space.Vector) (next ahead) {
	next.s = math.MaxFloat64
	r.wallsAhead(at, d, &next)
	r.levelsAhead(at, d, &next)
	r.tryThings(at, d, &next)
	if r.bars != nil {
		s, _ := r.bars.First(at, d, min(next.s, farM))
		next.try(s, bar)
	}
	if r.hood != nil {
		hoodAhead(r.hood, at, d, &next)
	}
	return next
}

// mostCrossings is how often a line of sight may cross the outline over the rim.
const mostCrossings = 16

// wallsAhead tries the walls, from both sides, up to the rim.
func (r *ray) wallsAhead(at space.Point, d space.Vector, next *ahead) {
	within, way := r.fence.Holds(at, d), 0.0
	for range mostCrossings {
		on, edge := r.fence.Next(at, d, farM, !within)
		if edge < 0 {
			return
		}
		at, way = moved(at, d, on), way+on
		if at.Z >= 0 && at.Z <= r.rimM {
			if next.try(way, wall); next.s == way {
				next.edge = edge
			}
			return
		}
		within = !within
	}
}

// levelsAhead tries the water surface and the cover over the tank, and what the tank stands on.
func (r *ray) levelsAhead(at space.Point, d space.Vector, next *ahead) {
	over := func(heightM float64, what seen, inside bool) {
		s := (heightM - at.Z) / d.Z
		if s > liftM && s < next.s && r.fence.Holds(moved(at, d, s), d) == inside {
			next.try(s, what)
		}
	}
	over(r.DepthM, surface, true)
	if r.Cover != nil {
		over(r.DepthM+r.Cover.UndersideM, coverPane, true)
	}
	if d.Z < 0 {
		over(0, table, false)
	}
}

// hoodAhead tries the hood: its outside, and its inside through the open underside.
func hoodAhead(h *space.Box, at space.Point, d space.Vector, next *ahead) {
	in, out, below := 0.0, math.MaxFloat64, false
	for axis, c := range [3][4]float64{{at.X, d.X, h.Min.X, h.Max.X}, {at.Y, d.Y, h.Min.Y, h.Max.Y},
		{at.Z, d.Z, h.Min.Z, h.Max.Z}} {
		if c[1] == 0 {
			if c[0] < c[2] || c[0] > c[3] {
				return
			}
			continue
		}
		a, b := (c[2]-c[0])/c[1], (c[3]-c[0])/c[1]
		if from := min(a, b); from > in {
			in, below = from, axis == 2 && c[1] > 0
		}
		if to := max(a, b); to < out {
			if out = to; axis == 2 && c[1] < 0 && in <= liftM {
				out = math.MaxFloat64 // by the open underside
			}
		}
	}
	switch {
	case in >= out:
	case in > liftM && !below:
		next.try(in, hoodOutside)
	case out < math.MaxFloat64:
		next.try(out, hoodInside)
	}
}

// inWater finds what a line of sight meets next under water.
func (r *ray) inWater(at space.Point, d space.Vector) (next ahead) {
	next.s = math.MaxFloat64
	switch {
	case d.Z > 0:
		next.try((r.DepthM-at.Z)/d.Z, surface)
	case d.Z < 0 && r.Ground == nil:
		next.try(-at.Z/d.Z, ground)
	}
	if way, edge := r.fence.Next(at, d, min(next.s, farM), false); edge >= 0 && way > liftM {
		next.s, next.what, next.edge = way, wall, edge
	}
	next.n = space.Vector{Z: 1}
	if r.Ground != nil {
		if s, n := r.Ground.First(at, d, min(next.s, farM)); s < next.s {
			next.s, next.what, next.n = s, ground, n
		}
	}
	r.tryThings(at, d, &next)
	for i, p := range r.plants {
		if s, number := p.first(at, d, min(next.s, farM)); number >= 0 {
			next.s, next.what, next.plant, next.leaf = s, leafSide, i, number
		}
	}
	return next
}
