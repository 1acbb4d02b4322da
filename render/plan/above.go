package plan

import (
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// smallestMark is the least size of a module's outline, in points.
const smallestMark = 5.0

// seat is a module as seen from above. Its kind tells parts apart: 0 is a plain outline, 1 has a diagonal, 2, of dead
// modules, two.
type seat struct {
	scene.Seat
	box  style.Box     // in points; empty where the module is not in the picture
	ring []style.Point // its corners, closed, where it is turned
	kind int
	part string
}

const crossedOut = 2

// seats returns the modules of a scene, of one spectrum alone where that is not empty.
func (v view) seats(sc *scene.Scene, spectrum string) (all []seat) {
	var kinds []string
	for _, at := range sc.Seats() {
		r := sc.Rails[at.Rail]
		m := r.Modules[at.Module]
		if !slices.Contains(kinds, m.Part.Name) {
			kinds = append(kinds, m.Part.Name)
		}
		if spectrum != "" && m.Part.Spectrum != spectrum {
			continue
		}
		one := seat{Seat: at, kind: slices.Index(kinds, m.Part.Name) % 2, part: m.Part.Name}
		if m.Dead {
			one.kind = crossedOut
		}
		halfX := math.Max(m.Part.BoardLengthM, smallestMark/v.perM) / 2
		halfY := math.Max(m.Part.BoardWidthM*math.Cos(r.TiltRad), smallestMark/v.perM) / 2
		one.box = v.area(m.XM-halfX, r.YM-halfY, m.XM+halfX, r.YM+halfY)
		if turn := r.TurnRad + m.TurnRad; turn != 0 {
			x, y := r.At(m.XM)
			one.ring = v.turned(x, y, style.Pt(halfX, halfY), turn)
			one.box = v.around(one.ring)
		}
		all = append(all, one)
	}
	return all
}

// rail returns where a rail is drawn; it may be empty.
func (v view) rail(r scene.Rail) style.Box {
	if r.TurnRad != 0 {
		return v.around(v.railRing(&r))
	}
	return v.area(r.LeftM, r.YM-r.Profile.WidthM/2, r.LeftM+r.LengthM, r.YM+r.Profile.WidthM/2)
}

// obstacle returns where an obstacle is drawn; it may be empty.
func (v view) obstacle(o scene.Obstacle) style.Box {
	return v.area(o.Box.Min.X, o.Box.Min.Y, o.Box.Max.X, o.Box.Max.Y)
}

// signs says which parts are drawn plain and which with a diagonal, where there is more than one kind of mark.
func signs(seats []seat) []string {
	var names [crossedOut + 1][]string
	for _, s := range seats {
		if !slices.Contains(names[s.kind], s.part) {
			names[s.kind] = append(names[s.kind], s.part)
		}
	}
	if len(names[1])+len(names[crossedOut]) == 0 {
		return nil
	}
	var words []string
	for kind, how := range []string{"plain ", "with a slash ", "crossed out: without power"} {
		if kind == crossedOut && len(names[kind]) > 0 {
			words = append(words, how)
		} else if len(names[kind]) > 0 {
			words = append(words, how+strings.Join(names[kind], ", "))
		}
	}
	return []string{"Modules: " + strings.Join(words, "; ") + "."}
}

// outlines draws rails, obstacles and modules as pale outlines that show on any ground.
func (v view) outlines(sc *scene.Scene, seats []seat) {
	for _, o := range sc.Tank.Obstacles {
		v.hatched(v.obstacle(o), o.Name)
	}
	v.things(sc.Tank.Things)
	v.plants(sc.Tank.Plants)
	v.floating(sc.Tank)
	v.blank(sc.Tank.Outline)
	for i, r := range sc.Rails {
		if b := v.rail(r); r.TurnRad != 0 {
			v.haloed(v.railRing(&sc.Rails[i]), 1)
		} else if !b.Empty() {
			v.Halo(b, 1)
			v.ClaimEdges(b)
		}
	}
	pen := style.Pen{Width: 1, Colour: style.PaleLine}
	for _, s := range seats {
		switch {
		case s.box.Empty():
		case s.ring != nil:
			v.haloed(s.ring, 1.2)
			for i := range s.kind {
				v.clipped([]style.Point{s.ring[1-i], s.ring[3-i]}, pen)
			}
		default:
			v.Halo(s.box, 1.2)
			v.diagonals(s.box, s.kind, pen)
		}
	}
	if len(sc.Tank.Things)+len(sc.Tank.Plants) > 0 || sc.Tank.Floating != nil {
		for _, s := range seats {
			v.ClaimEdges(s.box)
		}
		v.names(sc.Tank)
	}
}

func (v view) hatched(b style.Box, name string) {
	if b.Empty() {
		return
	}
	v.hatch(b, color.NRGBA{R: 255, G: 255, B: 255, A: 110})
	v.Halo(b, 1)
	v.ClaimEdges(b)
	label := style.Text{Text: name, Font: style.LabelFont}.Beside(b, -5, style.Below)
	v.put([]style.Text{label}, func(text style.Box) bool { return name == "" || !b.Contains(text) })
}

// hatch draws rising lines into a box.
func (v view) hatch(b style.Box, colour color.NRGBA) {
	const gap = 9.0
	for x := b.Left - b.Height(); x < b.Right; x += gap {
		if from, to, ok := style.ClipLine(style.Pt(x, b.Bottom), style.Pt(x+b.Height(), b.Top), b); ok {
			v.Line(from, to, style.Pen{Width: 1, Colour: colour})
		}
	}
}

// areas outlines the areas that parts of a goal speak of, and names each with whether its part is met where it is
// judged.
func (v view) areas(g result.Goal) {
	for _, part := range g.Parts {
		b := v.area(part.Area.FromXM, part.Area.FromYM, part.Area.ToXM, part.Area.ToYM)
		if part.Area == (space.Area{}) || b.Empty() {
			continue
		}
		words := part.Label
		if g.Asked {
			words += map[bool]string{true: ": met", false: ": not met"}[part.Met]
		}
		v.Halo(b, 2.2)
		v.ClaimEdges(b)
		bold := style.Font{SizePt: style.LabelFont.SizePt, Bold: true}
		text := style.Text{Text: v.Shorten(words, bold, math.Max(160, b.Width()-12)), Font: bold}
		v.put(slices.Concat(text.Around(b, -6, style.Corners...), text.Around(b, 5, style.Above, style.Below)), nil)
	}
}

// number writes the modules' numbers: as the command line takes them where all have room so, "blue:3", else counted
// on each rail, with the rail's name at its left end.
func (v view) number(sc *scene.Scene, seats []seat, avoid func(style.Box) bool) {
	const widest = 70.0 // more would hide much of the light
	places, first := v.labels(sc, seats, sc.SeatName)
	tooWide := func(l style.Text) bool { return v.Width(l.Text, l.Font) > widest }
	short := len(sc.Rails) == 1 || slices.ContainsFunc(first, tooWide) || len(v.Thinned(first)) < len(first)
	if short {
		places, first = v.labels(sc, seats, func(at scene.Seat) string { return strconv.Itoa(at.Module + 1) })
	}
	kept := v.Thinned(first)
	for i, l := range first {
		if slices.Contains(kept, l) {
			_ = v.put(places[i], avoid) || v.put(places[i], nil)
		}
	}
	for _, s := range seats {
		if !s.box.Empty() {
			v.Claim(s.box) // what is written later keeps off the modules
		}
	}
	for _, r := range sc.Rails { // their names at their left ends, above or below
		if b := v.rail(r); short && !b.Empty() {
			if r.TurnRad != 0 { // at its end, whichever way it is turned
				x, y := r.At(r.LeftM)
				b = v.at(x, y).Around(0)
			}
			text := style.Text{Text: v.Shorten(r.Name, style.LabelFont, math.Max(160, b.Width()-12)), Font: style.LabelFont}
			high, low := text, text
			high.At, high.Anchor = style.Pt(b.Left+6, b.Top-5), style.BottomLeft
			low.At = style.Pt(b.Left+6, b.Bottom+5)
			v.put([]style.Text{high, low}, avoid)
		}
	}
}

// labels returns where each module's label may stand, the best place first: inside the outlines where all are large
// enough and empty, otherwise above its outline and the rail it sits on, below both, aside of these two, and beside the
// outline. A module that is not in the picture has no text.
func (v view) labels(sc *scene.Scene, seats []seat, name func(scene.Seat) string) (places [][]style.Text,
	first []style.Text) {
	const gap, aside = 5.0, 3.0
	inside := true
	for _, s := range seats {
		label := style.Text{At: s.box.Centre(), Anchor: style.Middle, Font: style.LabelFont}
		var outside []style.Text
		if b := s.box; !b.Empty() {
			label.Text = name(s.Seat)
			inside = inside && s.kind == 0 && b.Contains(v.Box(label).Grown(2))
			both, narrow := b, b.Centre().Around(aside).Grown(-gap)
			for _, r := range sc.Rails {
				if rail := v.rail(r); r.TurnRad == 0 && rail.Meets(b) {
					both.Top, both.Bottom = math.Min(both.Top, rail.Top), math.Max(both.Bottom, rail.Bottom)
				}
			}
			narrow.Top, narrow.Bottom = both.Top, both.Bottom
			outside = slices.DeleteFunc(slices.Concat(v.abreast(&sc.Rails[s.Rail], label),
				label.Around(both, gap, style.Above, style.Below),
				label.Around(narrow, gap, style.Corners...), label.Around(b, gap, style.Leftwards, style.Rightwards)),
				func(t style.Text) bool { return !v.frame.Contains(v.Box(t).Grown(2)) })
		}
		places = append(places, append([]style.Text{label}, outside...))
	}
	for i := range places {
		if !inside && len(places[i]) > 1 {
			places[i] = places[i][1:]
		}
		first = append(first, places[i][0])
	}
	return places, first
}

// abreast returns where the label of a module of a turned rail may stand: on either side of the rail.
func (v view) abreast(r *scene.Rail, label style.Text) (list []style.Text) {
	if r.TurnRad == 0 {
		return nil
	}
	const gap = 5.0
	sin, cos := math.Sincos(r.TurnRad) // across the rail lies (-sin, cos) from front to back, (-sin, -cos) on the page
	text := v.Box(label)
	off := r.Profile.WidthM/2*v.perM + gap + (math.Abs(sin)*text.Width()+math.Abs(cos)*text.Height())/2
	for _, side := range [2]float64{1, -1} {
		beside := label
		beside.At = style.Pt(label.At.X-side*off*sin, label.At.Y-side*off*cos)
		list = append(list, beside)
	}
	return list
}

// mostDark is how many dark corners are told in words and outlined; more are counted.
const mostDark = 6

func darkLetter(i int) string { return string(rune('A' + i)) }

func colourLetter(i int) string { return string(rune('a' + i)) }

// darkFrames returns the frames of the dark corners that are told, just inside the plan's own outline; those that do
// not lie in the plan are empty.
func (v view) darkFrames(corners []result.DarkCorner) (frames []style.Box) {
	for _, c := range corners[:min(len(corners), mostDark)] {
		b := v.area(c.FromXM, c.FromYM, c.ToXM, c.ToYM)
		if inside := b.Cut(v.frame.Grown(-2.5)); !inside.Empty() {
			b = inside
		}
		frames = append(frames, b)
	}
	return frames
}

func onEdge(frames []style.Box, b style.Box) bool {
	return slices.ContainsFunc(frames, func(f style.Box) bool { return f.Grown(1).Meets(b) && !f.Grown(-1).Contains(b) })
}

// drawDark puts its letter to each frame, into a corner of it, anywhere else inside, or close outside, and outlines all
// frames with dashed lines, which leave out what is written on them.
func (v view) drawDark(frames []style.Box, letter func(int) string, dash ...float64) {
	ways := slices.Concat(style.Corners, []style.Point{{}, style.Above, style.Below, style.Leftwards, style.Rightwards})
	for i, f := range frames {
		text := style.Text{Text: letter(i), Font: style.Font{SizePt: 14, Bold: true}}
		if forms := append(text.Around(f, -7, ways...), text.Around(f, 5, ways...)...); !f.Empty() {
			_ = v.put(forms, func(b style.Box) bool { return onEdge(frames, b) }) || v.put(forms, nil)
		}
	}
	for _, f := range frames {
		if !f.Empty() {
			v.Halo(f, 1.6, dash...)
			v.ClaimEdges(f)
		}
	}
}
