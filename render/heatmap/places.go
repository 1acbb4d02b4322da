package heatmap

import (
	"fathomlux/optics/result"
	"fathomlux/render/style"
)

// spot is a place where a label may stand.
type spot struct {
	at     style.Point
	anchor style.Anchor
}

// crossing says whether a label may stand on the frames of dark corners, which are then broken there.
type crossing bool

const (
	off  crossing = false
	over crossing = true
)

var bottomRight = style.Anchor{X: 1, Y: 1}

// put writes a label at the first spot where there is room, and tells whether there was.
func (d drawing) put(text style.Text, spots []spot, frames crossing) bool {
	for _, s := range spots {
		text.At, text.Anchor = s.at, s.anchor
		if (frames == over || !d.onDark(d.Box(text).Grown(2))) && d.label(text) {
			return true
		}
	}
	return false
}

// darkFrame is the frame of a dark corner.
type darkFrame struct {
	box    style.Box
	letter string
}

// darkFrames returns the frames of the dark corners that are told, those that lie in the plan.
func (d drawing) darkFrames() []darkFrame {
	var frames []darkFrame
	for i, corner := range d.Dark[:min(len(d.Dark), mostDark)] {
		if b := d.darkBox(corner); !b.Empty() {
			frames = append(frames, darkFrame{b, darkLetter(i)})
		}
	}
	return frames
}

// darkBox returns where a dark corner is framed, just inside the plan's own outline.
func (d drawing) darkBox(corner result.DarkCorner) style.Box {
	b := d.floor().Area(corner.FromXM, corner.FromYM, corner.ToXM, corner.ToYM)
	if inside := b.Cut(d.frame.Grown(-2.5)); !inside.Empty() {
		return inside
	}
	return b
}

// onDark tells whether b lies on the outline of a frame.
func (d drawing) onDark(b style.Box) bool {
	for _, f := range d.dark {
		if f.box.Grown(1).Meets(b) && !f.box.Grown(-1).Contains(b) {
			return true
		}
	}
	return false
}

// drawDark outlines the dark corners with dashed lines, which leave out what is written on them.
func (d drawing) drawDark() {
	for _, f := range d.dark {
		d.DashedHalo(f.box, 1.6, 7, 5)
		d.ClaimEdges(f.box)
	}
}

// letterDark puts its letter to each frame: into a corner of it, anywhere else inside, or close outside.
func (d drawing) letterDark() {
	for _, f := range d.dark {
		text := style.Text{Text: f.letter, Font: style.Font{SizePt: 14, Bold: true}}
		if spots := letterSpots(f.box); !d.put(text, spots, off) {
			d.put(text, spots, over)
		}
	}
}

// letterSpots returns where the letter of a frame may stand, the best first.
func letterSpots(b style.Box) []spot {
	const in, out, step = 7.0, 5.0, 6.0
	middle := b.Centre()
	spots := []spot{
		{style.Pt(b.Left+in, b.Top+in), style.TopLeft}, {style.Pt(b.Right-in, b.Top+in), style.TopRight},
		{style.Pt(b.Left+in, b.Bottom-in), style.BottomLeft}, {style.Pt(b.Right-in, b.Bottom-in), bottomRight},
		{middle, style.Middle},
		{style.Pt(middle.X, b.Top-out), style.BottomMiddle}, {style.Pt(middle.X, b.Bottom+out), style.TopMiddle},
	}
	for x := b.Left + in; x < b.Right-in; x += step {
		spots = append(spots, spot{style.Pt(x, b.Top+in), style.TopMiddle}, spot{style.Pt(x, b.Bottom-in), style.BottomMiddle})
	}
	for y := b.Top + in; y < b.Bottom-in; y += step {
		spots = append(spots, spot{style.Pt(b.Left+in, y), style.MiddleLeft}, spot{style.Pt(b.Right-in, y), style.MiddleRight}, spot{style.Pt(middle.X, y), style.Middle})
	}
	for y := b.Top; y < b.Bottom; y += step {
		spots = append(spots, spot{style.Pt(b.Left-out, y), style.MiddleRight}, spot{style.Pt(b.Right+out, y), style.MiddleLeft})
	}
	for x := b.Left; x < b.Right; x += step {
		spots = append(spots, spot{style.Pt(x, b.Top-out), style.BottomMiddle}, spot{style.Pt(x, b.Bottom+out), style.TopMiddle})
	}
	return spots
}
