package render

import (
	"context"

	"fathomlux/render/diagram"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Wire draws the wiring diagram of a scene in the format that is asked for and as SVG. Subtitle, notes, groups, figures
// and cautions are the diagram's.
func Wire(ctx context.Context, sc *scene.Scene, d diagram.Diagram, look Look) (list []Picture, err error) {
	d.Page, d.Rails = look.page(sc.Title, d.Subtitle, "", d.Notes...), sc.Rails
	if list, err = finish(ctx, []drawing{{"wiring", d}}, look, 1); err == nil && look.Format != style.SVG {
		look.Format = style.SVG
		more, err := finish(ctx, []drawing{{"wiring", d}}, look, 1)
		return append(list, more...), err
	}
	return list, err
}
