package style

import (
	"fmt"
	"image/color"
)

// Anchor says which place of a text's box stands at the point that is given: X 0 left, 0.5 middle, 1 right; Y 0 top,
// 0.5 the middle of the capitals, 1 bottom.
type Anchor struct{ X, Y float64 }

// The anchors that are used most.
var (
	TopLeft      = Anchor{X: 0, Y: 0}
	TopMiddle    = Anchor{X: 0.5, Y: 0}
	TopRight     = Anchor{X: 1, Y: 0}
	MiddleLeft   = Anchor{X: 0, Y: 0.5}
	Middle       = Anchor{X: 0.5, Y: 0.5}
	MiddleRight  = Anchor{X: 1, Y: 0.5}
	BottomMiddle = Anchor{X: 0.5, Y: 1}
	BottomLeft   = Anchor{X: 0, Y: 1}
)

// Text is a line of text at a place.
type Text struct {
	Text   string
	At     Point
	Anchor Anchor
	Font   Font
	Colour color.NRGBA // zero: Ink
}

// LineHeight returns the distance of base lines, in points.
func (f Font) LineHeight() float64 { return 1.35 * f.SizePt }

// CapHeight returns how high capitals and figures stand above the base line, in points.
func (f Font) CapHeight() float64 { return capShare * f.SizePt }

// Box returns where the text would stand.
func (t *Typesetter) Box(text Text) Box {
	w := t.Width(text.Text, text.Font)
	left := text.At.X - text.Anchor.X*w
	base := t.baseline(text)
	return Box{Left: left, Right: left + w, Top: base - capShare*text.Font.SizePt, Bottom: base +
		descentShare*text.Font.SizePt}
}

func (t *Typesetter) baseline(text Text) float64 {
	size := text.Font.SizePt
	switch text.Anchor.Y {
	case 0.5:
		return text.At.Y + capShare/2*size
	default:
		return text.At.Y + capShare*size - text.Anchor.Y*(capShare+descentShare)*size
	}
}

// Write draws the text and claims its box.
func (c *Canvas) Write(text Text) {
	box := c.Box(text)
	s := c.Clean(text.Text, text.Font)
	if s == "" {
		return
	}
	if text.Colour == (color.NRGBA{}) {
		text.Colour = Ink
	}
	letters := Letters{Text: s, At: Point{X: box.Left, Y: c.baseline(text)}, Size: text.Font.SizePt, Width: box.Width(),
		Bold: text.Font.Bold, Colour: text.Colour}
	c.put(func(on Surface) { on.Set(letters) })
	c.texts = append(c.texts, Placed{Text: s, Box: box})
	c.Claim(box)
}

// TryWrite draws the text where it Fits with a margin of two points around it, and tells whether it did.
func (c *Canvas) TryWrite(text Text) bool {
	if !c.Fits(c.Box(text).Grown(2)) {
		return false
	}
	c.Write(text)
	return true
}

// Fits is the layout guard: it tells whether b lies wholly on the page and touches nothing that is claimed.
func (c *Canvas) Fits(b Box) bool {
	if !c.page.Contains(b) {
		return false
	}
	for _, claim := range c.claims {
		if claim.Meets(b) {
			return false
		}
	}
	return true
}

// Claim marks b as taken: texts that ask Fits keep off it.
func (c *Canvas) Claim(b Box) { c.claims = append(c.claims, b) }

// ClaimEdges marks the four edges of b as taken, but not its inside.
func (c *Canvas) ClaimEdges(b Box) {
	const d = 1
	c.claims = append(c.claims,
		Box{Left: b.Left - d, Top: b.Top - d, Right: b.Right + d, Bottom: b.Top + d},
		Box{Left: b.Left - d, Top: b.Bottom - d, Right: b.Right + d, Bottom: b.Bottom + d},
		Box{Left: b.Left - d, Top: b.Top, Right: b.Left + d, Bottom: b.Bottom},
		Box{Left: b.Right - d, Top: b.Top, Right: b.Right + d, Bottom: b.Bottom})
}

// Thinned returns every label, or where two of those would meet every other one, or the first with every fifth, tenth
// and so on, until none meet. Labels without text count but are left out.
func (t *Typesetter) Thinned(labels []Text) []Text {
	var kept []Text
	for _, every := range []int{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		kept = kept[:0]
		for i, l := range labels {
			if l.Text != "" && (i == 0 || (i+1)%every == 0 && every != 2 || every == 2 && i%2 == 0) {
				kept = append(kept, l)
			}
		}
		if !t.collide(kept) {
			break
		}
	}
	return kept
}

// collide tells whether two of the labels meet, with a margin of two points around each.
func (t *Typesetter) collide(labels []Text) bool {
	boxes := make([]Box, len(labels))
	for i, l := range labels {
		boxes[i] = t.Box(l).Grown(2)
		for _, b := range boxes[:i] {
			if b.Meets(boxes[i]) {
				return true
			}
		}
	}
	return false
}

// Collisions names the texts that leave the page or meet another text; a page that is laid out well has none.
func (c *Canvas) Collisions() []string {
	var faults []string
	for i, a := range c.texts {
		if !c.page.Contains(a.Box) {
			faults = append(faults, fmt.Sprintf("%q leaves the page", a.Text))
		}
		for _, b := range c.texts[:i] {
			if a.Box.Meets(b.Box) {
				faults = append(faults, fmt.Sprintf("%q and %q meet", a.Text, b.Text))
			}
		}
	}
	return faults
}
