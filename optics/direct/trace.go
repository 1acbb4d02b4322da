package direct

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/scene/space"
)

// Trace returns the path of one ray from a point above the water down to the floor, bent at the cover and at the surface,
// and cut where it meets a wall. ok is false for a ray that does not go down.
func Trace(st *model.Model, from space.Point, direction space.Vector) (result.Ray, bool) {
	if direction.Z >= -1e-6 {
		return result.Ray{}, false
	}
	level := math.Hypot(direction.X, direction.Y)
	tan := level / -direction.Z
	var dx, dy float64
	if level > 0 {
		dx, dy = direction.X/level, direction.Y/level
	}
	height := from.Z - st.DepthM
	pane := stack.Pane{}
	points := []space.Point{from}
	reach := func(z float64, c stack.Column) {
		rho, _ := c.Land(tan)
		points = append(points, space.Point{X: from.X + dx*rho, Y: from.Y + dy*rho, Z: z})
	}
	if c := st.Cover; c != nil {
		pane = stack.Pane{ThicknessM: c.ThicknessM, Index: c.Index}
		over := height - c.UndersideM - c.ThicknessM
		reach(st.DepthM+c.UndersideM+c.ThicknessM, stack.Column{AirM: over})
		reach(st.DepthM+c.UndersideM, stack.Column{AirM: over, Pane: pane})
	}
	dry := stack.Column{AirM: height - pane.ThicknessM, Pane: pane, WaterIndex: st.Water.Index()}
	reach(st.DepthM, dry)
	dry.WaterM = st.DepthM
	reach(0, dry)
	return result.Ray{Points: cutAtWalls(st, points)}, true
}

// cutAtWalls ends a path at the first wall that it meets below the rim.
func cutAtWalls(st *model.Model, points []space.Point) []space.Point {
	rim := st.DepthM + st.RimM
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		_, x, okX := slab(-a.X, st.LengthM-a.X, b.X-a.X)
		_, y, okY := slab(-a.Y, st.WidthM-a.Y, b.Y-a.Y)
		way := math.Min(x, y)
		if !okX || !okY || way >= 1 {
			continue
		}
		end := space.Point{X: a.X + way*(b.X-a.X), Y: a.Y + way*(b.Y-a.Y), Z: a.Z + way*(b.Z-a.Z)}
		if end.Z <= rim {
			return append(points[:i:i], end)
		}
	}
	return points
}
