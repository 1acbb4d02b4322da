package render

import (
	"context"
	"fmt"
	"slices"

	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// mostPages is the highest number of drivers that get a page each.
const mostPages = 24

// Wire draws the wiring diagram of a scene in the format that is asked for and as SVG: one page with all drivers, and
// where there are several a page for each, with its own figures, as own has them. A single driver, and each on a page
// of its own, is shown from behind, too. Subtitle, notes, groups, figures and cautions are the diagram's.
func Wire(ctx context.Context, sc *scene.Scene, d diagram.Diagram, own func(i int) []fig.Figure, look Look) (
	list []Picture, err error) {
	notes := d.Notes
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if !slices.Contains(d.Kinds, m.Part.Name) {
				d.Kinds = append(d.Kinds, m.Part.Name)
			}
		}
	}
	d.Page, d.Rails, d.Back = look.page(sc.Title, d.Subtitle, "", notes...), sc.Rails, len(d.Groups) == 1
	pages := []drawing{{"wiring", d}}
	for i, g := range d.Groups {
		if len(d.Groups) == 1 || i >= mostPages || len(g.Circuit.Strings) == 0 {
			continue
		}
		one := d
		one.Groups, one.Figures, one.Back, one.Cautions = d.Groups[i:i+1], own(i), true,
			[]string{"those on the page of all drivers hold; read them before you connect anything"}
		one.Page = look.page(sc.Title, fmt.Sprintf("driver %s, %d of %d", g.Name, i+1, len(d.Groups)), "")
		pages = append(pages, drawing{fmt.Sprintf("wiring-%d", i+1), one})
	}
	if list, err = finish(ctx, pages, look, 1); err == nil && look.Format != style.SVG {
		look.Format = style.SVG
		more, err := finish(ctx, pages[:1], look, 1)
		return append(list, more...), err
	}
	return list, err
}
