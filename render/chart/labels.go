package chart

import (
	"fmt"
	"math"
	"sort"

	"fathomlux/render/style"
)

// labelWide is the widest label of a mark, in points.
const labelWide = 260.0

// labels writes the labels of the points that matter: the scene's own, the frontier, and all where they are few. A label
// that finds no place is left out, but for the scene's own. Points at one place share a label.
func (s Scatter) labels(a *axes) {
	s.claimMarks(a)
	var list []Point
	for _, p := range s.Points {
		if p.Own && p.Label == "" {
			p.Label = "this scene"
		}
		if p.Label != "" && (p.rank() > 0 || len(s.Points) <= fewPoints) {
			list = append(list, p)
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return importance(list[i]) > importance(list[j]) })
	for _, p := range together(list) {
		font := style.LabelFont
		font.Bold = p.Own
		text := style.Text{Text: a.page.Shorten(p.Label, font, labelWide), Font: font}
		at, radius := a.place(p.X, p.Y), float64(s.glyph(p).Radius)
		if !a.beside(text, at, radius) && p.Own {
			a.chip(text, at, radius)
		}
	}
}

// importance orders labels: the scene's own, then points of the frontier that meet the goal, then the frontier.
func importance(p Point) int {
	n := 4 * p.rank()
	if p.Met {
		n += 2
	}
	return n
}

// together joins points at the same place; the first one's label says how many more there are.
func together(list []Point) []Point {
	type place struct{ x, y float64 }
	first, more := map[place]int{}, map[int]int{}
	var kept []Point
	for _, p := range list {
		at := place{p.X, p.Y}
		if i, ok := first[at]; ok {
			more[i]++
			continue
		}
		first[at] = len(kept)
		kept = append(kept, p)
	}
	for i := range kept {
		if n := more[i]; n > 0 {
			kept[i].Label = fmt.Sprintf("%s and %d more", kept[i].Label, n)
		}
	}
	return kept
}

// claimMarks marks the places of the points, the frontier and the goal lines as taken.
func (s Scatter) claimMarks(a *axes) {
	for _, p := range s.Points {
		at, r := a.place(p.X, p.Y), float64(s.glyph(p).Radius)
		a.page.Claim(style.Box{Left: at.X, Right: at.X, Top: at.Y, Bottom: at.Y}.Grown(r))
	}
	front := s.front()
	for i := 1; i < len(front); i++ {
		p, q := a.place(front[i-1].X, front[i-1].Y), a.place(front[i].X, front[i].Y)
		a.page.Claim(style.Box{Left: p.X, Right: p.X, Top: math.Min(p.Y, q.Y), Bottom: math.Max(p.Y, q.Y)}.Grown(1))
		a.page.Claim(style.Box{Left: p.X, Right: q.X, Top: q.Y, Bottom: q.Y}.Grown(1))
	}
	if s.GoalX > 0 {
		x := a.place(s.GoalX, 0).X
		a.page.Claim(style.Box{Left: x - 1, Right: x + 1, Top: a.frame.Top, Bottom: a.frame.Bottom})
	}
	if s.GoalY > 0 {
		y := a.place(0, s.GoalY).Y
		a.page.Claim(style.Box{Left: a.frame.Left, Right: a.frame.Right, Top: y - 1, Bottom: y + 1})
	}
}

// ways are the sides of a mark where its label may stand, the best first.
var ways = [8][2]float64{{1, 0}, {-1, 0}, {1, -1}, {-1, -1}, {1, 1}, {-1, 1}, {0, -1}, {0, 1}}

// sideways returns the text where it stands off a mark on one side.
func sideways(text style.Text, at style.Point, way [2]float64, off float64) style.Text {
	if way[0] != 0 && way[1] != 0 {
		off *= 0.75
	}
	text.At = style.Pt(at.X+way[0]*off, at.Y+way[1]*off)
	text.Anchor = style.Anchor{X: (1 - way[0]) / 2, Y: (1 - way[1]) / 2}
	return text
}

// beside writes a label next to a mark, inside the frame and off all that is claimed: to the right, to the left,
// aslant, above, below, then farther off with a leader. It tells whether there was a place.
func (a *axes) beside(text style.Text, at style.Point, radiusPt float64) bool {
	for _, far := range []float64{5, 16, 30} {
		for _, way := range ways {
			text = sideways(text, at, way, radiusPt+far)
			if !a.frame.Contains(a.page.Box(text).Grown(2)) {
				continue
			}
			near := (radiusPt + 1) / (radiusPt + far)
			from := style.Pt(at.X+(text.At.X-at.X)*near, at.Y+(text.At.Y-at.Y)*near)
			if far > 5 && a.crossesText(from, text.At) || !a.page.TryWrite(text) {
				continue
			}
			if far > 5 {
				a.leader(from, text.At)
			}
			return true
		}
	}
	return false
}

// crossesText tells whether a line runs through a text.
func (a *axes) crossesText(from, to style.Point) bool {
	for _, t := range a.page.Texts() {
		if _, _, ok := style.ClipLine(from, to, t.Box.Grown(2)); ok {
			return true
		}
	}
	return false
}

// leader draws a thin line from a mark to its label and claims the places along it.
func (a *axes) leader(from, to style.Point) {
	a.page.Polyline([]style.Point{from, to}, style.Pen{Width: 1, Colour: style.SoftInk})
	const steps = 8
	for k := range steps + 1 {
		t := float64(k) / steps
		p := style.Pt(from.X+t*(to.X-from.X), from.Y+t*(to.Y-from.Y))
		a.page.Claim(style.Box{Left: p.X, Right: p.X, Top: p.Y, Bottom: p.Y}.Grown(2))
	}
}

// chipPad is the paper around a text on a chip, in points.
const chipPad = 3.0

// chip writes a name beside a mark on a small piece of paper, over whatever is drawn there but texts. It is left out
// where the frame has no place for it.
func (a *axes) chip(text style.Text, at style.Point, radiusPt float64) {
	for _, way := range ways {
		text = sideways(text, at, way, radiusPt+4+2*chipPad)
		box := a.page.Box(text).Grown(chipPad)
		if a.frame.Contains(box) && a.freeOfTexts(box) {
			a.page.FillBox(box, style.Paper)
			a.page.Write(text)
			a.page.Claim(box)
			return
		}
	}
}

func (a *axes) freeOfTexts(box style.Box) bool {
	for _, t := range a.page.Texts() {
		if t.Box.Meets(box) {
			return false
		}
	}
	return true
}
