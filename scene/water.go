package scene

import (
	"math"

	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
)

// The ranges of the flux factor and of extra absorption, 1/m; see package key.
var (
	LowestFluxFactor, HighestFluxFactor = key.Scene.Ends("flux_factor")
	_, HighestExtraPerM                 = key.Water.Ends("extra_absorption")
)

// SetFluxFactor gives all modules a flux factor.
func (s *Scene) SetFluxFactor(factor float64) {
	s.FluxFactor = factor
	for i := range s.Rails {
		for k := range s.Rails[i].Modules {
			s.Rails[i].Modules[k].FluxFactor = factor
		}
	}
}

// SlackPerM is how far below the lowest value an extra absorption may be by rounding.
const SlackPerM = 1e-6

func (r *reader) water(f key.Fields) {
	t := &r.scene.Tank
	w := &t.Water
	w.Kind, _ = named(r, f, "kind", r.scene.Catalogue.Waters, r.scene.Catalogue.Waters["clear"])
	w.Kind.Read(f)
	w.TemperatureC = 25
	f.Fill(w)
	switch free := t.RimAboveWaterM(); {
	case w.DepthM == 0 || t.HeightM == 0: // complained about
	case free < 0:
		f.Get("depth").Faultf("%s of water would stand above the rim; the tank is %s high", say(w.DepthM), say(t.HeightM))
	case free < 0.02*t.HeightM:
		f.Get("depth").Warn(finding.WaterNearRim.Of(finding.Length(free)))
	}
	if w.HalfDepthM > clearestHalfDepthM {
		f.Get("half_depth").Warn(finding.WaterTooClear.Of(finding.Amount{Of: unit.Cable, Value: w.HalfDepthM},
			finding.Amount{Of: unit.Cable, Value: clearestHalfDepthM}))
	}
	if low := w.LowestExtraPerM(); w.ExtraAbsorbPerM < low-SlackPerM {
		f.Get("extra_absorption").Faultf("%s is out of range; with less than %s the water would be clearer than pure water",
			unit.Attenuation.Say(w.ExtraAbsorbPerM), unit.Attenuation.Say(low))
		w.ExtraAbsorbPerM = 0
	}
}

const (
	// clearestHalfDepthM is about the depth at which pure water has halved white light: ln 2 over an attenuation of 0.07
	// 1/m.
	clearestHalfDepthM = 10
	// pureGreenPerM is what pure water absorbs at 550 nm, 1/m. Source: Pope & Fry 1997, Applied Optics 36, 8710-8723.
	pureGreenPerM = 0.0565
	greenNm       = 550.0
	reddestNm     = 780.0 // of the light that anything here counts
	colourNm      = 440.0 // reference wavelength of dissolved colour
)

// LowestExtraPerM returns the lowest extra absorption, 0 or below, with which the water still absorbs at every
// wavelength what pure water does, 1/m. Water of a measured half depth, whose loss is grey, is held against pure water
// at 550 nm.
func (w Water) LowestExtraPerM() float64 {
	if w.HalfDepthM > 0 {
		return math.Min(0, pureGreenPerM-math.Ln2/w.HalfDepthM)
	}
	return 0 - w.ownPerM(reddestNm) // not minus that, which for pure water is minus zero
}

// ownPerM is what the kind of water absorbs more than pure water at a wavelength, 1/m.
func (w Water) ownPerM(nm float64) float64 {
	k := w.Kind
	return k.ParticleAbsorbPerM + k.CDOM440PerM*math.Exp(-k.CDOMSlopePerNm*(nm-colourNm))
}

// AbovePurePerM returns what the water, extra absorption included, absorbs more than pure water at 550 nm, 1/m: the
// middle of the light that an eye sees. Stained water absorbs much more there, though at the red end hardly more.
func (w Water) AbovePurePerM() float64 {
	if w.HalfDepthM > 0 {
		return math.Ln2/w.HalfDepthM - pureGreenPerM + w.ExtraAbsorbPerM
	}
	return w.ownPerM(greenNm) + w.ExtraAbsorbPerM
}
