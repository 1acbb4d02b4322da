package direct

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

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
