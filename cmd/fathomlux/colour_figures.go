package main

import (
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene/unit"
)

// colourFigures are what some light looks like.
func colourFigures(c result.Colour, b result.Bands) answer.Answer {
	number := func(decimals int) func(float64) string {
		return func(v float64) string { return fmt.Sprintf("%.*f", decimals, v) }
	}
	temperature, duv, ra := "none", "-", "-"
	if c.Temperate {
		temperature, duv = fmt.Sprintf("%.0f", c.CCTK), fmt.Sprintf("%.4f", c.Duv)
	}
	if c.White {
		ra = fmt.Sprintf("%.0f", c.Ra)
	}
	return answer.Answer{
		answer.Figure{Key: "chromaticity_x", Title: "x", Say: number(4), Value: roundTo(c.X, 1e-5)},
		answer.Figure{Key: "chromaticity_y", Title: "y", Say: number(4), Value: roundTo(c.Y, 1e-5)},
		answer.Figure{Key: "cct_k", Value: optional(math.Round(c.CCTK), c.Temperate)},
		answer.Figure{Title: "colour temperature K", Value: temperature},
		answer.Figure{Key: "duv", Value: optional(roundTo(c.Duv, 1e-5), c.Temperate)}, answer.Figure{Title: "Duv", Value: duv},
		answer.Figure{Key: "ra", Value: optional(roundTo(c.Ra, 0.1), c.White)}, answer.Figure{Title: "Ra", Value: ra},
		answer.Figure{Key: "r9", Value: optional(roundTo(c.R9, 0.1), c.White)},
		answer.Figure{Key: "blue", Title: "photons 400 to 500 nm", Say: percent, Value: b.Blue},
		answer.Figure{Key: "green", Title: "500 to 600 nm", Say: percent, Value: b.Green},
		answer.Figure{Key: "red", Title: "600 to 700 nm", Say: percent, Value: b.Red}}
}

// colourTable is what the light on the planes looks like; no rows where unlike spectra share none of them.
func colourTable(m *result.Map, u unit.System) answer.Table {
	var records []answer.Answer
	for _, c := range m.Colours {
		mixed, away := len(m.Kinds) > 1, "-"
		if mixed {
			away = fmt.Sprintf("%.0f steps at x %s, y %s", c.StepsMost, u.Length(c.MostXM), u.Length(c.MostYM))
		}
		record := append(answer.Answer{answer.Figure{Key: "plane", Title: "plane", Value: c.Plane}},
			colourFigures(c.Colour, c.Bands)...)
		records = append(records, append(record,
			answer.Figure{Key: "steps_most", Value: optional(roundTo(c.StepsMost, 0.01), mixed)},
			answer.Figure{Key: "steps_most_at_mm", Value: optional([]float64{millimetres(c.MostXM), millimetres(c.MostYM)}, mixed)},
			answer.Figure{Title: "farthest from the mean", Value: away}))
	}
	return answer.Rows("colour", "Colour of the light", records...)
}
