package model

import (
	"math"

	"fathomlux/scene/space"
)

// TouchM is how far two faces may lie apart and still touch, in metres. Heights are sums and differences of what a scene says and so
// off by rounding, some 1e-16 m; nobody builds to a micrometre.
const TouchM = 1e-6

// BoxesFrom returns the boxes as seen from planes at some depths below the surface, each piece in one layer alone: in the
// water, in the air up to the cover, or over that. A box whose top touches a plane lies under it, so that its top is lit; a
// plane through a box, or at its lower face, is dark there. What a box has within the height of the cover's pane stops light at
// both faces of the pane.
func (s *Model) BoxesFrom(depthsM ...float64) []space.Box {
	var all []space.Box
	for _, b := range s.Boxes {
		b.Max.Z = s.under(b.Max.Z, depthsM)
		for _, part := range s.withinWalls(b) {
			for _, piece := range s.pieces(part) {
				if !piece.Empty() {
					all = append(all, piece)
				}
			}
		}
	}
	return all
}

// under returns a box's top, lowered where it touches a plane.
func (s *Model) under(top float64, depthsM []float64) float64 {
	lowered := top
	for _, d := range depthsM {
		if plane := s.DepthM - d; math.Abs(top-plane) <= TouchM {
			lowered = min(lowered, plane-TouchM)
		}
	}
	return lowered
}

// withinWalls cuts a box that stands out of the plan at the walls below the rim: what is beyond a wall there meets no light of the
// tank, and in an unfolded plan it would stand in the mirrored tank beside.
func (s *Model) withinWalls(b space.Box) []space.Box {
	inner := b
	inner.Min.X, inner.Max.X = max(b.Min.X, 0), min(b.Max.X, s.LengthM)
	inner.Min.Y, inner.Max.Y = max(b.Min.Y, 0), min(b.Max.Y, s.WidthM)
	if inner == b {
		return []space.Box{b}
	}
	rim := s.DepthM + s.RimM
	return []space.Box{inner.ClipZ(math.Inf(-1), rim), b.ClipZ(rim, math.Inf(1))}
}

// pieces cuts a box at the water surface and at both faces of the cover.
func (s *Model) pieces(b space.Box) []space.Box {
	wet := b.ClipZ(0, s.DepthM)
	if s.Cover == nil {
		return []space.Box{wet, b.ClipZ(s.DepthM, math.Inf(1))}
	}
	bottom := s.DepthM + s.Cover.UndersideM
	top := bottom + s.Cover.ThicknessM
	below, over := b, b
	if b.Max.Z > bottom+TouchM && b.Min.Z < top-TouchM { // engines jump from face to face and look for no box between them
		below.Min.Z, over.Max.Z = min(b.Min.Z, bottom-TouchM), max(b.Max.Z, top+TouchM)
	}
	return []space.Box{wet, below.ClipZ(s.DepthM, bottom), over.ClipZ(top, math.Inf(1))}
}

// WallsEndM returns the height above the water up to which walls hold light. That is the rim, but for one within the height of
// the cover's pane, or touching its underside: such a pane lies on the rim, and what leaves it by its edge is held by no wall.
func (s *Model) WallsEndM() float64 {
	c := s.Cover
	switch {
	case c == nil || s.RimM < c.UndersideM-TouchM:
		return s.RimM
	case s.RimM < c.UndersideM+c.ThicknessM-TouchM:
		return c.UndersideM
	}
	return max(s.RimM, c.UndersideM+c.ThicknessM)
}
