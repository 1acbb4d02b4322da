package view

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/stack"
	"fathomlux/scene/space"
)

// What a line of sight meets beside the tank's walls and its ground.
const (
	nothing = model.Ground + 1 + iota
	surface
	pane
	table
	box
	bar
)

// shares of the room's light that is sent back by what is seen dimly: a bar of aluminium, what the tank stands on, and
// the outside of a painted or covered wall.
const (
	barShare, tableShare, outsideShare = 0.5, 0.25, 0.08
	liftM                              = 1e-9 // off a face that a line of sight goes on from
)

// ahead keeps the nearest of what a line of sight may meet.
type ahead struct {
	s    float64
	what seen
}

func (a *ahead) try(s float64, what seen) {
	if s > liftM && s < a.s {
		a.s, a.what = s, what
	}
}

// farM is farther than anything that is seen.
const farM = 1e4

func (a *ahead) tryBoxes(boxes model.Obstacles, at space.Point, d space.Vector, what seen) {
	if boxes != nil {
		a.try(boxes.First(at, d, min(a.s, farM)), what)
	}
}

func moved(at space.Point, d space.Vector, s float64) space.Point {
	return space.Point{X: at.X + s*d.X, Y: at.Y + s*d.Y, Z: at.Z + s*d.Z}
}

// air follows a line of sight through air, outside the tank or over its water.
func (r *ray) air(at space.Point, d space.Vector, p path) {
	if p.over() {
		return
	}
	next := ahead{math.MaxFloat64, nothing}
	r.wallsAhead(at, d, &next)
	r.levelsAhead(at, d, &next)
	next.tryBoxes(r.bars, at, d, bar)
	next.tryBoxes(r.boxes, at, d, box)
	for i := range r.dies {
		if s, cd := r.dies[i].meet(at, d); s > 0 && s < next.s {
			r.see(r.dies[i].hue, p.weight*cd)
			return
		}
	}
	to := moved(at, d, next.s)
	switch next.what {
	case nothing:
		r.room(p, 1)
	case bar:
		r.room(p, barShare)
	case table:
		r.room(p, tableShare)
	case box:
		r.room(p, outsideShare)
	case surface:
		r.into(to, d, p)
	case pane:
		r.through(to, d, p)
	default:
		r.wallInAir(to, d, next.what, p)
	}
}

// wallsAhead tries the walls, from both sides, up to the rim.
func (r *ray) wallsAhead(at space.Point, d space.Vector, next *ahead) {
	for side := model.Left; side < model.Ground; side++ {
		s, to := 0.0, space.Point{}
		switch side {
		case model.Left:
			s = -at.X / d.X
		case model.Right:
			s = (r.LengthM - at.X) / d.X
		case model.Front:
			s = -at.Y / d.Y
		case model.Back:
			s = (r.WidthM - at.Y) / d.Y
		}
		if math.IsNaN(s) || math.IsInf(s, 0) || s <= liftM {
			continue
		}
		to = moved(at, d, s)
		const slack = 1e-7
		if to.Z >= 0 && to.Z <= r.rimM && to.X >= -slack && to.X <= r.LengthM+slack && to.Y >= -slack && to.Y <= r.WidthM+slack {
			next.try(s, side)
		}
	}
}

// levelsAhead tries the water surface and the cover over the tank, and what the tank stands on.
func (r *ray) levelsAhead(at space.Point, d space.Vector, next *ahead) {
	over := func(heightM float64, what seen) {
		s := (heightM - at.Z) / d.Z
		if to := moved(at, d, s); s > liftM && !r.Outside(to) {
			next.try(s, what)
		}
	}
	over(r.depthM, surface)
	if r.cover != nil {
		over(r.depthM+r.cover.UndersideM, pane)
	}
	if s := -at.Z / d.Z; s > liftM && r.Outside(moved(at, d, s)) {
		next.try(s, table)
	}
}

// through goes on through the cover, and adds the room that it mirrors.
func (r *ray) through(at space.Point, d space.Vector, p path) {
	ts, tp, rs, rp := r.pane.Polarised(math.Abs(d.Z))
	r.room(p, (rs+rp)/2)
	r.air(at, d, p.times((ts+tp)/2))
}

// into goes on from the air into the water at the surface.
func (r *ray) into(at space.Point, d space.Vector, p path) {
	rs, rp := stack.Fresnel(1, r.index, math.Abs(d.Z))
	back := (rs + rp) / 2
	r.room(p, back)
	in := bent(d, space.Vector{Z: math.Copysign(1, d.Z)}, 1/r.index)
	r.water(at, in, p.times((1-back)/(r.index*r.index)))
}

// bent is a direction after refraction at a face whose normal n goes the way of the ray: the part along the face is
// ratio times what it was.
func bent(d, n space.Vector, ratio float64) space.Vector {
	cos := d.Dot(n)
	along := space.Vector{X: ratio * (d.X - cos*n.X), Y: ratio * (d.Y - cos*n.Y), Z: ratio * (d.Z - cos*n.Z)}
	k := math.Sqrt(max(0, 1-along.Dot(along)))
	return space.Vector{X: along.X + k*n.X, Y: along.Y + k*n.Y, Z: along.Z + k*n.Z}
}

// outward are the normals of the walls to the outside.
var outward = [model.Ground]space.Vector{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}}

// wallInAir goes on where a line of sight meets a wall from the air: into the water behind it, or into more air.
func (r *ray) wallInAir(at space.Point, d space.Vector, side seen, p path) {
	wall, n := &r.Walls[side], outward[side]
	cos := math.Abs(d.Dot(n))
	outside := d.Dot(n) < 0
	switch {
	case r.matt[side] != nil || wall.Reflectance > 0:
		r.room(p, outsideShare)
	case outside && at.Z < r.depthM:
		back := wall.InWater(math.Sqrt(cos*cos+r.index*r.index-1), r.index) // the same from both sides
		r.room(p, back)
		r.water(at, bent(d, scaled(n, -1), 1/r.index), p.times((1-back)/(r.index*r.index)))
	default:
		back := wall.InAir(cos)
		r.room(p, back)
		r.air(at, d, p.times(1-back))
	}
}

// meet is how far a die is, 0 where it is not met, and its luminance from there.
func (l *die) meet(at space.Point, d space.Vector) (s, cd float64) {
	n := l.source.Frame.Aim
	cos := -d.Dot(n)
	if cos <= 1e-3 {
		return 0, 0
	}
	c := l.source.Position
	s = -((c.X-at.X)*n.X + (c.Y-at.Y)*n.Y + (c.Z-at.Z)*n.Z) / cos
	to := moved(at, d, s)
	if s <= liftM || math.Hypot(math.Hypot(to.X-c.X, to.Y-c.Y), to.Z-c.Z) > l.radiusM {
		return 0, 0
	}
	return s, l.cd(scaled(d, -1)) / (math.Pi * l.radiusM * l.radiusM * cos)
}

// water follows a line of sight under water.
func (r *ray) water(at space.Point, d space.Vector, p path) {
	if p.over() {
		return
	}
	r.wet = true
	next := ahead{math.MaxFloat64, nothing}
	for _, c := range [...]struct {
		s    float64
		what seen
	}{{-at.X / d.X, model.Left}, {(r.LengthM - at.X) / d.X, model.Right}, {-at.Y / d.Y, model.Front},
		{(r.WidthM - at.Y) / d.Y, model.Back}, {-at.Z / d.Z, model.Ground}, {(r.depthM - at.Z) / d.Z, surface}} {
		if !math.IsNaN(c.s) && !math.IsInf(c.s, 0) {
			next.try(c.s, c.what)
		}
	}
	next.tryBoxes(r.boxes, at, d, box)
	if next.what == nothing { // on an edge
		return
	}
	to := moved(at, d, next.s)
	p.wayM += next.s
	switch next.what {
	case box: // opaque boxes are black
	case surface:
		r.outAtSurface(to, d, p)
	case model.Ground:
		r.matted(p, func(k int) float64 {
			return r.FloorReflectance * lux(&r.faces.Floor[k], to.X, to.Y) / math.Pi
		})
	default:
		r.wallInWater(to, d, next.what, p)
	}
}

// matted adds what a matt face sends along the line of sight: its luminance by kind.
func (r *ray) matted(p path, cd func(kind int) float64) {
	for k := range r.hues {
		r.see(r.hue(k, p.wayM), p.weight*cd(k))
	}
}

// outAtSurface is the underside of the surface: a mirror beyond the critical angle, a window within it.
func (r *ray) outAtSurface(at space.Point, d space.Vector, p path) {
	rs, rp := stack.Fresnel(r.index, 1, d.Z)
	back := (rs + rp) / 2
	if back < 1 {
		out := p.times((1 - back) * r.index * r.index)
		out.weight *= r.left(p.wayM)
		r.air(at, bent(d, space.Vector{Z: 1}, r.index), out)
	}
	d.Z = -d.Z
	r.water(at, d, p.times(back))
}

// left is the share of light that a way in the water leaves, for what is seen through it.
func (r *ray) left(wayM float64) float64 {
	if len(r.hues) == 0 {
		return 1
	}
	return r.hue(0, wayM).Y
}

// wallInWater is a wall from within the water.
func (r *ray) wallInWater(at space.Point, d space.Vector, side seen, p path) {
	wall, n := &r.Walls[side], outward[side]
	cos := math.Abs(d.Dot(n))
	out2 := 1 - r.index*r.index*(1-cos*cos) // cosine in the air behind, squared
	back := wall.InWater(cos*r.index, r.index)
	if back > 0 {
		mirrored := d
		if n.X != 0 {
			mirrored.X = -d.X
		} else {
			mirrored.Y = -d.Y
		}
		r.water(at, mirrored, p.times(back))
	}
	along := at.X
	if side < model.Front {
		along = at.Y
	}
	switch m := r.matt[side]; {
	case m != nil:
		spread := r.spread(side, out2)
		r.matted(p, func(k int) float64 {
			return m.Share * lux(&r.faces.Walls[side][k], along, at.Z) / math.Pi * spread
		})
	case out2 > 0 && wall.Reflectance == 0: // the room behind clear glass
		share := (1 - back) * r.index * r.index * r.left(p.wayM)
		r.room(p, share)
	}
}

// spread is how much brighter than an even one a matt face is in a direction: film lights the critical cone alone.
func (r *ray) spread(side seen, out2 float64) float64 {
	if r.matt[side].Even() {
		return 1
	}
	if out2 <= 0 {
		return 0
	}
	return r.index * r.index
}
