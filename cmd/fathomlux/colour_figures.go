package main

import (
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene/unit"
)

// colourTable is what the light on the planes looks like; no rows where unlike spectra share none of them.
func colourTable(m *result.Map, u unit.System) answer.Table {
	number := func(decimals int) func(float64) string {
		return func(v float64) string { return fmt.Sprintf("%.*f", decimals, v) }
	}
	columns := []answer.Column{{Key: "plane", Title: "plane"},
		{Key: "chromaticity_x", Title: "x", Say: number(4)}, {Key: "chromaticity_y", Title: "y", Say: number(4)},
		{Key: "cct_k"}, {Title: "colour temperature K"}, {Key: "duv"}, {Title: "Duv"},
		{Key: "ra"}, {Title: "Ra"}, {Key: "r9"},
		{Key: "blue", Title: "photons 400 to 500 nm", Say: percent}, {Key: "green", Title: "500 to 600 nm", Say: percent},
		{Key: "red", Title: "600 to 700 nm", Say: percent}, {Key: "steps_most"}, {Key: "steps_most_at_mm"},
		{Title: "farthest from the mean"}}
	t := answer.TableOf("colour", columns, m.Colours, func(c result.PlaneColour) []any {
		temperature, duv, ra, away := "none", "-", "-", "-"
		if c.Temperate {
			temperature, duv = fmt.Sprintf("%.0f", c.CCTK), fmt.Sprintf("%.4f", c.Duv)
		}
		if c.White {
			ra = fmt.Sprintf("%.0f", c.Ra)
		}
		mixed := len(m.Kinds) > 1
		if mixed {
			away = fmt.Sprintf("%.0f steps at x %s, y %s", c.StepsMost, u.Length(c.MostXM), u.Length(c.MostYM))
		}
		return []any{c.Plane, roundTo(c.X, 1e-5), roundTo(c.Y, 1e-5), optional(math.Round(c.CCTK), c.Temperate), temperature,
			optional(roundTo(c.Duv, 1e-5), c.Temperate), duv, optional(roundTo(c.Ra, 0.1), c.White), ra,
			optional(roundTo(c.R9, 0.1), c.White), c.Blue, c.Green, c.Red, optional(roundTo(c.StepsMost, 0.01), mixed),
			optional([]float64{millimetres(c.MostXM), millimetres(c.MostYM)}, mixed), away}
	})
	t.Title = "Colour of the light"
	return t
}
