package view

import (
	"math"

	"fathomlux/optics/water"
	"fathomlux/scene/colour"
	"fathomlux/scene/photometry"
)

// Ways in the water for which hues are kept.
const (
	hueStepM = 0.1
	hueSteps = 40
)

// hues are the colours of the light of one kind by the way in the water: of 1 lm that sets out, its Y what is left; and of
// what molecules, particles and leaves send, its Y also the scattering coefficient, 1/m, or what leaves leave of it.
type hues struct{ straight, molecules, particles, leaves [hueSteps]colour.Tristimulus }

// Leaves reflect and let through most about greenNm, more than about it by a bell of greenWideNm over greenBase. Common
// practice, no published source: leaves are green.
const greenNm, greenWideNm, greenBase = 553, 38, 0.25

func leafGreen(nm float64) float64 {
	return greenBase + math.Exp(-0.5*math.Pow((nm-greenNm)/greenWideNm, 2))
}

func newHues(s photometry.Spectrum, body water.Body) (h hues) {
	green := s.LuminousShare(leafGreen)
	for i := range hueSteps {
		left := func(nm float64) float64 {
			return math.Exp(-body.AttenuationPerM(nm, water.Unscattered) * hueStepM * float64(i))
		}
		of := func(factor func(nm float64) float64) colour.Tristimulus {
			both := func(nm float64) float64 { return factor(nm) * left(nm) }
			share := s.LuminousShare(both)
			if share <= 0 {
				return colour.Tristimulus{}
			}
			return colour.Of(s.Filtered(both)).Times(share)
		}
		h.straight[i] = of(func(float64) float64 { return 1 })
		h.molecules[i], h.particles[i] = of(body.MolecularScatterPerM), of(body.ParticleScatterPerM)
		h.leaves[i] = of(func(nm float64) float64 { return leafGreen(nm) / green })
	}
	return h
}

// after is the colour after a way in the water, Y the share of the lumens that is left.
func (h *hues) after(wayM float64) colour.Tristimulus { return between(&h.straight, wayM) }

func between(list *[hueSteps]colour.Tristimulus, wayM float64) colour.Tristimulus {
	at := min(wayM/hueStepM, hueSteps-1.001)
	i := int(at)
	a, b, k := &list[i], &list[i+1], at-float64(i)
	return colour.Tristimulus{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y), Z: a.Z + k*(b.Z-a.Z)}
}
