package render

import (
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/render/sheet"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// kindsDrawing prepares the sheet of the light by spectrum on one plane: the PPFD of each, or their shares of the
// photons.
func kindsDrawing(m *result.Map, sc *scene.Scene, look Look, q result.Quantity) drawing {
	s := sheet.Sheet{Quantity: q, RowHead: "spectrum", Columns: []string{"modules", "mean PPFD", "min", "max",
		"share from", "to"}}
	name, subtitle := "kinds", "light by spectrum on the plane \""+m.KindsPlane+"\": PPFD of each"
	if q == result.Share {
		name, s.Scale = "shares", style.NewScale(0, 100)
		subtitle = "light by spectrum on the plane \"" + m.KindsPlane +
			"\": share of the photons; where it changes across the plane, patches of colour are seen"
	}
	s.Page = mapPage(m, look, m.Engine, subtitle)
	s.Page.Notes = nil
	for _, k := range m.Kinds {
		c := sheet.Candidate{Name: k.Name, Scene: sc, Spectrum: k.Name, Field: k.Field, Uniformity: k.PPFD.MinOverMean,
			Figures: []string{fmt.Sprint(k.Modules), unit.Figure(k.PPFD.Mean, 1), unit.Figure(k.PPFD.Min, 1),
				unit.Figure(k.PPFD.Max, 1),
				fmt.Sprintf("%.0f %%", 100*k.Shares.Min), fmt.Sprintf("%.0f %%", 100*k.Shares.Max)}}
		if q == result.Share {
			c.Field.PPFD = percent(k.Share)
			c.Uniformity = k.Shares.MinOverMean
		}
		s.Candidates = append(s.Candidates, c)
	}
	return drawing{name, s}
}

func percent(shares []float64) []float64 {
	out := make([]float64, len(shares))
	for i, v := range shares {
		out[i] = 100 * v
	}
	return out
}
