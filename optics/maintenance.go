package optics

import (
	"math"

	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/photometry"
)

// yellowNm is the wavelength for which a scene gives yellowing, yellowSlopePerNm how fast it falls with wavelength in
// water whose kind does not say: a middle value of natural waters, from memory (IOCCG 2018: 0.010 to 0.022 1/nm).
const (
	yellowNm         = 440
	yellowSlopePerNm = 0.017
)

// Maintained returns the light-loss factor, above 0 up to 1, of what a scene says of lamps, lid and water before
// anything is renewed, by the light that its goal counts. What yellow water takes is that of a vertical way down to the
// deepest plane of the goal, behind the water as it is when fresh, so that no part of the goal is judged too well.
func Maintained(sc *scene.Scene) float64 {
	m := sc.Maintenance
	if m == (scene.Maintenance{}) { // made by hand, not read
		return 1
	}
	if m.YellowingPerM == 0 {
		return m.Lamp * m.Lid
	}
	depthM := 0.0
	for _, part := range sc.Goal.Parts() {
		depthM = max(depthM, part.Plane.DepthM)
	}
	if !sc.Goal.Set() {
		depthM = sc.Tank.Water.DepthM
	}
	slope := sc.Tank.Water.Kind.CDOMSlopePerNm
	if slope == 0 {
		slope = yellowSlopePerNm
	}
	own := body(sc.Tank.Water)
	fresh := func(nm float64) float64 { return math.Exp(-own.AttenuationPerM(nm, water.Absorbed) * depthM) }
	yellow := func(nm float64) float64 {
		return math.Exp(-m.YellowingPerM * math.Exp(-slope*(nm-yellowNm)) * depthM)
	}
	left, all := 0.0, 0.0
	for _, rm := range Modules(sc) {
		s, err := photometry.NewSpectrum(sc.Catalogue.Spectra[rm.Module.Part.Spectrum].Power)
		if err != nil { // the same parts make sources
			continue
		}
		lm := rm.Module.FluxLm()
		s = s.Filtered(fresh)
		all += lm
		left += lm * result.Of(Shown(sc.Goal), s.LuminousShare(yellow), s.PhotonShare(yellow))
	}
	if all == 0 {
		return m.Lamp * m.Lid
	}
	return m.Lamp * m.Lid * left / all
}
