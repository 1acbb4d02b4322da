// Package plan draws a tank to scale: the light on one plane seen from above, a vertical slice through the water, and
// the deviations of a meter's readings. All three share one view: outlines of the scene's parts, rulers, labels and
// the colour scale. It computes no light and judges nothing; what it says is what it is given. Lengths are metres in
// the tank's axes. Next: package fig for rulers, fields and pages; package sheet for several plans on one page.
package plan

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// roundSides is how many sides a round thing is drawn with.
const roundSides = 48

// ring returns corners on the page, the first again at the end.
func (v view) ring(corners []form.Corner) (points []style.Point) {
	for _, c := range corners {
		points = append(points, v.at(c.XM, c.YM))
	}
	return append(points, points[0])
}

// blank paints what lies in the frame outside of a tank's outline as paper.
func (v view) blank(o form.Outline) {
	if o.Empty() {
		return
	}
	around := v.frame.Grown(2.5).Corners() // clockwise on the page, the outline the other way: a slit joins both
	ring := v.ring(o.Corners)
	v.Polygon(slices.Concat(around, ring, around[:1]), style.Paper)
	for _, p := range style.Resample(ring, 6) {
		v.Claim(p.Around(2)) // no text lies across the edge
	}
}

// edge draws the tank's inside edge as seen from above: its outline, or the frame.
func (v view) edge(o form.Outline, pen style.Pen) {
	if o.Empty() {
		v.StrokeBox(v.frame, pen)
		return
	}
	v.Polyline(v.ring(o.Corners), pen)
}

// haloed draws closed corners as Halo draws a box, what of it lies in the frame, and keeps texts off it.
func (v view) haloed(points []style.Point, widthPt float64) {
	for _, pen := range []style.Pen{{Width: widthPt + 1.6, Colour: style.Shade},
		{Width: widthPt, Colour: style.PaleLine}} {
		v.clipped(points, pen)
	}
	for _, p := range style.Resample(points, 6) {
		if v.frame.Holds(p) {
			v.Claim(p.Around(1))
		}
	}
}

// clipped draws what of a line lies in the frame.
func (v view) clipped(points []style.Point, pen style.Pen) {
	if !slices.ContainsFunc(points, func(p style.Point) bool { return !v.frame.Holds(p) }) {
		v.Polyline(points, pen)
		return
	}
	for i := range points[1:] {
		if from, to, ok := style.ClipLine(points[i], points[i+1], v.frame); ok {
			v.Line(from, to, pen)
		}
	}
}

// turned returns the corners of a rectangle about a place on the page, closed.
func (v view) turned(xM, yM float64, half style.Point, turnRad float64) []style.Point {
	return v.ring(rectangle(xM, yM, half, turnRad))
}

// rectangle returns the corners of one about a place, turned from x to y.
func rectangle(xM, yM float64, half style.Point, turnRad float64) (corners []form.Corner) {
	sin, cos := math.Sincos(turnRad)
	for _, c := range [4][2]float64{{-half.X, -half.Y}, {half.X, -half.Y}, {half.X, half.Y}, {-half.X, half.Y}} {
		corners = append(corners, form.Corner{XM: xM + c[0]*cos - c[1]*sin, YM: yM + c[0]*sin + c[1]*cos})
	}
	return corners
}

// railRing returns the corners of a turned rail, closed.
func (v view) railRing(r *scene.Rail) []style.Point {
	x, y := r.At(r.LeftM + r.LengthM/2)
	return v.turned(x, y, style.Pt(r.LengthM/2, r.Profile.WidthM/2), r.TurnRad)
}

// seen returns the corners of a solid as seen from above.
func seen(s *form.Solid) []form.Corner {
	if s.Kind != form.Cylinder && s.Kind != form.Ellipsoid {
		return rectangle(s.Middle.X, s.Middle.Y, style.Pt(s.Half.X, s.Half.Y), s.TurnRad)
	}
	var corners []form.Corner
	turnSin, turnCos := math.Sincos(s.TurnRad)
	for i := range roundSides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / roundSides)
		x, y := s.Half.X*cos, s.Half.Y*sin
		corners = append(corners, form.Corner{XM: s.Middle.X + x*turnCos - y*turnSin, YM: s.Middle.Y + x*turnSin + y*turnCos})
	}
	return corners
}

// Seen returns the lines around a thing as seen from above: of stones that lie on each other what none of the others
// hides.
func Seen(one *scene.Thing) (lines [][]form.Corner) {
	var all []form.Outline
	for i := range one.Solids {
		all = append(all, form.Outline{Corners: seen(&one.Solids[i])})
	}
	for i, o := range all {
		others := slices.Concat(all[:i], all[i+1:])
		var line []form.Corner
		for k, a := range o.Corners {
			b := o.Corners[(k+1)%len(o.Corners)]
			middle := space.Point{X: (a.XM + b.XM) / 2, Y: (a.YM + b.YM) / 2}
			if slices.ContainsFunc(others, func(other form.Outline) bool { return other.Holds(middle) }) {
				lines, line = append(lines, line), nil
				continue
			}
			if line == nil {
				line = []form.Corner{a}
			}
			line = append(line, b)
		}
		lines = append(lines, line)
	}
	return slices.DeleteFunc(lines, func(line []form.Corner) bool { return len(line) == 0 })
}

// around is the box about points, cut at the frame; it may be empty.
func (v view) around(points []style.Point) style.Box {
	b := points[0].Around(0)
	for _, p := range points {
		b.Left, b.Right = math.Min(b.Left, p.X), math.Max(b.Right, p.X)
		b.Top, b.Bottom = math.Min(b.Top, p.Y), math.Max(b.Bottom, p.Y)
	}
	return b.Cut(v.frame)
}

// things draws what stands in the tank as outlines.
func (v view) things(list []scene.Thing) {
	for i := range list {
		for _, line := range Seen(&list[i]) {
			v.haloed(v.ring(line)[:len(line)], 1)
		}
	}
}

// names writes those of things, where there is room in them or beside them, and of stands of leaves.
func (v view) names(t scene.Tank) {
	for i := range t.Things {
		var all []style.Point
		for _, line := range Seen(&t.Things[i]) {
			all = append(all, v.ring(line)...)
		}
		label := style.Text{Text: t.Things[i].Name, Font: style.LabelFont}
		if b := v.around(all); label.Text != "" && !b.Empty() {
			v.put(slices.Concat([]style.Text{label.Beside(b, -5, style.Point{})}, label.Around(b, -7, style.Corners...),
				label.Around(b, -6, style.Above, style.Below), label.Around(b, 4, style.Above, style.Below)), nil)
		}
	}
	for _, p := range t.Plants {
		if b := v.plant(p); !b.Empty() {
			label := style.Text{Text: v.Shorten(p.Name, style.LabelFont, math.Max(0, b.Width()-12)), Font: style.LabelFont}
			v.put(append(label.Around(b, -6, style.Corners...), label.Beside(b, -5, style.Point{})), nil)
		}
	}
	if b, share := v.leaves(t); share > 0 {
		words := fmt.Sprintf("floating leaves, %.3g %%", 100*share)
		label := style.Text{Text: v.Shorten(words, style.LabelFont, math.Max(0, b.Width()-12)), Font: style.LabelFont}
		forms := []style.Text{label.Beside(b, -5, style.Above), label.Beside(b, -5, style.Below),
			label.Beside(b, -5, style.Point{})}
		if t.Outline.Empty() {
			forms = append(label.Around(b, -6, style.Corners...), forms...)
		}
		v.put(forms, nil)
	}
}

// leaves returns where leaves float, and which share of it they hide now.
func (v view) leaves(t scene.Tank) (style.Box, float64) {
	_, now := t.LeavesNow()
	return v.area(now.Area.FromXM, now.Area.FromYM, now.Area.ToXM, now.Area.ToYM), now.CoverShare
}

// floating outlines leaves that float on a part of the surface with dots.
func (v view) floating(t scene.Tank) {
	if b, share := v.leaves(t); share > 0 && !b.Empty() && t.Floating.Area != (space.Area{}) {
		v.Halo(b, 1.4, 2, 4)
		v.ClaimEdges(b)
	}
}

func (v view) plant(p scene.Plant) style.Box {
	return v.area(p.Box.Min.X, p.Box.Min.Y, p.Box.Max.X, p.Box.Max.Y)
}

// plants outlines stands of leaves with dots.
func (v view) plants(list []scene.Plant) {
	for _, p := range list {
		if b := v.plant(p); !b.Empty() {
			v.Halo(b, 1.4, 2, 4)
			v.ClaimEdges(b)
		}
	}
}

// known are the values of a plane but for those outside of the tank.
func known(values []float64, solid result.Solid, g result.Grid, o form.Outline) (list []float64) {
	if o.Empty() {
		return values
	}
	outside := Outside(g, o)
	for i, v := range values {
		if !solid.Closed(i) || !outside(i) {
			list = append(list, v)
		}
	}
	return list
}

// Outside tells of each cell of a grid whether its middle is outside of an outline.
func Outside(g result.Grid, o form.Outline) func(i int) bool {
	return func(i int) bool {
		return !o.Empty() && !o.Holds(space.Point{X: g.CentreX(i % g.NX), Y: g.CentreY(i / g.NX)})
	}
}

// painted is a field of light of a tank on a frame seen from above, for filling: heat gives it for isolines.
func painted(f result.Field, q result.Quantity, frame style.Box, scale style.Scale, o form.Outline) fig.Heat {
	h := heat(f, q, frame, scale)
	if !o.Empty() {
		h.Values = result.Spread(h.Values, f.Grid.NX, Outside(f.Grid, o))
	}
	return h
}

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
