package render

import (
	"context"
	"fmt"
	"image"

	"fathomlux/optics/result"
	"fathomlux/render/heatmap"
	"fathomlux/render/sheet"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Shown is one scene of a comparison with what its place on the sheet needs.
type Shown struct {
	Name    string
	Scene   *scene.Scene
	Plane   *result.Plane
	Met     bool
	Figures []string // one a column
	Note    string
}

// Comparison is what a contact sheet shows of several scenes.
type Comparison struct {
	Title   string
	Columns []string
	List    []Shown
	Verdict string
	Engine  string // "direct", "traced" or "full", of all

	Junctions result.Junctions
}

// Compare draws the contact sheet of a comparison under a file name.
func Compare(ctx context.Context, name string, c Comparison, look Look) ([]Picture, error) {
	return finish(ctx, []drawing{compareDrawing(name, c, look)}, look, 1)
}

func compareDrawing(name string, c Comparison, look Look) drawing {
	first := c.List[0].Scene
	s := sheet.Sheet{Title: c.Title, Columns: c.Columns, LengthM: first.Tank.LengthM, WidthM: first.Tank.WidthM, Verdict: c.Verdict,
		Units: look.Units, PixelFactor: look.PixelFactor, GoalLevel: first.Goal.IlluminanceLx,
		Footer: "fathomlux " + look.Version + ", engine " + c.Engine + ", " + c.Junctions.Words() + "; one scale for all"}
	if first.Goal.Photons() {
		s.Quantity, s.GoalLevel = heatmap.PPFD, first.Goal.PPFD
	}
	s.Subtitle = fmt.Sprintf("%s of the plane %q", s.Quantity.Name(), c.List[0].Plane.Name)
	var fields [][]float64
	for _, one := range c.List {
		stats := one.Plane.Illuminance
		if s.Quantity == heatmap.PPFD {
			stats = one.Plane.PPFD
		}
		s.GoalAsked = s.GoalAsked || one.Scene.Goal.Set()
		fields = append(fields, s.Quantity.Values(one.Plane.Field))
		s.Candidates = append(s.Candidates, sheet.Candidate{Name: one.Name, Field: one.Plane.Field, Statistics: stats,
			LengthM: one.Scene.Tank.LengthM, WidthM: one.Scene.Tank.WidthM, Rails: railsFromAbove(one.Scene), Modules: marksFromAbove(one.Scene),
			Figures: one.Figures, Met: one.Met, Note: one.Note})
	}
	s.Scale = style.ScaleFor(fields...)
	return drawing{name: name, title: c.Title + ", " + s.Subtitle, draw: func() (*image.RGBA, error) { return sheet.Draw(s) }}
}
