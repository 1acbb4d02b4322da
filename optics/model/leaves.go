package model

import (
	"math"

	"fathomlux/scene/space"
)

// Leaves are a box under water with leaves that are small, evenly spread and of all directions alike, so that a way of
// s metres in it meets none with the probability exp(-G DensityPerM s), G = 0.5. DensityPerM is one side of all leaves
// over the volume, 1/m; Reflect and Transmit are what a leaf sends back and lets through, both diffuse, 0 to 1. Source:
// M. Monsi, T. Saeki 1953, Japanese Journal of Botany 14, 22-52 (from memory).
type Leaves struct {
	space.Box
	DensityPerM, Reflect, Transmit float64
}

// Span returns from where to where a way of at most withinM in a direction of unit length lies in the box, m; where it
// does not, from is not below to.
func (l *Leaves) Span(at space.Point, d space.Vector, withinM float64) (from, to float64) {
	to = withinM
	for _, side := range [3][4]float64{{at.X, d.X, l.Min.X, l.Max.X}, {at.Y, d.Y, l.Min.Y, l.Max.Y},
		{at.Z, d.Z, l.Min.Z, l.Max.Z}} {
		if side[1] == 0 {
			if side[0] < side[2] || side[0] > side[3] {
				return 0, 0
			}
			continue
		}
		a, b := (side[2]-side[0])/side[1], (side[3]-side[0])/side[1]
		from, to = max(from, min(a, b)), min(to, max(a, b))
	}
	return from, to
}

// PerM is how many leaves a way in the box meets on the average, 1/m.
func (l *Leaves) PerM() float64 { return spherical * l.DensityPerM }

// spherical is the mean of the projection of a leaf, over its area, where all directions are alike.
const spherical = 0.5

// Floating are leaves on the surface that hide a share of an area, 0 to 1, evenly.
type Floating struct {
	Share float64
	Area  space.Area
}

// Hides returns the share of the light through a place of the surface that the leaves there stop.
func (f *Floating) Hides(x, y float64) float64 {
	if a := &f.Area; f.Share > 0 && x >= a.FromXM && x <= a.ToXM && y >= a.FromYM && y <= a.ToYM {
		return f.Share
	}
	return 0
}

// LeavesPass returns what leaves under water let pass of light that goes straight on for a way of withinM, in a
// direction of unit length.
func (m *Model) LeavesPass(at space.Point, d space.Vector, withinM float64) float64 {
	met := 0.0
	for i := range m.Leaves {
		if from, to := m.Leaves[i].Span(at, d, withinM); from < to {
			met += m.Leaves[i].PerM() * (to - from)
		}
	}
	return math.Exp(-met)
}
