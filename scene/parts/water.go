package parts

import (
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

func waters(r *reader) kind[Water] {
	return kind[Water]{
		key: keyWaters, parts: r.lib.Waters,
		fields: []string{
			"about", "based_on", "colour_440", "colour_slope", "particle_absorption", "particle_scattering", "particle_exponent", "asymmetry",
		},
		build: func(d *draft, w Water, _ *table[Water]) Water { return d.water(w) },
	}
}

// water reads a kind of water whose missing values w holds. What says how a share of nothing is spread over wavelengths
// and angles need not be given.
func (d *draft) water(w Water) Water {
	perM := document.Range{High: 1000}
	w.Name = d.name
	d.about(&w.About)
	d.quantity("colour_440", "the absorption of dissolved colour at 440 nm, such as 0.1 1/m", &w.CDOM440PerM, unit.Attenuation, perM)
	d.quantity("particle_absorption", "the absorption of particles, such as 0.005 1/m", &w.ParticleAbsorbPerM, unit.Attenuation, perM)
	d.quantity("particle_scattering", "the scattering of particles at 550 nm, such as 0.1 1/m", &w.ParticleScatterPerM, unit.Attenuation, perM)
	if n := d.Get("colour_slope"); n.Exists() {
		w.CDOMSlopePerNm = n.Quantity(unit.SpectralSlope, document.Range{High: 0.1})
	} else if w.CDOM440PerM > 0 && w.CDOMSlopePerNm == 0 {
		n.Faultf("missing; give how fast the colour's absorption falls with wavelength, such as 0.017 1/nm")
	}
	if n := d.Get("particle_exponent"); n.Exists() {
		w.ParticleExponent = n.Number(document.Range{Low: -1, High: 5})
	}
	if n := d.Get("asymmetry"); n.Exists() {
		w.Asymmetry = n.Number(document.Range{Low: -0.99, High: 0.99})
	} else if w.ParticleScatterPerM > 0 && w.Asymmetry == 0 {
		n.Faultf("missing; give the mean cosine of the angle of scattering, such as 0.924")
	}
	return w
}
