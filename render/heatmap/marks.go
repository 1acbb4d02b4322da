package heatmap

import (
	"image/color"
	"math"
	"strconv"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// contourCount is about how many levels of isolines a plan has.
const contourCount = 8

// smallestMark is the least size of a module's outline, in points.
const smallestMark = 5.0

// drawing is a plan that is being drawn into a frame.
type drawing struct {
	Plan
	*style.Canvas
	frame style.Box
	dark  []darkFrame
}

// plan draws the frame with all that is in it and at its edges.
func (d drawing) plan() {
	grid := d.Field.Grid
	heat := fig.Heat{
		Frame: d.frame, NX: grid.NX, NY: grid.NY, Values: d.values(),
		Scale: d.Scale, Colours: style.Light(), FirstRowAtBottom: true,
	}
	heat.Fill(d.Canvas)
	d.dark = d.darkFrames()
	for _, o := range d.Obstacles {
		d.obstacle(o)
	}
	for _, r := range d.Rails {
		d.rail(r)
	}
	d.modules()
	for _, r := range d.Rails {
		d.railName(r)
	}
	d.drawDark()
	heat.Isolines(d.Canvas, fig.GoalLevels(d.values(), contourCount, d.GoalLevel))
	d.edges()
}

// edges draws the rulers and names the front and the back.
func (d drawing) edges() {
	middle := d.frame.Centre().X
	d.Write(style.Text{Text: "back", At: style.Pt(middle, d.frame.Top-8), Anchor: style.BottomMiddle, Font: style.TextFont})
	bottom := d.frame.Bottom + fig.RulerHeight + 6
	d.Write(style.Text{Text: "front", At: style.Pt(middle, bottom), Anchor: style.TopMiddle, Font: style.TextFont})
	d.floor().Edges(d.Canvas, d.Units)
}

// floor is the plan on the page.
func (d drawing) floor() fig.Floor {
	return fig.Floor{LengthM: d.LengthM, WidthM: d.WidthM, Frame: d.frame}
}

func (d drawing) railBox(r Rail) style.Box {
	return d.floor().Area(r.LeftM, r.YM-r.WidthM/2, r.RightM, r.YM+r.WidthM/2)
}

func (d drawing) rail(r Rail) {
	b := d.railBox(r)
	if b.Empty() {
		return
	}
	d.Halo(b, 1)
	d.ClaimEdges(b)
}

// railName writes the rail's name at its left end, above or below it, where there is room.
func (d drawing) railName(r Rail) {
	b := d.railBox(r)
	if b.Empty() || r.Name == "" {
		return
	}
	text := style.Text{Text: d.Shorten(r.Name, style.LabelFont, math.Max(160, b.Width()-12)), Font: style.LabelFont}
	d.put(text, []spot{
		{style.Pt(b.Left+6, b.Top-5), style.BottomLeft},
		{style.Pt(b.Left+6, b.Bottom+5), style.TopLeft},
	}, off) // it is left out where there is no room
}

// label writes a text inside the frame in ink that shows on its ground, if there is room.
func (d drawing) label(text style.Text) bool {
	box := d.Box(text)
	if !d.frame.Contains(box.Grown(2)) {
		return false
	}
	text.Colour = d.InkIn(box)
	return d.TryWrite(text)
}

// obstacle draws a hatched outline.
func (d drawing) obstacle(o Rect) {
	b := d.floor().Area(o.LeftM, o.FrontM, o.RightM, o.BackM)
	if b.Empty() {
		return
	}
	const gap = 9.0
	pen := style.Pen{Width: 1, Colour: color.NRGBA{R: 255, G: 255, B: 255, A: 110}}
	for x := b.Left - b.Height(); x < b.Right; x += gap { // lines x+s, bottom-s
		from, to := math.Max(0, b.Left-x), math.Min(b.Height(), b.Right-x)
		if to > from {
			d.Polyline([]style.Point{{X: x + from, Y: b.Bottom - from}, {X: x + to, Y: b.Bottom - to}}, pen)
		}
	}
	d.Halo(b, 1)
	d.ClaimEdges(b)
	if o.Name != "" {
		name := style.Text{Text: o.Name, At: style.Pt(b.Centre().X, b.Bottom-5), Anchor: style.BottomMiddle, Font: style.LabelFont}
		if box := d.Box(name); b.Contains(box) {
			d.label(name)
		}
	}
}

func (m Mark) finite() bool {
	sum := m.XM + m.YM + m.LengthM + m.WidthM
	return sum-sum == 0
}

// outline returns where a module is drawn, at least smallestMark wide and high; it may be empty.
func (d drawing) outline(m Mark) style.Box {
	if !m.finite() {
		return style.Box{}
	}
	growX := math.Max(0, smallestMark-m.LengthM/d.LengthM*d.frame.Width()) / 2
	growY := math.Max(0, smallestMark-m.WidthM/d.WidthM*d.frame.Height()) / 2
	from, to := d.floor().At(m.XM-m.LengthM/2, m.YM+m.WidthM/2), d.floor().At(m.XM+m.LengthM/2, m.YM-m.WidthM/2)
	return style.Box{Left: from.X - growX, Right: to.X + growX, Top: from.Y - growY, Bottom: to.Y + growY}.Cut(d.frame)
}

// modules draws the outlines and numbers of the modules.
func (d drawing) modules() {
	boxes := make([]style.Box, len(d.Modules))
	for i, m := range d.Modules {
		if boxes[i] = d.outline(m); boxes[i].Empty() {
			continue
		}
		d.Halo(boxes[i], 1.2)
		pen := style.Pen{Width: 1, Colour: style.PaleLine}
		if b := boxes[i]; m.Kind%3 > 0 {
			d.Polyline([]style.Point{{X: b.Left, Y: b.Bottom}, {X: b.Right, Y: b.Top}}, pen)
			if m.Kind%3 > 1 {
				d.Polyline([]style.Point{{X: b.Left, Y: b.Top}, {X: b.Right, Y: b.Bottom}}, pen)
			}
		}
	}
	labels := d.numbers(boxes)
	late := d.writeFirst(labels)
	for _, b := range boxes {
		if !b.Empty() {
			d.Claim(b)
		}
	}
	d.letterDark()
	for _, i := range late {
		if spots := d.around(boxes[i]); !d.put(labels[i], spots, off) {
			d.put(labels[i], spots, over)
		}
	}
}

// writeFirst writes the labels that have room where they should stand, off the frames of dark corners, and returns which
// have not.
func (d drawing) writeFirst(labels []style.Text) (late []int) {
	kept := map[style.Text]bool{}
	for _, l := range d.Thinned(labels) {
		kept[l] = true
	}
	for i, l := range labels {
		if kept[l] && !d.put(l, []spot{{l.At, l.Anchor}}, off) {
			late = append(late, i)
		}
	}
	return late
}

// numbers returns the modules' labels where they should stand: inside an outline that is large enough and empty,
// otherwise beside it. A module that is not in the picture has no text.
func (d drawing) numbers(boxes []style.Box) []style.Text {
	labels := make([]style.Text, len(boxes))
	for i, b := range boxes {
		if b.Empty() {
			continue
		}
		label := style.Text{Text: d.Modules[i].Label, At: b.Centre(), Anchor: style.Middle, Font: style.LabelFont}
		if label.Text == "" {
			label.Text = strconv.Itoa(i + 1)
		}
		label.Text = d.Shorten(label.Text, label.Font, 90)
		if d.Modules[i].Kind%3 != 0 || !b.Contains(d.Box(label).Grown(2)) {
			label = d.beside(label, b)
		}
		labels[i] = label
	}
	return labels
}

// beside moves a module's label above its outline and the rail it sits on, or below both where the frame ends.
func (d drawing) beside(label style.Text, b style.Box) style.Text {
	spots := d.around(b)
	label.At, label.Anchor = spots[0].at, spots[0].anchor
	if d.Box(label).Top-2 < d.frame.Top {
		label.At, label.Anchor = spots[1].at, spots[1].anchor
	}
	return label
}

// around returns where a module's label may stand: above its outline and the rail it sits on, below both, aside of these
// two, and beside the outline.
func (d drawing) around(b style.Box) []spot {
	const gap, aside = 5.0, 3.0
	top, bottom, x := b.Top, b.Bottom, b.Centre().X
	for _, r := range d.Rails {
		if rail := d.railBox(r); rail.Meets(b) {
			top, bottom = math.Min(top, rail.Top), math.Max(bottom, rail.Bottom)
		}
	}
	top, bottom = top-gap, bottom+gap
	return []spot{
		{style.Pt(x, top), style.BottomMiddle}, {style.Pt(x, bottom), style.TopMiddle},
		{style.Pt(x-aside, top), bottomRight}, {style.Pt(x+aside, top), style.BottomLeft},
		{style.Pt(x-aside, bottom), style.TopRight}, {style.Pt(x+aside, bottom), style.TopLeft},
		{style.Pt(b.Left-gap, b.Centre().Y), style.MiddleRight}, {style.Pt(b.Right+gap, b.Centre().Y), style.MiddleLeft},
	}
}
