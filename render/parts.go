package render

import (
	"context"
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/polar"
	"fathomlux/render/style"
)

// Beam draws the two pictures of an optic: the polar curve and the cone. notes stand below both.
func Beam(ctx context.Context, b *result.Beam, look Look, notes []string) ([]Picture, error) {
	page := polar.Page{Title: partTitle("Optic "+b.Name, b.About), Notes: notes, Units: look.Units, PixelFactor: look.PixelFactor, Footer: partFooter(look)}
	if b.File != "" {
		page.Footer += "; measured, " + b.File
	}
	curve, cone := page, page
	curve.Subtitle = "Intensity over the angle for 1000 lm that leave the optic"
	cone.Subtitle = "The beam in air for 1000 lm that leave the optic"
	return finish(ctx, []drawing{
		{name: b.Name + "-polar", title: page.Title + ", polar curve", draw: func() (*style.Canvas, error) { return polar.Curve(b, curve) }},
		{name: b.Name + "-cone", title: page.Title + ", cone", draw: func() (*style.Canvas, error) { return polar.Cone(b, cone) }},
	}, look, 2)
}

// Spectrum draws the power of a kind of light over the wavelength, with the eye's sensitivity faint behind it.
func Spectrum(ctx context.Context, s *result.Spectrum, look Look) ([]Picture, error) {
	lines := chart.Lines{
		Title: partTitle("Spectrum "+s.Name, s.About), Subtitle: "Power over the wavelength", XLabel: "wavelength, nm", YLabel: "power, relative to the highest",
		Lines:   []chart.Line{{X: s.Nm, Y: s.Power, Low: s.Sensitivity}},
		LowNote: "thin: V(\u03bb), the eye's sensitivity to daylight", FromZero: true, Footer: partFooter(look), PixelFactor: look.PixelFactor,
		Notes: []string{
			fmt.Sprintf("%.1f lx go with 1 µmol/m²/s of photons from 400 to 700 nm; %.0f lm and %.2f µmol/s a watt of light; highest at %.0f nm.", s.LuxPerPPFD, s.LmPerW, s.UmolPerJ, s.PeakNm),
			fmt.Sprintf("Photons: %.0f %% from 400 to 500 nm, %.0f %% from 500 to 600, %.0f %% from 600 to 700.", 100*s.Blue, 100*s.Green, 100*s.Red),
		},
	}
	return finish(ctx, []drawing{{name: s.Name + "-spectrum", title: lines.Title, draw: lines.Draw}}, look, 1)
}

func partTitle(name, about string) string {
	if about == "" {
		return name
	}
	return name + ": " + about
}

func partFooter(look Look) string { return "fathomlux " + look.Version }
