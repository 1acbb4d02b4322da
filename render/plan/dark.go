package plan

import (
	"fathomlux/optics/result"
	"fathomlux/render/style"
)

// mostDark is how many dark corners are told in words and outlined; more are counted.
const mostDark = 6

// darkFrame is the frame of a dark corner.
type darkFrame struct {
	box    style.Box
	letter string
}

// darkFrames returns the frames of the dark corners that are told, those that lie in the plan, just inside the plan's
// own outline.
func (v view) darkFrames(corners []result.DarkCorner) (frames []darkFrame) {
	for i, c := range corners[:min(len(corners), mostDark)] {
		b := v.area(c.FromXM, c.FromYM, c.ToXM, c.ToYM)
		if inside := b.Cut(v.frame.Grown(-2.5)); !inside.Empty() {
			b = inside
		}
		if !b.Empty() {
			frames = append(frames, darkFrame{b, darkLetter(i)})
		}
	}
	return frames
}

func darkLetter(i int) string { return string(rune('A' + i)) }

// onDark tells whether b lies on the outline of a frame.
func onDark(frames []darkFrame, b style.Box) bool {
	for _, f := range frames {
		if f.box.Grown(1).Meets(b) && !f.box.Grown(-1).Contains(b) {
			return true
		}
	}
	return false
}

// letterDark puts its letter to each frame: into a corner of it, anywhere else inside, or close outside.
func (v view) letterDark(frames []darkFrame) {
	for _, f := range frames {
		text := style.Text{Text: f.letter, Font: style.Font{SizePt: 14, Bold: true}}
		if spots := letterSpots(f.box); !v.put(text, spots, func(b style.Box) bool { return onDark(frames, b) }) {
			v.put(text, spots, nil)
		}
	}
}

// letterSpots returns where the letter of a frame may stand, the best first: its corners, its middle, then along its
// edges, inside and outside.
func letterSpots(b style.Box) []spot {
	const in, out, step = 7.0, 5.0, 6.0
	spots := []spot{
		{style.Pt(b.Left+in, b.Top+in), style.TopLeft}, {style.Pt(b.Right-in, b.Top+in), style.TopRight},
		{style.Pt(b.Left+in, b.Bottom-in), style.BottomLeft}, {style.Pt(b.Right-in, b.Bottom-in), bottomRight},
		{b.Centre(), style.Middle},
	}
	for _, off := range []float64{in, -out} { // inside, outside
		top, low := style.Anchor{X: 0.5}, style.Anchor{X: 0.5, Y: 1}
		left, right := style.MiddleLeft, style.MiddleRight
		if off < 0 {
			top, low, left, right = low, top, right, left
		}
		for x := b.Left + in; x < b.Right-in; x += step {
			spots = append(spots, spot{style.Pt(x, b.Top+off), top}, spot{style.Pt(x, b.Bottom-off), low})
		}
		for y := b.Top + in; y < b.Bottom-in; y += step {
			spots = append(spots, spot{style.Pt(b.Left+off, y), left}, spot{style.Pt(b.Right-off, y), right})
		}
	}
	return spots
}

// drawDark outlines the dark corners with dashed lines, which leave out what is written on them.
func (v view) drawDark(frames []darkFrame) {
	for _, f := range frames {
		v.DashedHalo(f.box, 1.6, 7, 5)
		v.ClaimEdges(f.box)
	}
}
