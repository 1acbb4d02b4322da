package parts

import (
	"fathomlux/scene/key"
)

// water reads a kind of water whose missing values w holds.
func (d *draft) water(w Water) Water {
	w.Name = d.name
	w.About = d.String("about", w.About)
	w.ParticleExponent = d.Value("particle_exponent", w.ParticleExponent)
	w.Read(d.Fields)
	return w
}

// Read replaces the numbers of a kind of water by those that f gives. What says how a share of nothing is spread over
// wavelengths and angles need not be given.
func (w *Water) Read(f key.Fields) {
	w.CDOM440PerM = f.Value("cdom_absorption_440", w.CDOM440PerM)
	w.CDOMSlopePerNm = f.Value("cdom_spectral_slope", w.CDOMSlopePerNm)
	w.ParticleAbsorbPerM = f.Value("particle_absorption", w.ParticleAbsorbPerM)
	w.ParticleScatterPerM = f.Value("particle_scattering", w.ParticleScatterPerM)
	w.Asymmetry = f.Value("asymmetry", w.Asymmetry)
	if f.Has("cdom_absorption_440") && w.CDOM440PerM > 0 && w.CDOMSlopePerNm == 0 {
		f.Demand("cdom_spectral_slope")
	}
	if f.Has("particle_scattering") && w.ParticleScatterPerM > 0 && w.Asymmetry == 0 {
		f.Demand("asymmetry")
	}
}
