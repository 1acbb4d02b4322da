package heatmap

import (
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The least sizes of what a small plan shows, in points.
const (
	smallRail   = 1.0
	smallModule = 3.0
)

// DrawSmall draws the plan into a frame on a page that it shares with others: the light, rails as lines and modules as
// small marks, without isolines, texts, rulers and scale. The frame has the tank's proportion, and p.Scale is usable.
func (p Plan) DrawSmall(c *style.Canvas, frame style.Box) {
	d := drawing{Plan: p, Canvas: c, frame: frame}
	grid := p.Field.Grid
	fig.Heat{
		Frame: frame, NX: grid.NX, NY: grid.NY, Values: p.values(),
		Scale: p.Scale, Colours: style.Light(), FirstRowAtBottom: true,
	}.Fill(c)
	for _, r := range p.Rails {
		if b := d.railBox(r); !b.Empty() {
			middle := style.Box{Left: b.Left, Right: b.Right, Top: b.Centre().Y, Bottom: b.Centre().Y}
			d.FillBox(middle.Grown(smallRail), style.Shade)
			d.Line(style.Pt(b.Left, middle.Top), style.Pt(b.Right, middle.Top), style.Pen{Width: smallRail, Colour: style.PaleLine})
		}
	}
	for _, m := range p.Modules {
		if b := d.outline(m); !b.Empty() {
			at := b.Centre()
			mark := style.Box{Left: at.X, Right: at.X, Top: at.Y, Bottom: at.Y}.Grown(smallModule / 2)
			d.FillBox(mark.Grown(1.2).Cut(frame), style.Shade)
			d.FillBox(mark.Cut(frame), style.PaleLine)
		}
	}
	d.StrokeBox(frame, style.Pen{Width: 1, Colour: style.Ink})
	d.Claim(frame)
}
