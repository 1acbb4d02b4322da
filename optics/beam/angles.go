package beam

import (
	"math"

	"fathomlux/scene/space"
)

// ShareWithin returns the share of the light that leaves within halfAngleRad of the aim, 0 to 1.
func (b *Beam) ShareWithin(halfAngleRad float64) float64 {
	if !(halfAngleRad > 0) {
		return 0
	}
	if halfAngleRad >= math.Pi/2 {
		return 1
	}
	return b.peak*b.main.fluxWithin(halfAngleRad) + b.stray*math.Pi*square(math.Sin(halfAngleRad))
}

// FullAngles returns the full angles between the directions, along and across the rail, in which the intensity has
// fallen to share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles as a
// goniometer would find them, stray light counted. A beam that is brighter up to its rim has pi.
// Source of the definitions: IEC TR 61341 (half and tenth of the centre-beam intensity).
func (b *Beam) FullAngles(share float64) (alongRad, acrossRad float64) {
	along := func(theta float64) space.Vector { return space.Vector{X: math.Sin(theta), Z: math.Cos(theta)} }
	across := func(theta float64) space.Vector { return space.Vector{Y: math.Sin(theta), Z: math.Cos(theta)} }
	return 2 * b.fallsTo(share, along), 2 * b.fallsTo(share, across)
}

// fallsTo finds by bisection the angle of the last direction that is at least as bright as share of the centre.
func (b *Beam) fallsTo(share float64, towards func(theta float64) space.Vector) float64 {
	limit := share * b.PeakPerLumen()
	inside, outside := 0.0, math.Pi/2
	for range 60 {
		middle := (inside + outside) / 2
		if b.PerLumen(towards(middle)) >= limit {
			inside = middle
		} else {
			outside = middle
		}
	}
	return inside
}

// CutoffCos returns the cosine of an angle to the aim beyond which the intensity is below 1e-8 of the peak in all
// directions; 0 where the light reaches the rim of the hemisphere, as any stray light does.
func (b *Beam) CutoffCos() float64 {
	flat := math.Min(b.main.alongP, b.main.acrossP)
	theta := b.main.tiltAt(negligibleZ, flat) / math.Min(b.main.kx, b.main.ky)
	if b.stray > 0 || theta >= math.Pi/2 {
		return 0
	}
	return math.Cos(theta)
}
