package beam

import (
	"math"
	"slices"

	"fathomlux/scene/space"
)

// ShareWithin returns the share of the light that leaves within halfAngleRad of the aim, 0 to 1. From 90 degrees on
// it is the share of the hemisphere: 1 for shapes, less for a measured table that has light behind the module.
func (b *Beam) ShareWithin(halfAngleRad float64) float64 {
	if !(halfAngleRad > 0) {
		return 0
	}
	halfAngleRad = math.Min(halfAngleRad, math.Pi/2)
	stray := b.stray * math.Pi * square(math.Sin(halfAngleRad))
	if b.smooth && halfAngleRad == math.Pi/2 {
		return 1
	}
	return b.scale*b.within(halfAngleRad) + stray
}

// Edges are angles between the aim and directions in the module's frame, radians: towards both ends of the rail and to
// both sides of it.
type Edges struct{ RightRad, LeftRad, BackRad, FrontRad float64 }

// Edges returns the angles from the aim to the outermost directions in which the intensity is share of the centre-beam
// intensity, stray light counted. A beam that is brighter up to its rim has pi/2; one whose middle is dark has no such
// angle, and 0.
func (b *Beam) Edges(share float64) Edges {
	return Edges{
		RightRad: b.fallsTo(share, space.Vector{X: 1}), LeftRad: b.fallsTo(share, space.Vector{X: -1}),
		BackRad: b.fallsTo(share, space.Vector{Y: 1}), FrontRad: b.fallsTo(share, space.Vector{Y: -1}),
	}
}

// FullAngles returns the full angles between the directions, along and across the rail, in which the intensity has
// fallen to share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles as a
// goniometer would find them, stray light counted. A beam that is brighter up to its rim has pi.
// Source of the definitions: IEC TR 61341 (half and tenth of the centre-beam intensity).
func (b *Beam) FullAngles(share float64) (alongRad, acrossRad float64) {
	e := b.Edges(share)
	return e.RightRad + e.LeftRad, e.BackRad + e.FrontRad
}

// fallsTo finds the angle of the outermost direction, leaning sideways from the aim, that is at least as bright as
// share of the centre: of the angles between which the intensity has no other turn the last bright one, then
// bisection.
func (b *Beam) fallsTo(share float64, sideways space.Vector) float64 {
	limit := share * b.centre
	if !(limit > 0) {
		return 0
	}
	bright := func(theta float64) bool {
		s, c := math.Sincos(theta)
		return b.PerLumen(space.Vector{X: s * sideways.X, Y: s * sideways.Y, Z: c}) >= limit
	}
	inside, outside := 0.0, math.Pi/2
	if bright(outside) {
		return outside
	}
	for _, theta := range slices.Backward(b.turns) {
		if theta >= outside {
			continue
		}
		if inside = theta; bright(theta) {
			break
		}
		outside = theta
	}
	for range 60 {
		middle := (inside + outside) / 2
		if bright(middle) {
			inside = middle
		} else {
			outside = middle
		}
	}
	return inside
}
