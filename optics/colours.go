package optics

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/photometry"
)

// colours says what the light on planes looks like: of those on which spectra were kept apart, or that have one alone.
func colours(sc *scene.Scene, m *model.Model, planes []result.Plane, kindsOf string, kinds []result.Kind) (
	list []result.PlaneColour) {
	for i := range planes {
		p := &planes[i]
		own := kinds
		switch {
		case len(kinds) > 0 && p.Name != kindsOf:
			continue
		case len(kinds) == 0:
			own = whole(sc, p)
		}
		if c, ok := colourOn(sc, m, p, own); ok {
			list = append(list, c)
		}
	}
	return list
}

// colourOn is the colour of a plane's light, which is of some kinds; ok is false where it is dark.
func colourOn(sc *scene.Scene, m *model.Model, p *result.Plane, kinds []result.Kind) (c result.PlaneColour, ok bool) {
	mix := mixture{model: m, depthM: p.DepthM}
	for _, k := range kinds {
		if !mix.add(sc, k.Name, k.Illuminance.Mean, k.PPFD.Mean) {
			return c, false
		}
	}
	mean := mix.light.Tristimulus()
	if mean.Y == 0 {
		return c, false
	}
	c.Plane, c.Colour, c.Bands = p.Name, appearance(mix.light), mix.bands()
	if len(kinds) > 1 {
		var list []result.Tint
		for i, k := range kinds {
			list = append(list, result.Tint{Lux: k.Field.Illuminance, Hue: mix.hues[i]})
		}
		of := partColour(list, p.Field.Grid, p.Field.Solid)
		c.StepsMost, c.MostXM, c.MostYM = of.StepsMost, of.Farthest.XM, of.Farthest.YM
	}
	return c, true
}

// mixture is light of several spectra at some depth in the water.
type mixture struct {
	model  *model.Model
	depthM float64
	light  colour.Light // with Y in lx
	hues   []colour.Tristimulus
	shares [3]float64 // umol/m2/s in each of the bands
}

// add adds light of a lamp's spectrum that was found to be so many lux and photons; false where there is no such one.
func (m *mixture) add(sc *scene.Scene, spectrum string, lux, ppfd float64) bool {
	s, err := photometry.NewSpectrum(sc.Catalogue.Spectra[spectrum].Power)
	if err != nil { // its light has been computed
		return false
	}
	s = arriving(s, m.model, m.depthM, ppfd, lux)
	m.light, m.hues = m.light.Plus(colour.LightOf(s), lux), append(m.hues, colour.Of(s))
	blue, green, red := bands(s)
	for i, share := range [3]float64{blue, green, red} {
		m.shares[i] += share * ppfd
	}
	return true
}

// bands are the shares of the photons.
func (m *mixture) bands() (b result.Bands) {
	if photons := m.shares[0] + m.shares[1] + m.shares[2]; photons > 0 {
		b = result.Bands{Blue: m.shares[0] / photons, Green: m.shares[1] / photons, Red: m.shares[2] / photons}
	}
	return b
}

// appearance is what a light looks like.
func appearance(l colour.Light) (c result.Colour) {
	t := l.Tristimulus()
	c.X, c.Y = t.Chromaticity()
	c.CCTK, c.Duv, c.Temperate = t.Temperature()
	c.Ra, c.R9, c.White = l.Rendering()
	return c
}

// A spectrum under water is that of its lamp behind a way that leaves the photons for a lumen that were found: between
// the depth of the plane, and so many times that. Where no way does, it is that of light a little oblique.
const (
	longestWay = 8.0
	usualWay   = 1.1
)

// arriving returns a lamp's spectrum as it arrives on a plane, where its light was found to be so many photons and lux.
func arriving(lamp photometry.Spectrum, m *model.Model, depthM, ppfd, lux float64) photometry.Spectrum {
	behind := func(wayM float64) photometry.Spectrum {
		return lamp.Filtered(func(nm float64) float64 {
			depth := m.Water.AttenuationPerM(nm, water.Absorbed) * wayM
			if m.Cover != nil {
				depth += m.Cover.AbsorbPerM(nm) * m.Cover.ThicknessM
			}
			return math.Exp(-depth)
		})
	}
	if lux <= 0 {
		return behind(usualWay * depthM)
	}
	low, high := depthM, longestWay*depthM
	off := func(wayM float64) float64 { return behind(wayM).PPFDPerLux() - ppfd/lux }
	if atLow, atHigh := off(low), off(high); atLow*atHigh > 0 || atLow == atHigh {
		return behind(usualWay * depthM)
	} else if atLow < 0 {
		low, high = high, low
	}
	for range 30 {
		if middle := (low + high) / 2; off(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return behind((low + high) / 2)
}

// bands are the shares of a spectrum's photons from 400 to 500, 500 to 600 and 600 to 700 nm.
func bands(s photometry.Spectrum) (blue, green, red float64) {
	nm, _, photons := s.Nodes()
	var share [3]float64
	for i, v := range photons {
		share[min(max(int(nm[i]-photometry.PhotonFirstNm)/100, 0), 2)] += v
	}
	return share[0], share[1], share[2]
}
