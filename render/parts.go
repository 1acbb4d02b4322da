package render

import (
	"context"
	"fmt"
	"strings"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/polar"
	"fathomlux/render/style"
)

// Beam draws the two pictures of an optic: the polar curve and the cone. notes stand below both.
func Beam(ctx context.Context, b *result.Beam, look Look, notes []string) ([]Picture, error) {
	measured := ""
	if b.File != "" {
		measured = "; measured, " + b.File
	}
	page := func(subtitle string) fig.Page {
		return look.page(strings.TrimSuffix("Optic "+b.Name+": "+b.About, ": "), subtitle, measured, notes...)
	}
	return finish(ctx, []drawing{
		{b.Name + "-polar", polar.Curve{Page: page("Intensity over the angle for 1000 lm leaving the optic"), Beam: b}},
		{b.Name + "-cone", polar.Cone{Page: page("The beam in air for 1000 lm leaving the optic"), Beam: b}},
	}, look, 2)
}

// Spectrum draws the power of a kind of light over the wavelength, with the eye's sensitivity faint behind it.
func Spectrum(ctx context.Context, s *result.Spectrum, look Look) ([]Picture, error) {
	eye := chart.Series{Name: "thin: V(\u03bb), the eye's sensitivity in daylight", X: s.Nm, Y: s.Sensitivity,
		Pen: style.SeriesPen(0, 1)}
	power := chart.Series{X: s.Nm, Y: s.Power, Pen: style.SeriesPen(0, 2)}
	c := chart.Chart{
		Panels: []chart.Panel{{Series: []chart.Series{eye, power}, X: chart.Axis{Label: "wavelength, nm", Tight: true},
			Y: chart.Axis{Label: "spectral power, relative to the peak", Zero: true}}},
		Page: look.page(strings.TrimSuffix("Spectrum "+s.Name+": "+s.About, ": "), "Spectral power distribution", "",
			fmt.Sprintf("%.1f lx correspond to 1 \u00b5mol/m\u00b2/s of photons from 400 to 700 nm. Luminous efficacy of "+
				"radiation %.0f lm/W, photon efficacy of radiation "+
				"%.2f \u00b5mol/J; highest at %.0f nm.", s.LuxPerPPFD, s.LmPerW, s.UmolPerJ, s.PeakNm),
			fmt.Sprintf("Photons: %.0f %% from 400 to 500 nm, %.0f %% from 500 to 600 nm, %.0f %% from 600 to 700 nm.",
				100*s.Blue, 100*s.Green, 100*s.Red)),
	}
	return finish(ctx, []drawing{{s.Name + "-spectrum", c}}, look, 1)
}

// Spectra draws the light at places over the wavelength: photons where the goal of the map counts these, else power.
func Spectra(ctx context.Context, places []result.PlaceLight, m *result.Map, look Look) ([]Picture, error) {
	p := chart.Panel{X: chart.Axis{Label: "wavelength, nm", Tight: true},
		Y: chart.Axis{Label: "spectral irradiance, mW/m\u00b2/nm", Zero: true}}
	if m.Goal.Shown == result.PPFD {
		p.Y.Label = "photons, \u00b5mol/m\u00b2/s/nm"
	}
	var notes []string
	for i, one := range places {
		y := one.Photons
		if m.Goal.Shown != result.PPFD {
			y = floats.ScaleTo(make([]float64, len(one.Power)), 1000, one.Power)
		}
		pen, _ := chart.Look(i, 2)
		p.Series = append(p.Series, chart.Series{Name: one.Name, X: one.Nm, Y: y, Pen: pen})
		notes = append(notes, placeNote(&one))
	}
	page := mapPage(m, look, "Spectrum at places, as the light comes down through a level plane")
	page.Notes = append(notes, page.Notes...)
	return finish(ctx, []drawing{{"spectra", chart.Chart{Page: page, Panels: []chart.Panel{p}}}}, look, 1)
}

// placeNote sums up the light at a place.
func placeNote(p *result.PlaceLight) string {
	temperature := fmt.Sprintf("no colour temperature, x %.4f, y %.4f", p.Colour.X, p.Colour.Y)
	if p.Colour.Temperate {
		temperature = fmt.Sprintf("%.0f K, Duv %.4f", p.Colour.CCTK, p.Colour.Duv)
	}
	if p.Colour.White {
		temperature += fmt.Sprintf(", Ra %.0f", p.Colour.Ra)
	}
	return fmt.Sprintf("%s: %s lx; %s \u00b5mol/m\u00b2/s from 400 to 700 nm, %.0f %% blue, %.0f %% green, %.0f %% red; %s "+
		"\u00b5mol/m\u00b2/s from 700 to 750 nm; %s.", p.Name, style.Number(p.Lux), style.Number(p.PPFD), 100*p.Bands.Blue,
		100*p.Bands.Green, 100*p.Bands.Red, figure3(p.FarRed), temperature)
}
