package diagram

import (
	"image/color"
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Pens, in points.
const (
	wireWidth   = 2.0
	symbolWidth = 1.6
	busWidth    = 2.4
	dotRadius   = 3.4
)

// railGround is the ground of a rail.
var railGround = color.NRGBA{R: 241, G: 242, B: 240, A: 255}

// drawOn draws the panel with its top at y.
func (p *panel) drawOn(s *style.Canvas, y float64) {
	p.driver(s, y)
	s.Write(style.Text{Text: p.set.Shorten(p.feed.Total, style.TextFont, fig.PageWidth-fig.Margin-riserStart),
		At: p.point(riserStart, y+2), Anchor: p.away(style.TopLeft), Font: style.TextFont})
	tops := p.tops(y)
	for i, b := range p.bands {
		p.ground(s, b, tops[i])
	}
	p.buses(s, tops, y)
	for i, b := range p.bands {
		for k, l := range b.lanes {
			p.lane(s, b.rail, l, p.laneTop(tops[i], k))
		}
	}
	p.goOn(s, tops)
}

// tops returns the tops of the bands.
func (p *panel) tops(y float64) []float64 {
	var all []float64
	y += totalRow
	for _, b := range p.bands {
		all = append(all, y)
		y += b.height() + bandGap
	}
	return all
}

func (p *panel) laneTop(bandTop float64, k int) float64 {
	return bandTop + headRow + numberRow + float64(k)*laneHigh
}

// driver draws the driver's box: the current source with its two terminals, mains at the other side, name and facts.
func (p *panel) driver(s *style.Canvas, y float64) {
	ink := style.Pen{Width: symbolWidth, Colour: style.Ink}
	a, b := p.point(fig.Margin, y), p.point(fig.Margin+driverWide, y+p.driverHeight())
	s.StrokeBox(style.Box{Left: math.Min(a.X, b.X), Right: math.Max(a.X, b.X), Top: a.Y, Bottom: b.Y}, ink)
	const middle, radius = fig.Margin + 124, 13.0
	centre := y + (plusTerminal+lessTerminal)/2
	right := fig.Margin + driverWide
	s.Ring(p.point(middle, centre), radius, ink)
	s.Line(p.point(middle-radius, centre), p.point(middle+radius, centre), ink)
	s.Polyline([]style.Point{p.point(middle, centre-radius), p.point(middle, y+plusTerminal),
		p.point(right, y+plusTerminal)}, ink)
	s.Polyline([]style.Point{p.point(middle, centre+radius), p.point(middle, y+lessTerminal),
		p.point(right, y+lessTerminal)}, ink)
	arrow(s, style.Pt(p.point(middle-24, 0).X, centre+13), style.Pt(p.point(middle-24, 0).X, centre-13), ink)
	bold := style.Font{SizePt: 16, Bold: true}
	s.Write(style.Text{Text: "+", At: p.point(right-10, y+plusTerminal-10), Anchor: style.Middle, Font: bold})
	s.Write(style.Text{Text: "\u2212", At: p.point(right-10, y+lessTerminal+10), Anchor: style.Middle, Font: bold})
	s.Write(style.Text{Text: "mains ~", At: p.point(fig.Margin+36, centre), Anchor: style.Middle, Font: style.SmallFont,
		Colour: style.SoftInk})
	at := p.point(fig.Margin+driverWide/2, y+driverFacts)
	name := style.Font{SizePt: style.TextFont.SizePt, Bold: true}
	s.Write(style.Text{Text: p.set.Shorten(p.feed.Driver, name, driverWide-16), At: at, Anchor: style.TopMiddle,
		Font: name})
	at.Y += name.LineHeight()
	for _, fact := range p.facts {
		s.Write(style.Text{Text: fact, At: at, Anchor: style.TopMiddle, Font: style.SmallFont})
		at.Y += style.SmallFont.LineHeight()
	}
}

// ground draws a rail to scale with its name, a thin line at each module, numbers above and distances below.
func (p *panel) ground(s *style.Canvas, b band, top float64) {
	rail := p.feed.Rails[b.rail]
	l, r := p.point(p.x(b.rail, 0), 0).X, p.point(p.x(b.rail, rail.LengthM), 0).X
	box := style.Box{Left: math.Min(l, r), Right: math.Max(l, r), Top: top + headRow + numberRow - 2, Bottom: top +
		headRow + numberRow + float64(len(b.lanes))*laneHigh + 2}
	s.FillBox(box, railGround)
	s.StrokeBox(box, style.Pen{Width: 1, Colour: style.Rule})
	name := style.Font{SizePt: style.SmallFont.SizePt, Bold: true}
	text := "rail " + rail.Name + ", " + p.units.Length(rail.LengthM)
	head := style.Pt(box.Left, top+4)
	anchor := style.TopLeft
	if room := fig.PageWidth - fig.Margin - box.Left; p.set.Width(text, name) > room { // a short rail at the right end
		head.X, anchor = box.Right, style.TopRight
	}
	s.Write(style.Text{Text: p.set.Shorten(text, name, fig.PageWidth/2), At: head, Anchor: anchor, Font: name})
	var numbers, places []style.Text
	guide := math.Inf(-1)
	for _, m := range b.byPlace() {
		at := style.Pt(p.point(p.x(b.rail, m.AlongM), 0).X, box.Top-4)
		if math.Abs(at.X-guide) >= closest/2 {
			guide = at.X
			s.Line(style.Pt(at.X, box.Top), style.Pt(at.X, box.Bottom), style.Pen{Width: 1, Colour: style.Rule})
		}
		numbers = append(numbers, style.Text{Text: m.Name, At: at, Anchor: style.BottomMiddle, Font: style.LabelFont,
			Colour: style.SoftInk})
		at.Y = box.Bottom + 5
		places = append(places, style.Text{Text: p.units.Figure(m.AlongM), At: at, Anchor: style.TopMiddle,
			Font: style.LabelFont, Colour: style.SoftInk})
	}
	p.labels(s, numbers, "no.", box)
	p.labels(s, places, p.units.Name(), box)
}

// labels writes a row of labels, as many as have room, with the row's unit on the driver's side.
func (p *panel) labels(s *style.Canvas, row []style.Text, unit string, rail style.Box) {
	row = p.set.Thinned(row)
	for i := range row {
		half := p.set.Width(row[i].Text, row[i].Font) / 2
		row[i].At.X = math.Min(math.Max(row[i].At.X, fig.Margin+half), fig.PageWidth-fig.Margin-half)
		s.Write(row[i])
	}
	if len(row) == 0 {
		return
	}
	side := style.Text{Text: unit, At: style.Pt(rail.Left-8, row[0].At.Y),
		Anchor: style.Anchor{X: 1, Y: row[0].Anchor.Y}, Font: style.LabelFont, Colour: style.SoftInk}
	if p.feed.Right {
		side.At.X, side.Anchor.X = rail.Right+8, 0
	}
	for _, other := range row {
		if p.set.Box(other).Grown(3).Meets(p.set.Box(side)) {
			return
		}
	}
	s.Write(side)
}

// buses draws the two lines that all strings share, from the driver's terminals.
func (p *panel) buses(s *style.Canvas, tops []float64, y float64) {
	pen := style.Pen{Width: busWidth, Colour: style.Ink}
	for _, one := range []struct {
		x, terminal, offset float64
		wanted              func(lane) bool
	}{{plusBus, plusTerminal, laneLine, func(l lane) bool { return l.first }},
		{minusBus, lessTerminal, laneBack, func(l lane) bool { return l.last }}} {
		low, high := y+one.terminal, y+one.terminal
		for i, b := range p.bands {
			for k, l := range b.lanes {
				if at := p.laneTop(tops[i], k) + one.offset; one.wanted(l) {
					low, high = math.Min(low, at), math.Max(high, at)
					s.Dot(p.point(one.x, at), dotRadius, style.Ink)
				}
			}
		}
		s.Line(p.point(fig.Margin+driverWide, y+one.terminal), p.point(one.x, y+one.terminal), pen)
		s.Line(p.point(one.x, low-busWidth/2), p.point(one.x, high+busWidth/2), pen)
	}
}

// lane draws a string on one rail: out along the upper line, back along the lower one, with its symbols and its label.
func (p *panel) lane(s *style.Canvas, rail int, l lane, top float64) {
	pen := style.SeriesPen(p.feed.Strings[l.index].Number-1, wireWidth)
	y, back := top+laneLine, top+laneBack
	from, to := p.riserX(l), p.riserX(l)
	if l.first {
		from = plusBus
	}
	if l.last {
		to = minusBus
	}
	end := p.x(rail, l.stops[len(l.stops)-1].AlongM) + largestLED
	end = math.Min(end, fig.PageWidth-fig.Margin)
	s.Polyline([]style.Point{p.point(from, y), p.point(end, y), p.point(end, back), p.point(to, back)}, pen)
	for _, m := range l.shown {
		p.diode(s, p.x(rail, m.AlongM), y, l.sizePt, pen.Colour)
	}
	one := p.feed.Strings[l.index]
	label, font := one.Label, style.Font{SizePt: style.LabelFont.SizePt, Bold: true}
	if !l.first {
		label = one.Short
	}
	gutter := p.railsLeft() - signRoom - gutterWide
	s.Write(style.Text{Text: p.set.Shorten(label, font, gutterWide-14), At: p.point(gutter+6, y-5),
		Anchor: p.away(style.BottomLeft), Font: font, Colour: pen.Colour})
	sign := style.Font{SizePt: 15, Bold: true}
	s.Write(style.Text{Text: "+", At: p.point(p.railsLeft()-13, y-9), Anchor: style.Middle, Font: sign,
		Colour: pen.Colour})
	s.Write(style.Text{Text: "\u2212", At: p.point(p.railsLeft()-13, back-9), Anchor: style.Middle, Font: sign,
		Colour: pen.Colour})
}

func (p *panel) riserX(l lane) float64 { return riserStart + float64(l.riser)*riserStep }

// goOn draws the lines of strings from one rail to the next.
func (p *panel) goOn(s *style.Canvas, tops []float64) {
	leaves := map[int]float64{}
	for i, b := range p.bands {
		for k, l := range b.lanes {
			top := p.laneTop(tops[i], k)
			if !l.first {
				x := p.riserX(l)
				s.Line(p.point(x, leaves[l.index]), p.point(x, top+laneLine), style.SeriesPen(p.feed.Strings[l.index].Number-1,
					wireWidth))
			}
			leaves[l.index] = top + laneBack
		}
	}
}

// diode draws a light-emitting diode around a place on its line: the triangle points away from plus, two arrows leave
// it.
func (p *panel) diode(s *style.Canvas, x, y, size float64, colour color.NRGBA) {
	pen := style.Pen{Width: math.Min(symbolWidth, size/6), Colour: colour}
	half := size / 2
	body := []style.Point{p.point(x-half, y-half), p.point(x+half, y), p.point(x-half, y+half)}
	s.Polygon(body, style.Paper)
	s.Polyline(append(body, body[0], body[1]), pen)
	s.Line(p.point(x+half, y-half), p.point(x+half, y+half), pen)
	for _, shift := range []float64{-0.1, 0.4} {
		from := p.point(x+size*shift, y-0.62*size)
		to := p.point(x+size*(shift+0.45), y-1.15*size)
		arrow(s, from, to, style.Pen{Width: pen.Width * 0.75, Colour: colour})
	}
}

// arrow draws a line with a filled head at its end.
func arrow(s *style.Canvas, from, to style.Point, pen style.Pen) {
	length := math.Hypot(to.X-from.X, to.Y-from.Y)
	if length == 0 {
		return
	}
	ux, uy, head := (to.X-from.X)/length, (to.Y-from.Y)/length, math.Max(3, 3*pen.Width)
	neck := style.Pt(to.X-head*ux, to.Y-head*uy)
	s.Polyline([]style.Point{from, neck}, pen)
	s.Polygon([]style.Point{to, {X: neck.X - head/2*uy, Y: neck.Y + head/2*ux},
		{X: neck.X + head/2*uy, Y: neck.Y - head/2*ux}}, pen.Colour)
}
