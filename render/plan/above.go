package plan

import (
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/render/style"
	"fathomlux/scene"
)

// smallestMark is the least size of a module's outline, in points.
const smallestMark = 5.0

// seat is a module as seen from above. Its kind tells parts apart: 0 is a plain outline, 1 has a diagonal, 2, of dead
// modules, two.
type seat struct {
	scene.Seat
	box  style.Box // in points; empty where the module is not in the picture
	kind int
	part string
}

// crossedOut is the kind of dead modules.
const crossedOut = 2

// seats returns the modules of a scene, of one spectrum alone where that is not empty.
func (v view) seats(sc *scene.Scene, spectrum string) (all []seat) {
	kinds := map[string]int{}
	for _, at := range sc.Seats() {
		r := sc.Rails[at.Rail]
		m := r.Modules[at.Module]
		if _, ok := kinds[m.Part.Name]; !ok {
			kinds[m.Part.Name] = len(kinds)
		}
		if spectrum != "" && m.Part.Spectrum != spectrum {
			continue
		}
		one := seat{Seat: at, kind: kinds[m.Part.Name] % 2, part: m.Part.Name}
		if m.Dead {
			one.kind = crossedOut
		}
		halfX := math.Max(m.Part.BoardLengthM, smallestMark/v.perM) / 2
		halfY := math.Max(m.Part.BoardWidthM*math.Cos(r.TiltRad), smallestMark/v.perM) / 2
		one.box = v.area(m.XM-halfX, r.YM-halfY, m.XM+halfX, r.YM+halfY)
		all = append(all, one)
	}
	return all
}

// rail returns where a rail is drawn; it may be empty.
func (v view) rail(r scene.Rail) style.Box {
	return v.area(r.LeftM, r.YM-r.Profile.WidthM/2, r.LeftM+r.LengthM, r.YM+r.Profile.WidthM/2)
}

// signs says which parts are drawn plain and which with a diagonal, where there is more than one kind of mark.
func signs(seats []seat) []string {
	var names [crossedOut + 1][]string
	for _, s := range seats {
		if !slices.Contains(names[s.kind], s.part) {
			names[s.kind] = append(names[s.kind], s.part)
		}
	}
	var words []string
	for kind, how := range []string{"plain ", "with a slash "} {
		if len(names[kind]) > 0 {
			words = append(words, how+strings.Join(names[kind], ", "))
		}
	}
	if len(names[crossedOut]) > 0 {
		words = append(words, "crossed out: without power")
	}
	if len(names[1])+len(names[crossedOut]) == 0 {
		return nil
	}
	return []string{"Modules: " + strings.Join(words, "; ") + "."}
}

// outlines draws rails, obstacles and modules as pale outlines that show on any ground.
func (v view) outlines(sc *scene.Scene, seats []seat) {
	for _, o := range sc.Tank.Obstacles {
		v.obstacle(o)
	}
	for _, r := range sc.Rails {
		if b := v.rail(r); !b.Empty() {
			v.Halo(b, 1)
			v.ClaimEdges(b)
		}
	}
	pen := style.Pen{Width: 1, Colour: style.PaleLine}
	for _, s := range seats {
		b := s.box
		if b.Empty() {
			continue
		}
		v.Halo(b, 1.2)
		if s.kind > 0 {
			v.Line(style.Pt(b.Left, b.Bottom), style.Pt(b.Right, b.Top), pen)
		}
		if s.kind > 1 {
			v.Line(style.Pt(b.Left, b.Top), style.Pt(b.Right, b.Bottom), pen)
		}
	}
}

// obstacle draws a hatched outline with its name.
func (v view) obstacle(o scene.Obstacle) {
	b := v.area(o.Box.Min.X, o.Box.Min.Y, o.Box.Max.X, o.Box.Max.Y)
	if b.Empty() {
		return
	}
	const gap = 9.0
	pen := style.Pen{Width: 1, Colour: color.NRGBA{R: 255, G: 255, B: 255, A: 110}}
	for x := b.Left - b.Height(); x < b.Right; x += gap { // lines x+s, bottom-s
		from, to := math.Max(0, b.Left-x), math.Min(b.Height(), b.Right-x)
		if to > from {
			v.Line(style.Pt(x+from, b.Bottom-from), style.Pt(x+to, b.Bottom-to), pen)
		}
	}
	v.Halo(b, 1)
	v.ClaimEdges(b)
	v.put(style.Text{Text: o.Name, Font: style.LabelFont}, []spot{{style.Pt(b.Centre().X, b.Bottom-5),
		style.BottomMiddle}},
		func(text style.Box) bool { return o.Name == "" || !b.Contains(text) })
}

// number writes the modules' numbers: as the command line takes them where all have room so, "blue:3", else counted
// on each rail, with the rail's name at its left end.
func (v view) number(sc *scene.Scene, seats []seat, dark []darkFrame) {
	avoid := func(b style.Box) bool { return onDark(dark, b) }
	labels := v.labels(sc, seats, sc.SeatName)
	short := len(sc.Rails) == 1 || v.tooWide(labels) || len(v.Thinned(labels)) < len(labels)
	if short {
		labels = v.labels(sc, seats, func(at scene.Seat) string { return strconv.Itoa(at.Module + 1) })
	}
	kept := map[style.Text]bool{}
	for _, l := range v.Thinned(labels) {
		kept[l] = true
	}
	for i, l := range labels {
		if kept[l] && !v.put(l, []spot{{l.At, l.Anchor}}, avoid) {
			if spots := v.around(sc, seats[i].box); !v.put(l, spots, avoid) {
				v.put(l, spots, nil)
			}
		}
	}
	for _, s := range seats {
		if !s.box.Empty() {
			v.Claim(s.box) // what is written later keeps off the modules
		}
	}
	if short {
		v.nameRails(sc, avoid)
	}
}

// tooWide tells whether labels would hide much of the light.
func (v view) tooWide(labels []style.Text) bool {
	const widest = 70.0
	return slices.ContainsFunc(labels, func(l style.Text) bool { return v.Width(l.Text, l.Font) > widest })
}

// labels returns the modules' labels where they should stand: inside the outlines where all are large enough and
// empty, otherwise above them and the rail, or below both where the frame ends. A module that is not in the picture
// has no text.
func (v view) labels(sc *scene.Scene, seats []seat, name func(scene.Seat) string) []style.Text {
	labels, inside := make([]style.Text, len(seats)), true
	for i, s := range seats {
		if !s.box.Empty() {
			labels[i] = style.Text{Text: name(s.Seat), At: s.box.Centre(), Anchor: style.Middle, Font: style.LabelFont}
			inside = inside && s.kind == 0 && s.box.Contains(v.Box(labels[i]).Grown(2))
		}
	}
	for i, s := range seats {
		if s.box.Empty() || inside {
			continue
		}
		label, spots := &labels[i], v.around(sc, s.box)
		label.At, label.Anchor = spots[0].at, spots[0].anchor
		if v.Box(*label).Top-2 < v.frame.Top {
			label.At, label.Anchor = spots[1].at, spots[1].anchor
		}
	}
	return labels
}

// around returns where a module's label may stand: above its outline and the rail it sits on, below both, aside of
// these two, and beside the outline.
func (v view) around(sc *scene.Scene, b style.Box) []spot {
	const gap, aside = 5.0, 3.0
	top, bottom, x := b.Top, b.Bottom, b.Centre().X
	for _, r := range sc.Rails {
		if rail := v.rail(r); rail.Meets(b) {
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

// nameRails writes each rail's name at its left end, above or below it, where there is room.
func (v view) nameRails(sc *scene.Scene, avoid func(style.Box) bool) {
	for _, r := range sc.Rails {
		if b := v.rail(r); !b.Empty() {
			text := style.Text{Text: v.Shorten(r.Name, style.LabelFont, math.Max(160, b.Width()-12)), Font: style.LabelFont}
			v.put(text, []spot{{style.Pt(b.Left+6, b.Top-5), style.BottomLeft}, {style.Pt(b.Left+6, b.Bottom+5),
				style.TopLeft}}, avoid)
		}
	}
}
