// Package plan draws a tank to scale: the light on one plane seen from above, a vertical slice through the water, and
// the deviations of a meter's readings. All three share one view: outlines of the scene's parts, rulers, labels and
// the colour scale. It computes no light and judges nothing; what it says is what it is given. Lengths are metres in
// the tank's axes. Next: package fig for rulers, fields and pages; package sheet for several plans on one page.
package plan

import (
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// The room for pictures and around them, in points.
const (
	tallest    = 900.0
	narrowPage = 1000.0
	edgeName   = 24.0 // a line for "back" above, "front" below
	sideRoom   = 34.0 // right of a plan, for what its last ruler label needs
)

// view is a part of the tank on a page: metres to the right and upwards from left and bottom.
type view struct {
	*style.Canvas
	frame        style.Box
	left, bottom float64 // where the frame's lower left corner is, m
	perM         float64 // points a metre
	units        style.Units
}

// sized returns a view of a part of the tank that is as large as the room allows, both in points; its frame begins at
// 0.
func sized(wideM, highM float64, room style.Point) view {
	perM := math.Min(room.X/wideM, room.Y/highM)
	return view{perM: perM, frame: style.Box{Right: math.Max(1, perM*wideM), Bottom: math.Max(1, perM*highM)}}
}

// on returns the view on a page, its frame's upper left corner at a place.
func (v view) on(c *style.Canvas, at style.Point) view {
	v.Canvas = c
	v.frame = style.Box{Left: at.X, Top: at.Y, Right: at.X + v.frame.Width(), Bottom: at.Y + v.frame.Height()}
	return v
}

// block is the view as a strip of a page, with its rulers and so many points above and below these.
func (v view) block(abovePt, belowPt float64, draw func(view)) fig.Block {
	return fig.Block{HeightPt: abovePt + v.frame.Height() + fig.RulerHeight + belowPt,
		Draw: func(c *style.Canvas, box style.Box) {
			draw(v.on(c, style.Pt(box.Left+fig.RulerWidth, box.Top+abovePt)))
		}}
}

// pageWidth is the width of a page on which the view has a room of so many points.
func (v view) pageWidth(room float64) float64 {
	return math.Max(narrowPage, fig.PageWidth-room+v.frame.Width())
}

// at returns where a place stands on the page.
func (v view) at(x, y float64) style.Point {
	return style.Pt(v.frame.Left+(x-v.left)*v.perM, v.frame.Bottom-(y-v.bottom)*v.perM)
}

// area returns where a rectangle is drawn, cut at the frame; it may be empty.
func (v view) area(left, bottom, right, top float64) style.Box {
	return v.box(left, bottom, right, top).Cut(v.frame)
}

func (v view) box(left, bottom, right, top float64) style.Box {
	a, b := v.at(left, top), v.at(right, bottom)
	return style.Box{Left: a.X, Right: b.X, Top: a.Y, Bottom: b.Y}
}

// put writes the first of several forms of a label that has room inside the frame, in ink that shows on its ground, and
// tells whether there was one. Those that avoid refuses are left out; it may be nil.
func (v view) put(forms []style.Text, avoid func(style.Box) bool) bool {
	for _, text := range forms {
		box := v.Box(text)
		if !v.frame.Contains(box.Grown(2)) || avoid != nil && avoid(box.Grown(2)) {
			continue
		}
		if text.Colour.A == 0 {
			text.Colour = v.InkIn(box)
		}
		if v.TryWrite(text) {
			return true
		}
	}
	return false
}

// floorEdges draws the frame of a tank seen from above with its rulers, and names front and back.
func (v view) floorEdges(t scene.Tank) {
	v.edge(t.Outline, style.Pen{Width: 1.4, Colour: style.Ink})
	fig.Ruler{Frame: v.frame, LengthM: t.LengthM, Units: v.units}.Draw(v.Canvas)
	fig.Ruler{Frame: v.frame, LengthM: t.WidthM, Units: v.units, Upright: true}.Draw(v.Canvas)
	v.TryWrite(style.Text{Text: "back", Font: style.TextFont}.Beside(v.frame, 8, style.Above))
	v.TryWrite(style.Text{Text: "front", Font: style.TextFont}.Beside(v.frame, fig.RulerHeight+6, style.Below))
}

// diagonals draws the rising diagonal of a box, and the falling one where there are two.
func (v view) diagonals(b style.Box, n int, pen style.Pen) {
	corners := b.Corners()
	for i := range n {
		v.Line(corners[1-i], corners[3-i], pen)
	}
}
