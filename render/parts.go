package render

import (
	"context"
	"fmt"
	"strings"

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
