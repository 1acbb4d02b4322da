package render

import (
	"context"
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/render/sheet"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// Compare draws the contact sheet of a comparison under a file name. Title, notes and what is special in the footer are
// the sheet's.
func Compare(ctx context.Context, name string, s sheet.Sheet, look Look) ([]Picture, error) {
	where := fmt.Sprintf("plane %q", s.CommonPlane())
	if s.CommonPlane() == "" {
		where = "plane that each is judged by, named below its map"
	}
	s.Page = look.page(s.Title, s.Quantity.Name()+" of the "+where, s.Footer+"; one scale for all", s.Notes...)
	return finish(ctx, []drawing{{name, s}}, look, 1)
}

// kindsDrawing prepares the sheet of the light by spectrum on one plane: the PPFD of each, or their shares of the
// photons.
func kindsDrawing(m *result.Map, sc *scene.Scene, look Look, q result.Quantity) drawing {
	s := sheet.Sheet{Quantity: q, RowHead: "spectrum", Columns: []string{"modules", "mean PPFD", "min", "max",
		"least share", "greatest share"}}
	name, subtitle := "kinds", "PPFD of each"
	if q == result.Share {
		name, s.Scale = "shares", style.NewScale(0, 100)
		subtitle = "share of the photons; where it changes across the plane, patches of colour are seen"
	}
	s.Page = mapPage(m, look, fmt.Sprintf("light by spectrum on the plane %q: %s", m.KindsPlane, subtitle))
	s.Page.Notes = nil
	for _, k := range m.Kinds {
		c := sheet.Candidate{Candidate: result.Candidate{Name: k.Name, PPFD: k.PPFD}, Scene: sc, Spectrum: k.Name,
			Plane: &result.Plane{Name: m.KindsPlane, Field: k.Field},
			Figures: []string{fmt.Sprint(k.Modules), unit.Figure(k.PPFD.Mean, 1), unit.Figure(k.PPFD.Min, 1),
				unit.Figure(k.PPFD.Max, 1), fmt.Sprintf("%.0f %%", 100*k.Shares.Min), fmt.Sprintf("%.0f %%", 100*k.Shares.Max)}}
		if q == result.Share {
			c.Plane.Field.PPFD = make([]float64, len(k.Share))
			for i, v := range k.Share {
				c.Plane.Field.PPFD[i] = 100 * v
			}
			c.PPFD = k.Shares
		}
		s.Candidates = append(s.Candidates, c)
	}
	return drawing{name, s}
}
