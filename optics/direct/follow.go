package direct

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// ray is one ray of a bundle on its way down, with the light that is left of it.
type ray struct {
	*bundle
	at     space.Point
	d      space.Vector // in the air; under water the ray has the same direction in plan
	lumens float64
	met    [2]int // walls met across x, and across y
	// after more than MaxOrder walls along an axis: no image has what goes on, nothing of it is booked or shaded
	beyond bool
}

// follow sends one ray of the given flux down to the floor and counts every part of it, in the order of its losses:
// walls over the cover, cover, walls under it, surface, water and its walls, floor.
func (b *bundle) follow(local space.Vector, lumens float64) {
	e := b.engine
	r := ray{bundle: b, at: b.source.Position, d: b.source.Frame.World(local), lumens: lumens}
	if r.d.Z > -1e-6 {
		b.balance.Spill += lumens
		return
	}
	tan := math.Hypot(r.d.X, r.d.Y) / -r.d.Z
	reflected, absorbed, surface, through := b.above.Losses(tan)
	if c := e.model.Cover; c != nil && !r.throughCover(c, reflected+absorbed) {
		return
	}
	if !r.fall(r.d, (e.model.DepthM-r.at.Z)/r.d.Z, e.dry) {
		return
	}
	r.at.Z = e.model.DepthM
	if e.tank.Outside(r.at) {
		r.lose(&b.balance.Spill, r.lumens)
		return
	}
	r.lose(&b.balance.Surface, r.lumens*(surface/(surface+through)))
	r.book(&b.balance.Entered, r.lumens)
	index := e.model.Water.Index()
	down := math.Sqrt(index*index - 1 + r.d.Z*r.d.Z)
	r.sink(space.Vector{X: r.d.X / index, Y: r.d.Y / index, Z: -down / index})
}

// book notes what becomes of some light.
func (r *ray) book(entry *float64, lumens float64) {
	if !r.beyond {
		*entry += lumens
	}
}

// lose counts a part of the ray's light, which goes no further.
func (r *ray) lose(entry *float64, lumens float64) {
	r.book(entry, lumens)
	r.lumens -= lumens
}

// throughCover takes the ray down to the cover and sideways through it; what the cover takes of the light is given as
// a share. It is false where nothing gets through. A ray that meets the cover beside the tank and will not be over
// its plan where the walls' upper end is, or the water, is spill.
func (r *ray) throughCover(c *model.Cover, share float64) bool {
	e := r.engine
	bottom := e.model.DepthM + c.UndersideM
	if !r.fall(r.d, (bottom+c.ThicknessM-r.at.Z)/r.d.Z, e.over) {
		return false
	}
	shift := c.ThicknessM / math.Sqrt(c.Index*c.Index-1+r.d.Z*r.d.Z)
	if e.tank.Outside(r.at) {
		end := max(e.rimM, e.model.DepthM)
		way := shift - (bottom-end)/r.d.Z
		if end > bottom || e.tank.Outside(space.Point{X: r.at.X + r.d.X*way, Y: r.at.Y + r.d.Y*way}) {
			r.lose(&r.balance.Spill, r.lumens)
			return false
		}
	}
	r.lose(&r.balance.Cover, r.lumens*share)
	r.at.Z = bottom
	return r.fall(space.Vector{X: r.d.X, Y: r.d.Y}, shift, nil)
}

// fall takes the ray on by a way along v, from wall to wall above the water; it is false where nothing of it gets to
// the end.
func (r *ray) fall(v space.Vector, way float64, things model.Obstacles) bool {
	e := r.engine
	for {
		s, side := e.tank.NextWall(r.at, v, way)
		if things != nil && !r.beyond && things.First(r.at, v, s) < s {
			r.lose(&r.balance.Obstacles, r.lumens)
			return false
		}
		r.at.X, r.at.Y, r.at.Z = r.at.X+s*v.X, r.at.Y+s*v.Y, r.at.Z+s*v.Z
		way -= s
		if side < 0 {
			return r.lumens > 0
		}
		enters, lost := e.tank.AtWall(r.at, r.d, side, e.rimM)
		switch {
		case lost:
			r.lose(&r.balance.Spill, r.lumens)
			return false
		case enters:
			e.planes[side].Turn(&r.at, &v)
		case !r.mirror(side, &v, e.sides[side].Air):
			return false
		}
	}
}

// mirror turns the ray and its way back at a wall that returns a share by the cosine in air; it is false where it
// returns nothing.
func (r *ray) mirror(side model.Side, v *space.Vector, kept func(cosAir float64) float64) bool {
	e := r.engine
	cos := e.planes[side].Turn(&r.at, &r.d)
	e.planes[side].Turn(&r.at, v)
	met := &r.met[side/2]
	if *met++; *met == MaxOrder+1 {
		r.book(&r.balance.Unfollowed, r.lumens)
		r.beyond = true
		return r.landed != nil
	}
	if *met > MaxOrder {
		return true // walls along this axis are taken to keep all from there on
	}
	share := kept(cos)
	lost, back := r.lumens*(1-share), r.lumens*max(0, 1-e.tank.Walls[side].Lost-share)*e.matt[side]
	r.book(&r.balance.Unfollowed, back)
	r.book(&r.balance.Walls, lost-back)
	r.lumens -= lost
	return r.lumens > 0
}

// sink flux balance absorption, walls, obstacles and the floor for a ray that goes on by v under water.
func (r *ray) sink(v space.Vector) {
	e := r.engine
	lamp := e.lamps[r.source.Spectrum]
	// shares of the light that the water has kept, and would have without scattering
	path, kept, unscattered := 0.0, 1.0, 1.0
	for way := -r.at.Z / v.Z; ; {
		s, side := e.tank.NextWall(r.at, v, way)
		box := false
		if e.wet != nil && !r.beyond {
			if first := e.wet.First(r.at, v, s); first < s {
				s, box = first, true
			}
		}
		r.at.X, r.at.Y, r.at.Z = r.at.X+s*v.X, r.at.Y+s*v.Y, r.at.Z+s*v.Z
		path, way = path+s, way-s
		left, unabsorbed := lamp.kept.Luminous(path), lamp.unabsorbed.Luminous(path)
		if r.photons {
			left, unabsorbed = lamp.kept.Photons(path), lamp.unabsorbed.Photons(path)
		}
		lost := r.lumens * (1 - share(left, kept))
		taken := min(lost, r.lumens*(1-share(unabsorbed, unscattered)))
		kept, unscattered = left, unabsorbed
		r.book(&r.balance.Water, taken)
		r.lose(&r.balance.Unfollowed, lost-taken)
		r.lumens -= taken
		switch {
		case box:
			r.lose(&r.balance.Obstacles, r.lumens)
			return
		case side < 0:
			r.land()
			return
		case !r.mirror(side, &v, e.sides[side].Water):
			return
		}
	}
}

// share is a part of a whole, 0 of nothing.
func share(part, whole float64) float64 {
	if whole == 0 {
		return 0
	}
	return part / whole
}

// land flux balance what reaches the floor, and notes where.
func (r *ray) land() {
	back := r.engine.tank.FloorReflectance
	r.book(&r.balance.Floor, r.lumens*(1-back))
	r.book(&r.balance.Unfollowed, r.lumens*back)
	if r.landed != nil {
		r.landed[min(r.met[0], MaxOrder+1)][min(r.met[1], MaxOrder+1)] += r.lumens
	}
}

// Trace returns the path of one ray from a point above the water down to the floor, bent at the cover and at the
// surface, and cut where it meets a wall. ok is false for a ray that does not go down.
func Trace(m *model.Model, from space.Point, direction space.Vector) (result.Ray, bool) {
	if direction.Z >= -1e-6 {
		return result.Ray{}, false
	}
	tank, err := m.Tank()
	if err != nil {
		tank = m.Around()
	}
	length := direction.Length()
	points, rimM := []space.Point{from}, m.DepthM+tank.RimM
	level := func(z, index float64) bool {
		v := space.Vector{X: direction.X / length / index, Y: direction.Y / length / index}
		v.Z = -math.Sqrt(1 - v.X*v.X - v.Y*v.Y)
		end, within := onTo(&tank, points[len(points)-1], v, z, rimM)
		if err != nil && z < m.DepthM {
			d := space.Vector{X: end.X - points[len(points)-1].X, Y: end.Y - points[len(points)-1].Y}
			way, _ := form.NewFence(m.Outline()).Next(points[len(points)-1], d, 1, false)
			from := points[len(points)-1]
			end = space.Point{X: from.X + way*d.X, Y: from.Y + way*d.Y, Z: from.Z + way*(end.Z-from.Z)}
		}
		points = append(points, end)
		return within
	}
	if c := m.Cover; c != nil && !(level(m.DepthM+c.UndersideM+c.ThicknessM, 1) && level(m.DepthM+c.UndersideM, c.Index)) {
		return result.Ray{Points: points}, true
	}
	if level(m.DepthM, 1) {
		level(0, m.Water.Index())
	}
	return result.Ray{Points: points}, true
}

// onTo goes straight along v down to a height, or to the wall below the rim on the way there; within is false then.
func onTo(t *model.Tank, at space.Point, v space.Vector, z, rimM float64) (end space.Point, within bool) {
	for way := (z - at.Z) / v.Z; ; {
		s, side := t.NextWall(at, v, way)
		to := space.Point{X: at.X + s*v.X, Y: at.Y + s*v.Y, Z: at.Z + s*v.Z}
		if side < 0 {
			return to, true
		}
		switch enters, _ := t.AtWall(to, v, side, rimM); {
		case enters:
			at, way = to, way-s
		case to.Z <= rimM:
			return to, false
		default: // over the rim and out
			return space.Point{X: at.X + way*v.X, Y: at.Y + way*v.Y, Z: z}, true
		}
	}
}
