package diagram

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// Pens, in points.
const (
	wireWidth   = 2.0
	symbolWidth = 1.6
	busWidth    = 2.4
	dotRadius   = 3.4
)

var railGround = color.NRGBA{R: 241, G: 242, B: 240, A: 255}

func (p *panel) drawOn(c *style.Canvas, y float64) {
	p.canvas, p.top = c, y
	p.driver()
	s := p.Chosen.Split
	when := "in operation"
	if p.Level < 1 {
		when = fmt.Sprintf("at full light (the scene has channel %s at %.4g %%)", p.Channel, 100*p.Level)
	}
	total := fmt.Sprintf("%s: %.1f V, %.0f mA, %.1f W %s, %.1f V when switched on cold",
		s.Shape().Words(p.units), p.Sharing.VoltageV, 1000*s.DriverA, s.LoadW, when, s.HighestV)
	p.write(style.Text{Text: p.set.Shorten(total, style.TextFont, fig.PageWidth-fig.Margin-riserStart),
		At: style.Pt(riserStart, y+2), Anchor: style.TopLeft, Font: style.TextFont})
	for _, b := range p.bands {
		p.ground(b)
	}
	p.bus(plusBus, plusTerminal, laneLine, func(l lane) bool { return l.first })
	p.bus(minusBus, lessTerminal, laneBack, func(l lane) bool { return l.last })
	leaves := map[int]float64{} // where strings leave the rail before
	for _, l := range p.lanes {
		p.lane(l)
		if !l.first {
			p.trace(p.pen(l), style.Pt(l.riser, leaves[l.index]), style.Pt(l.riser, y+l.top+laneLine))
		}
		leaves[l.index] = y + l.top + laneBack
	}
}

// trace draws a line through places as seen from the driver.
func (p *panel) trace(pen style.Pen, places ...style.Point) {
	for i, at := range places {
		places[i] = p.point(at.X, at.Y)
	}
	p.canvas.Polyline(places, pen)
}

// write writes a text whose place and anchor are as seen from the driver.
func (p *panel) write(t style.Text) {
	t.At = p.point(t.At.X, t.At.Y)
	if p.Job.Feed.Right {
		t.Anchor.X = 1 - t.Anchor.X
	}
	p.canvas.Write(t)
}

func (p *panel) sign(text string, at style.Point, sizePt float64, colour color.NRGBA) {
	p.write(style.Text{Text: text, At: at, Anchor: style.Middle, Font: style.Font{SizePt: sizePt, Bold: true},
		Colour: colour})
}

const minus = "\u2212"

// driver draws the driver's box: the current source with its two terminals, mains at the other side, name and facts.
func (p *panel) driver() {
	ink := style.Pen{Width: symbolWidth, Colour: style.Ink}
	const left, right, middle, radius = fig.Margin, fig.Margin + driverWide, fig.Margin + 124, 13.0
	plus, less, centre := p.top+plusTerminal, p.top+lessTerminal, p.top+(plusTerminal+lessTerminal)/2
	bottom := p.top + p.driverHeight()
	p.trace(ink, style.Pt(left, p.top), style.Pt(right, p.top), style.Pt(right, bottom), style.Pt(left, bottom),
		style.Pt(left, p.top))
	p.canvas.Ring(p.point(middle, centre), radius, ink)
	p.trace(ink, style.Pt(middle-radius, centre), style.Pt(middle+radius, centre))
	p.trace(ink, style.Pt(middle, centre-radius), style.Pt(middle, plus), style.Pt(right, plus))
	p.trace(ink, style.Pt(middle, centre+radius), style.Pt(middle, less), style.Pt(right, less))
	arrow(p.canvas, p.point(middle-24, centre+13), p.point(middle-24, centre-13), ink)
	p.sign("+", style.Pt(right-10, plus-10), 16, style.Ink)
	p.sign(minus, style.Pt(right-10, less+10), 16, style.Ink)
	p.write(style.Text{Text: "mains ~", At: style.Pt(left+36, centre), Anchor: style.Middle, Font: style.SmallFont,
		Colour: style.SoftInk})
	at, font := style.Pt(left+driverWide/2, p.top+driverFacts), nameFont
	for _, line := range append([]string{p.name}, p.facts...) {
		p.write(style.Text{Text: line, At: at, Anchor: style.TopMiddle, Font: font})
		at.Y += font.LineHeight()
		font = style.SmallFont
	}
}

// ground draws a rail to scale with its name, a thin line at each module, numbers above and distances below.
func (p *panel) ground(b band) {
	rail, stops := p.rails[b.rail], slices.Clone(b.stops)
	slices.SortStableFunc(stops, func(a, b parts.Mounted) int { return cmp.Compare(a.AlongM, b.AlongM) })
	edge := func(alongM float64) float64 { return p.point(p.x(parts.Mounted{Rail: b.rail, AlongM: alongM}), 0).X }
	box := style.Box{Left: edge(0), Right: edge(rail.LengthM), Top: p.top + b.head - 2,
		Bottom: p.top + b.under + 2}
	p.canvas.FillBox(box, railGround)
	p.canvas.StrokeBox(box, style.Pen{Width: 1, Colour: style.Rule})
	name := style.Font{SizePt: style.SmallFont.SizePt, Bold: true}
	text := scene.RailWord(rail.Name) + ", " + p.units.Length(rail.LengthM)
	head, anchor := style.Pt(box.Left, p.top+b.top+4), style.TopLeft
	if p.set.Width(text, name) > fig.PageWidth-fig.Margin-box.Left { // a short rail at the right end
		head.X, anchor = box.Right, style.TopRight
	}
	p.canvas.Write(style.Text{Text: p.set.Shorten(text, name, fig.PageWidth/2), At: head, Anchor: anchor, Font: name})
	var numbers, places []style.Text
	guide := math.Inf(-1)
	for _, m := range stops {
		x := edge(m.AlongM)
		if math.Abs(x-guide) >= guideGap {
			guide = x
			p.canvas.Line(style.Pt(x, box.Top), style.Pt(x, box.Bottom), style.Pen{Width: 1, Colour: style.Rule})
		}
		label := style.Text{Text: strconv.Itoa(m.Number), At: style.Pt(x, box.Top-4), Anchor: style.BottomMiddle,
			Font: style.LabelFont, Colour: style.SoftInk}
		numbers = append(numbers, label)
		label.Text, label.At.Y, label.Anchor = p.units.Figure(m.AlongM), box.Bottom+5, style.TopMiddle
		places = append(places, label)
	}
	p.labels(numbers, "no.", box)
	p.labels(places, p.units.Name(), box)
}

// labels writes a row of labels, as many as have room, with the row's unit on the driver's side.
func (p *panel) labels(row []style.Text, unit string, rail style.Box) {
	row = p.set.Thinned(row)
	for i := range row {
		half := p.set.Width(row[i].Text, row[i].Font) / 2
		row[i].At.X = math.Min(math.Max(row[i].At.X, fig.Margin+half), fig.PageWidth-fig.Margin-half)
		p.canvas.Write(row[i])
	}
	side := row[0]
	side.Text, side.At.X, side.Anchor.X = unit, rail.Left-8, 1
	if p.Job.Feed.Right {
		side.At.X, side.Anchor.X = rail.Right+8, 0
	}
	if !slices.ContainsFunc(row, func(t style.Text) bool { return p.set.Box(t).Grown(3).Meets(p.set.Box(side)) }) {
		p.canvas.Write(side)
	}
}

// bus draws a line that all strings share, from one of the driver's terminals, with a dot for each lane that hangs on
// it, so many points below its top.
func (p *panel) bus(x, terminal, offset float64, hangs func(lane) bool) {
	pen := style.Pen{Width: busWidth, Colour: style.Ink}
	start := p.top + terminal
	low, high := start, start
	for _, l := range p.lanes {
		if at := p.top + l.top + offset; hangs(l) {
			low, high = math.Min(low, at), math.Max(high, at)
			p.canvas.Dot(p.point(x, at), dotRadius, style.Ink)
		}
	}
	p.trace(pen, style.Pt(fig.Margin+driverWide, start), style.Pt(x, start))
	p.trace(pen, style.Pt(x, low-busWidth/2), style.Pt(x, high+busWidth/2))
}

func (p *panel) pen(l lane) style.Pen { return style.SeriesPen(p.Number(l.index)-1, wireWidth) }

// lane draws a string on one rail: out along the upper line, back along the lower one, with its symbols and its label.
func (p *panel) lane(l lane) {
	pen := p.pen(l)
	y, back := p.top+l.top+laneLine, p.top+l.top+laneBack
	from, to := l.riser, l.riser
	label := fmt.Sprintf("string %d", p.Number(l.index))
	if l.last {
		to = minusBus
	}
	if l.first {
		from = plusBus
		label += fmt.Sprintf(": %.1f V, %.0f mA", p.Sharing.VoltageV, 1000*p.Sharing.CurrentA[l.index])
	} else {
		label += ", continued"
	}
	end := math.Min(p.x(l.stops[len(l.stops)-1])+largestLED, fig.PageWidth-fig.Margin)
	p.trace(pen, style.Pt(from, y), style.Pt(end, y), style.Pt(end, back), style.Pt(to, back))
	if fuse := p.Guard.FuseName(); fuse != "" && l.first {
		p.fuse(style.Pt(p.railsLeft()-signRoom-gutterWide+6, y), fuse, style.Pen{Width: symbolWidth, Colour: pen.Colour})
	}
	for _, m := range l.stops {
		p.diode(style.Pt(p.x(m), y), l.sizePt, pen.Colour, max(slices.Index(p.kinds, m.Part.Name), 0))
	}
	font := style.Font{SizePt: style.LabelFont.SizePt, Bold: true}
	p.write(style.Text{Text: p.set.Shorten(label, font, gutterWide-14), Anchor: style.BottomLeft, Font: font,
		At: style.Pt(p.railsLeft()-signRoom-gutterWide+6, y-5), Colour: pen.Colour})
	p.sign("+", style.Pt(p.railsLeft()-13, y-9), 15, pen.Colour)
	p.sign(minus, style.Pt(p.railsLeft()-13, back-9), 15, pen.Colour)
}

// fuse draws a fuse on a string's upper line, with its rating below.
func (p *panel) fuse(at style.Point, rating string, pen style.Pen) {
	const wide, half = 24.0, 3.5
	p.trace(pen, style.Pt(at.X, at.Y-half), style.Pt(at.X+wide, at.Y-half), style.Pt(at.X+wide, at.Y+half),
		style.Pt(at.X, at.Y+half), style.Pt(at.X, at.Y-half))
	p.write(style.Text{Text: "fuse " + rating, At: style.Pt(at.X+wide+6, at.Y+1), Anchor: style.TopLeft,
		Font: style.LabelFont, Colour: pen.Colour})
}

// diode draws a light-emitting diode around a place on its line: the triangle points away from plus, two arrows leave
// it. kind tells kinds of light apart; see symbolWords.
func (p *panel) diode(at style.Point, size float64, colour color.NRGBA, kind int) {
	pen := style.Pen{Width: math.Min(symbolWidth, size/6), Colour: colour}
	near := func(x, y float64) style.Point { return p.point(at.X+size*x, at.Y+size*y) }
	body := []style.Point{near(-0.5, -0.5), near(0.5, 0), near(-0.5, 0.5)}
	kind %= len(symbolWords)
	p.canvas.Polygon(body, map[bool]color.NRGBA{true: colour, false: style.Paper}[kind == 1])
	p.canvas.Polyline(append(body, body[0], body[1]), pen)
	p.canvas.Line(near(0.5, -0.5), near(0.5, 0.5), pen)
	switch kind {
	case 2:
		p.canvas.Ring(at, size*0.75, style.Pen{Width: pen.Width * 0.75, Colour: colour})
	case 3:
		p.canvas.Line(near(-0.5, 0.62), near(0.5, 0.62), pen)
	}
	pen.Width *= 0.75
	for _, shift := range []float64{-0.1, 0.4} {
		arrow(p.canvas, near(shift, -0.62), near(shift+0.45, -1.15), pen)
	}
}

func arrow(c *style.Canvas, from, to style.Point, pen style.Pen) {
	length, head := math.Hypot(to.X-from.X, to.Y-from.Y), math.Max(3, 3*pen.Width)
	ux, uy := (to.X-from.X)/length, (to.Y-from.Y)/length
	neck := style.Pt(to.X-head*ux, to.Y-head*uy)
	c.Polyline([]style.Point{from, neck}, pen)
	c.Polygon([]style.Point{to, {X: neck.X - head/2*uy, Y: neck.Y + head/2*ux},
		{X: neck.X + head/2*uy, Y: neck.Y - head/2*ux}}, pen.Colour)
}
