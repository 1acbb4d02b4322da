package model

import (
	"math"

	"fathomlux/scene/space"
)

// touchM is how far two faces may lie apart and still touch, in metres. Heights are sums and differences of what a
// scene says and so off by rounding, some 1e-16 m; nobody builds to a micrometre.
const touchM = 1e-6

// BoxesFrom returns the boxes as seen from planes at some depths below the surface, each piece in one layer alone: in
// the water, in the air up to the cover, or over that. A box whose top touches a plane lies under it, so that its top
// is lit; a plane through a box, or at its lower face, is dark there. What a box has within the height of the cover's
// pane stops light at both faces of the pane.
func (m *Model) BoxesFrom(depthsM ...float64) []space.Box {
	var all []space.Box
	t, err := m.Tank()
	if err != nil {
		t = m.Around()
	}
	for _, b := range m.Boxes {
		b.Max.Z = m.under(b.Max.Z, depthsM)
		for _, part := range m.withinWalls(b, &t) {
			for _, piece := range m.pieces(part) {
				if !piece.Empty() {
					all = append(all, piece)
				}
			}
		}
	}
	return all
}

// under returns a box's top, lowered where it touches a plane.
func (m *Model) under(top float64, depthsM []float64) float64 {
	lowered := top
	for _, d := range depthsM {
		if plane := m.DepthM - d; math.Abs(top-plane) <= touchM {
			lowered = min(lowered, plane-touchM)
		}
	}
	return lowered
}

// withinWalls cuts a box that stands out of the plan at the walls below the rim: what is beyond a wall there meets no
// light of the tank, and in an unfolded plan it would stand in the mirrored tank beside.
func (m *Model) withinWalls(b space.Box, t *Tank) []space.Box {
	inner := t.Clip(b)
	if inner == b {
		return []space.Box{b}
	}
	rim := m.DepthM + t.RimM
	return []space.Box{inner.ClipZ(math.Inf(-1), rim), b.ClipZ(rim, math.Inf(1))}
}

// pieces cuts a box at the water surface and at both faces of the cover.
func (m *Model) pieces(b space.Box) []space.Box {
	wet := b.ClipZ(0, m.DepthM)
	if m.Cover == nil {
		return []space.Box{wet, b.ClipZ(m.DepthM, math.Inf(1))}
	}
	bottom := m.DepthM + m.Cover.UndersideM
	top := bottom + m.Cover.ThicknessM
	below, over := b, b
	if b.Max.Z > bottom+touchM && b.Min.Z < top-touchM { // engines jump from face to face and look for no box between them
		below.Min.Z, over.Max.Z = min(b.Min.Z, bottom-touchM), max(b.Max.Z, top+touchM)
	}
	return []space.Box{wet, below.ClipZ(m.DepthM, bottom), over.ClipZ(top, math.Inf(1))}
}

// WallsEndM returns the height above the water up to which walls hold light. That is the rim, but for one within the
// height of the cover's pane, or touching its underside: such a pane lies on the rim, and what leaves it by its edge
// is held by no wall.
func (t *Tank) WallsEndM(c *Cover) float64 {
	switch {
	case c == nil || t.RimM < c.UndersideM-touchM:
		return t.RimM
	case t.RimM < c.UndersideM+c.ThicknessM-touchM:
		return c.UndersideM
	}
	return max(t.RimM, c.UndersideM+c.ThicknessM)
}

// Clip returns the part of a box over the tank's plan.
func (t *Tank) Clip(b space.Box) space.Box {
	b.Min.X, b.Max.X = max(b.Min.X, 0), min(b.Max.X, t.LengthM)
	b.Min.Y, b.Max.Y = max(b.Min.Y, 0), min(b.Max.Y, t.WidthM)
	return b
}

// Layers returns the boxes as seen from planes at some depths, see BoxesFrom, as the obstacles of each layer: in the
// water, between water and cover or over open water, and over the cover.
func (m *Model) Layers(depthsM ...float64) (wet, under, over Obstacles) {
	var lists [3][]space.Box
	for _, b := range m.BoxesFrom(depthsM...) {
		i := 1
		switch {
		case b.Max.Z <= m.DepthM:
			i = 0
		case m.Cover != nil && b.Min.Z >= m.DepthM+m.Cover.UndersideM+m.Cover.ThicknessM:
			i = 2
		}
		lists[i] = append(lists[i], b)
	}
	return NewObstacles(lists[0]), NewObstacles(lists[1]), NewObstacles(lists[2])
}
