package render

import (
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/render/heatmap"
	"fathomlux/render/sheet"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// kindsDrawing prepares the sheet of the kinds of light on one plane: their PPFD, or their shares of the photons.
func kindsDrawing(m *result.Map, sc *scene.Scene, look Look, q result.Quantity) drawing {
	s := sheet.Sheet{Title: m.Title, Quantity: q, LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM, Units: look.Units, PixelFactor: look.PixelFactor,
		RowHead: "kind", Columns: []string{"modules", "mean PPFD", "min", "max", "share from", "to"}, Footer: footer(m, look)}
	name := "kinds"
	s.Subtitle = "kinds of light on the plane \"" + m.KindsPlane + "\": PPFD of each"
	if q == result.Share {
		name, s.Scale = "shares", style.NewScale(0, 100)
		s.Subtitle = "kinds of light on the plane \"" + m.KindsPlane + "\": share of the photons; where it changes across the plane, patches of colour are seen"
	}
	for _, k := range m.Kinds {
		c := sheet.Candidate{Name: k.Name, Field: k.Field, Statistics: k.PPFD, Rails: railsFromAbove(sc), Modules: marksOf(sc, k.Name),
			Figures: []string{fmt.Sprint(k.Modules), unit.Figure(k.PPFD.Mean, 1), unit.Figure(k.PPFD.Min, 1), unit.Figure(k.PPFD.Max, 1),
				fmt.Sprintf("%.0f %%", 100*k.Shares.Min), fmt.Sprintf("%.0f %%", 100*k.Shares.Max)}}
		if q == result.Share {
			c.Field.PPFD = percent(k.Share)
			c.Statistics = k.Shares.Scaled(100)
		}
		s.Candidates = append(s.Candidates, c)
	}
	return drawing{name: name, title: s.Title + ", " + s.Subtitle, draw: func() (*style.Canvas, error) { return sheet.Draw(s) }}
}

func percent(shares []float64) []float64 {
	out := make([]float64, len(shares))
	for i, v := range shares {
		out[i] = 100 * v
	}
	return out
}

// marksOf returns the outlines of the modules of one spectrum.
func marksOf(sc *scene.Scene, spectrum string) []heatmap.Mark {
	all := marksFromAbove(sc)
	var list []heatmap.Mark
	at := 0
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if m.Part.Spectrum == spectrum {
				list = append(list, all[at])
			}
			at++
		}
	}
	return list
}
