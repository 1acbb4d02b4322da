package trace

import (
	"fathomlux/optics/model"
	"fathomlux/optics/water"
	"fathomlux/scene/photometry"
)

// colours is the number of equal parts into which the lumens of a spectrum, and likewise its photons, are cut by
// wavelength.
const colours = 64

// colour is one such part of the lumens with the same part of the photons. A history is traced with the lumens' water
// and pane; the photons follow the same path and weigh by how much likelier or less likely it was for them.
type colour struct {
	absorb    float64 // of the lumens, 1/m
	scatter   float64 // of the lumens, 1/m
	meanFreeM float64 // 1/scatter
	photons   float64 // what the photons lose of their weight for the lumens' path: their a + b less the lumens' b, 1/m

	molecular                 float64 // share of scatter that molecules do
	byMolecule, byParticle    float64 // photons' weight for one scattering: their b over the lumens'
	paneLumens, panePhotons   float64 // optical thickness of the cover at right angles
	microPerLumen, thinAfterM float64 // PPFD per lux before all losses; path after which a history is thinned out
}

// medium is what the water does to one wavelength, or to the mean of several.
type medium struct{ absorb, molecules, particles, pane float64 }

func (m medium) plus(o medium, weight float64) medium {
	return medium{m.absorb + weight*o.absorb, m.molecules + weight*o.molecules, m.particles + weight*o.particles,
		m.pane + weight*o.pane}
}

// newColour pairs the water of the lumens with that of the photons.
func newColour(lumens, photons medium, microPerLumen float64) colour {
	c := colour{
		absorb: lumens.absorb, scatter: lumens.molecules + lumens.particles,
		paneLumens: lumens.pane, panePhotons: photons.pane, microPerLumen: microPerLumen,
		byMolecule: over(photons.molecules, lumens.molecules), byParticle: over(photons.particles, lumens.particles),
	}
	c.photons = photons.absorb + photons.molecules + photons.particles - c.scatter
	if c.scatter > 0 {
		c.meanFreeM = 1 / c.scatter
		c.molecular = lumens.molecules / c.scatter
	}
	c.thinAfterM = thinAt / max(c.absorb, 1e-9)
	return c
}

// over is a/b, and 1 where it is never asked for.
func over(a, b float64) float64 {
	if b == 0 {
		return 1
	}
	return a / b
}

// palette cuts a spectrum into colours. Within a part, coefficients are means weighted with its lumens or its photons:
// parts are 2 to 8 nm wide where there is light.
func palette(s photometry.Spectrum, st *model.Model) []colour {
	nm, lumens, photons := s.Nodes()
	media := make([]medium, len(nm))
	for i := range nm {
		media[i] = mediumAt(nm[i], st)
	}
	byLumens, byPhotons := cutEven(media, lumens), cutEven(media, photons)
	list := make([]colour, colours)
	for k := range list {
		list[k] = newColour(byLumens[k], byPhotons[k], s.PPFDPerLux())
	}
	return list
}

func mediumAt(nm float64, st *model.Model) medium {
	m := medium{absorb: st.Water.AttenuationPerM(nm, water.Absorbed), molecules: st.Water.MolecularScatterPerM(nm),
		particles: st.Water.ParticleScatterPerM(nm)}
	if st.Cover != nil {
		m.pane = st.Cover.AbsorbPerM(nm) * st.Cover.ThicknessM
	}
	return m
}

// cutEven returns the means of media over parts of equal weight, in their order. A medium on a border counts in both
// parts with its shares.
func cutEven(media []medium, weights []float64) []medium {
	list := make([]medium, colours)
	room, k := 1.0/colours, 0
	for i, w := range weights {
		for w > 0 {
			take := min(w, room)
			if k == colours-1 {
				take = w // rounding
			}
			list[k] = list[k].plus(media[i], take)
			w -= take
			if room -= take; room <= 1e-15 && k < colours-1 {
				room, k = 1.0/colours, k+1
			}
		}
	}
	for i := range list {
		list[i] = medium{}.plus(list[i], colours)
	}
	return list
}
