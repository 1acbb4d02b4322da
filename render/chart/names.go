package chart

import (
	"math"
	"sort"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// ending is a name at the right edge of the frame, and where on the page its line ends.
type ending struct {
	text string
	at   style.Point
	pen  style.Pen
}

// names returns what stands at the right edge when every line has its name there.
func (l Lines) names() []string {
	var names []string
	for _, line := range l.Lines {
		if line.Name != "" && len(runs(line.X, line.Y)) > 0 {
			names = append(names, line.Name)
		}
	}
	for _, limit := range l.Limits {
		if limit.Label != "" {
			names = append(names, limit.Label)
		}
	}
	return names
}

// margin returns the room right of the frame that the names need.
func (l Lines) margin(c *style.Canvas, direct bool) float64 {
	widest := 0.0
	for i, name := range l.names() {
		if direct || i >= len(l.names())-l.labelled() {
			widest = math.Max(widest, c.Width(name, style.LabelFont))
		}
	}
	if widest == 0 {
		return 20
	}
	return math.Min(widest, widestMargin-nameLead) + nameLead + 2
}

// labelled returns the number of limits with a label.
func (l Lines) labelled() int {
	n := 0
	for _, limit := range l.Limits {
		if limit.Label != "" {
			n++
		}
	}
	return n
}

// writeNames writes the names of limits, and of lines where direct, beside the frame.
func (l Lines) writeNames(a *axes, frame style.Box, direct bool) {
	var list []ending
	for i, line := range l.Lines {
		parts := runs(line.X, line.Y)
		if line.Name == "" || len(parts) == 0 || !direct {
			continue
		}
		run := parts[len(parts)-1]
		end := run[len(run)-1]
		look := lookOf(i)
		list = append(list, ending{text: line.Name, at: a.place(end.X, end.Y), pen: style.Pen{Width: 1.2, Colour: look.colour}})
	}
	for _, limit := range l.Limits {
		if limit.Label != "" && finite(limit.Y) {
			at := a.place(a.plot.X.Max, limit.Y)
			list = append(list, ending{text: limit.Label, at: at, pen: style.Pen{Width: 1.2, Colour: style.Ink}})
		}
	}
	a.endings(list, frame)
}

// endings writes names right of the frame, moved apart where they would meet, each with a leader to its line's end.
func (a *axes) endings(list []ending, frame style.Box) {
	sort.SliceStable(list, func(i, j int) bool { return list[i].at.Y < list[j].at.Y })
	wanted := make([]float64, len(list))
	for i, e := range list {
		wanted[i] = e.at.Y
	}
	room := a.page.Page().Right - fig.Margin - frame.Right - nameLead
	for i, y := range fig.Spread(wanted, nameGap, frame.Top-axisLabelRoom, frame.Bottom+20) {
		e := list[i]
		if e.at.X < frame.Right-1 {
			pen := e.pen
			pen.Width, pen.Dash = 1, []float64{1.5, 3}
			a.page.Polyline([]style.Point{e.at, {X: frame.Right, Y: e.at.Y}}, pen)
		}
		x := frame.Right
		a.page.Polyline([]style.Point{{X: x, Y: e.at.Y}, {X: x + 6, Y: e.at.Y}, {X: x + nameLead - 10, Y: y}, {X: x + nameLead - 5, Y: y}}, e.pen)
		a.page.Write(style.Text{
			Text: a.page.Shorten(e.text, style.LabelFont, math.Min(room, widestMargin-nameLead)), Font: style.LabelFont,
			At: style.Pt(frame.Right+nameLead, y), Anchor: style.MiddleLeft, Colour: e.pen.Colour,
		})
	}
}
