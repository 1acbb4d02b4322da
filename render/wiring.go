package render

import (
	"cmp"
	"context"
	"slices"

	"fathomlux/render/diagram"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Wire draws the wiring diagram of a scene in the format that is asked for and as SVG. Subtitle, notes, groups, figures
// and cautions are the diagram's.
func Wire(ctx context.Context, sc *scene.Scene, d diagram.Diagram, look Look) (list []Picture, err error) {
	d.Page, d.Rails = look.page(sc.Title, d.Subtitle, "", d.Notes...), sc.Rails
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
