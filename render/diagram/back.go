package diagram

import (
	"fmt"
	"image/color"
	"math"
	"slices"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// Sizes of the back view, in points.
const (
	backHead   = 26.0 // name of the rail
	backLane   = 64.0
	backWire   = 32.0 // from a lane's top to the line through its pads
	backReturn = 54.0
	backLabels = 120.0
	mostBoard  = 26.0
)

// Colours of wires in the back view.
var (
	plusWire  = color.NRGBA{R: 196, G: 38, B: 38, A: 255}
	linkWire  = color.NRGBA{R: 110, G: 110, B: 118, A: 255}
	minusWire = style.Ink
)

const backLegend = "Back view: left and right are exchanged, as it is seen from behind while you solder. Red: from " +
	"the driver's plus. Grey: from a module's minus to the next one's plus. Black: back to the driver's minus. Lengths " +
	"are from middle to middle; add what the joints and the way through the rail take."

// backX returns the place on the page of a module that is seen from behind.
func (p *panel) backX(rail int, alongM float64) float64 {
	at := p.rails[rail].LeftM + alongM
	left, right := fig.Margin+backLabels, fig.PageWidth-fig.Margin-24
	return right - (at-p.fromM)/math.Max(p.toM-p.fromM, 1e-9)*(right-left)
}

// back returns the view from behind, a block a rail.
func (p *panel) back() (blocks []fig.Block) {
	for _, b := range p.bands {
		lanes := slices.DeleteFunc(slices.Clone(p.lanes), func(l lane) bool { return l.stops[0].Rail != b.rail })
		blocks = append(blocks, fig.Block{HeightPt: backHead + float64(len(lanes))*backLane,
			Draw: func(c *style.Canvas, box style.Box) {
				rail := p.rails[b.rail]
				edge := [2]float64{p.backX(b.rail, 0), p.backX(b.rail, rail.LengthM)}
				ground := style.Box{Left: min(edge[0], edge[1]), Right: max(edge[0], edge[1]), Top: box.Top + backHead,
					Bottom: box.Bottom}
				c.FillBox(ground, railGround)
				c.StrokeBox(ground, style.Pen{Width: 1, Colour: style.Rule})
				name := style.Font{SizePt: style.SmallFont.SizePt, Bold: true}
				c.Write(style.Text{Text: p.set.Shorten(scene.RailWord(rail.Name)+" from the back", name, fig.PageWidth/2),
					At: style.Pt(fig.Margin, box.Top+4), Anchor: style.TopLeft, Font: name})
				for k, l := range lanes {
					p.backLane(c, l, ground, box.Top+backHead+float64(k)*backLane)
				}
			}})
	}
	return blocks
}

// backLane draws a string on one rail from behind: its boards with their pads, and the wires with their lengths.
func (p *panel) backLane(c *style.Canvas, l lane, ground style.Box, top float64) {
	pen := func(colour color.NRGBA) style.Pen { return style.Pen{Width: wireWidth, Colour: colour} }
	y, back := top+backWire, top+backReturn
	fed := ground.Right
	away := -1.0 // way of the current from the fed end
	if p.Job.Feed.Right {
		fed, away = ground.Left, 1
	}
	size := mostBoard
	for k := 1; k < len(l.stops); k++ {
		size = math.Min(size, math.Max(2, 0.45*math.Abs(p.backX(l.stops[k].Rail, l.stops[k].AlongM)-p.backX(l.stops[k-1].Rail,
			l.stops[k-1].AlongM))))
	}
	at := func(m parts.Mounted) float64 { return p.backX(m.Rail, m.AlongM) }
	colours := map[bool]color.NRGBA{true: plusWire, false: linkWire}
	c.Line(style.Pt(fed, y), style.Pt(at(l.stops[0])-away*size/2, y), pen(colours[l.first]))
	last := l.stops[len(l.stops)-1]
	end := at(last) + away*size/2
	colours[false] = linkWire
	colours[true] = minusWire
	c.Polyline([]style.Point{{X: end, Y: y}, {X: end + away*8, Y: y}, {X: end + away*8, Y: back}, {X: fed, Y: back}},
		pen(colours[l.last]))
	label := style.Font{SizePt: style.LabelFont.SizePt, Bold: true}
	c.Write(style.Text{Text: fmt.Sprintf("string %d", p.Number(l.index)), At: style.Pt(fig.Margin, y),
		Anchor: style.MiddleLeft, Font: label, Colour: p.pen(l).Colour})
	for k, m := range l.stops {
		x := at(m)
		if k > 0 {
			before := at(l.stops[k-1])
			c.Line(style.Pt(before+away*size/2, y), style.Pt(x-away*size/2, y), pen(linkWire))
			c.TryWrite(style.Text{Text: p.units.Figure(math.Abs(m.AlongM - l.stops[k-1].AlongM)),
				At: style.Pt((before+x)/2, y+4), Anchor: style.TopMiddle, Font: style.LabelFont, Colour: style.SoftInk})
		}
		board := style.Box{Left: x - size/2, Right: x + size/2, Top: y - size/3, Bottom: y + size/3}
		c.FillBox(board, style.Paper)
		c.StrokeBox(board, style.Pen{Width: 1.2, Colour: p.pen(l).Colour})
		if size >= mostBoard/2 {
			c.TryWrite(style.Text{Text: "+", At: style.Pt(x-away*size*0.28, y), Anchor: style.Middle, Font: label,
				Colour: plusWire})
			c.TryWrite(style.Text{Text: minus, At: style.Pt(x+away*size*0.28, y), Anchor: style.Middle, Font: label})
		}
		c.TryWrite(style.Text{Text: m.Name, At: style.Pt(x, y-size/3-3), Anchor: style.BottomMiddle, Font: style.LabelFont,
			Colour: style.SoftInk})
	}
}

// mostLinks is how many wires the list on a page names.
const mostLinks = 40

// links is the list of connections, and a note where some are left out.
func (p *panel) links() (t fig.Table, note string) {
	t.Columns = []string{"connect", "to", "wire", "length " + p.units.Name()}
	end := func(module, driver, pad string) string {
		if module == "" {
			return "driver " + driver
		}
		return "module " + module + " " + pad
	}
	left := 0
	for i, line := range p.Circuit.Strings {
		for _, l := range circuit.Links(p.Job, line) {
			if len(t.Rows) >= mostLinks {
				left++
				continue
			}
			t.Rows = append(t.Rows, fig.Row{Cells: []string{fmt.Sprintf("string %d: %s", p.Number(i), end(l.From, "+", minus)),
				end(l.To, minus, "+"), p.wireWords(l),
				p.units.Figure(l.LengthM)}})
		}
	}
	if left > 0 {
		note = fmt.Sprintf("%d further wires are not listed here; the answer with --json has all.", left)
	}
	return t, note
}

// wireWords is the colour of a wire, with the fuse in it.
func (p *panel) wireWords(l circuit.Link) string {
	colour := map[string]string{"plus": "red", "link": "grey", "minus": "black"}[l.Wire]
	if fuse := p.Guard.FuseName(); fuse != "" && l.From == "" {
		colour += ", fuse " + fuse
	}
	return colour
}
