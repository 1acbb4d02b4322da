package render

import (
	"cmp"
	"context"
	"slices"

	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/wiring"
)

// Wiring is what a wiring diagram shows beside the scene.
type Wiring struct {
	Groups   []wiring.Group
	Subtitle string
	Figures  []fig.Figure
	Notes    []string
	Cautions []string
}

// Wire draws the wiring diagram of a scene in the format that is asked for and as SVG. Groups for which nothing could
// be chosen are left out.
func Wire(ctx context.Context, sc *scene.Scene, w Wiring, look Look) (list []Picture, err error) {
	d := diagram.Diagram{Page: look.page(sc.Title, w.Subtitle, "", w.Notes...), Rails: sc.Rails, Groups: w.Groups,
		Figures: w.Figures, Cautions: w.Cautions}
	for _, format := range slices.Compact([]style.Format{cmp.Or(look.Format, style.PNG), style.SVG}) {
		look.Format = format
		pictures, err := finish(ctx, []drawing{{"wiring", d}}, look, 1)
		if err != nil {
			return nil, err
		}
		list = append(list, pictures...)
	}
	return list, nil
}
