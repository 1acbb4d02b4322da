// Package stream draws where lumens or photons end, as a stream of light that falls from the modules to the floor and
// narrows on its way: what is lost leaves it to the right, in the order in which light meets it. Widths are to scale.
// It computes nothing. Next: package result for the flux balance that the figures come from.
package stream

import (
	"fmt"
	"image/color"
	"math"
	"slices"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Loss is one end that light finds before the floor.
type Loss struct {
	Name    string
	Flux    Flux
	Strange bool // nothing that a tank does, but what the engine did not follow
}

// Page is all that the picture shows. The losses come in the order in which they leave the stream.
type Page struct {
	fig.Page
	Emitted      Flux                              // 0: the words alone are drawn
	Above, Below []Loss                            // of the water surface
	Floor        Flux                              // what the floor absorbs
	Say          func(Flux) (drawn, beside string) // beside is empty where there is no other measure
}

// Flux is an amount of light: in the measure to which widths are drawn, and in another one beside it.
type Flux struct{ Drawn, Beside float64 }

// The looks, in points.
const (
	pageWidth  = 1100.0
	widest     = 340.0 // of the stream at its source
	left       = 200.0 // of the stream, from the margin
	labelLeft  = 700.0 // of the losses' names, from the margin
	thinnest   = 1.5
	bend       = 18.0 // inner radius of a loss's bend
	rowLeast   = 46.0 // a loss's name with its figures
	rowGap     = 14.0
	start      = 44.0 // of stream above the first loss
	between    = 52.0 // for the line of the water surface
	tail       = 46.0 // of stream below the last loss
	bottom     = 84.0 // floor with its words
	arrow      = 12.0
	bendPoints = 12
)

var (
	light   = color.NRGBA{R: 244, G: 190, B: 72, A: 255}
	lost    = color.NRGBA{R: 168, G: 150, B: 120, A: 255}
	strange = color.NRGBA{R: 196, G: 198, B: 202, A: 255}
	water   = color.NRGBA{R: 223, G: 236, B: 242, A: 255}
	line    = color.NRGBA{R: 60, G: 110, B: 150, A: 255}
	sand    = color.NRGBA{R: 214, G: 196, B: 160, A: 255}
)

// Draw draws the page, 1100 points wide.
func (p Page) Draw() (*style.Canvas, error) {
	return p.Page.Draw(pageWidth, func(*style.Typesetter, float64) []fig.Block {
		if p.Emitted.Drawn == 0 {
			return nil
		}
		height := start + p.rows(p.Above) + between + p.rows(p.Below) + tail + bottom
		return []fig.Block{{HeightPt: height, Draw: func(c *style.Canvas, box style.Box) {
			(&drawing{Page: p, Canvas: c, box: box, x: box.Left + left, y: box.Top, left: p.Emitted}).all()
		}}}
	})
}

// wide is how wide some light is drawn.
func (p Page) wide(of Flux) float64 { return math.Max(0, of.Drawn) / p.Emitted.Drawn * widest }

func (p Page) row(l Loss) float64 { return math.Max(bend+p.wide(l.Flux), rowLeast) + rowGap }

func (p Page) rows(list []Loss) float64 {
	sum := 0.0
	for _, l := range list {
		sum += p.row(l)
	}
	return sum
}

// drawing is a stream that is being drawn: it falls to y, and is as wide as what is left.
type drawing struct {
	Page
	*style.Canvas
	box  style.Box
	x, y float64 // the stream's left edge, and how far it has come
	left Flux
}

// all draws source, losses, water and floor.
func (d *drawing) all() {
	surface := d.box.Top + start + d.rows(d.Above) + between/2
	floor := d.box.Bottom - bottom
	d.FillBox(style.Box{Left: d.box.Left, Right: d.box.Right, Top: surface, Bottom: floor}, water)
	d.station(d.box.Top+4, "from the modules", d.left)
	d.fall(start)
	d.lose(d.Above)
	d.fall(between / 2)
	d.station(surface+10, "left at the water surface", d.left)
	d.fall(between / 2)
	d.lose(d.Below)
	d.fall(floor - d.y)
	d.FillBox(style.Box{Left: d.box.Left, Right: d.box.Right, Top: floor, Bottom: floor + 10}, sand)
	d.station(floor+20, "absorbed by the floor", d.Floor)
	d.Line(style.Pt(d.box.Left, surface), style.Pt(d.box.Right, surface), style.Pen{Width: 2, Colour: line})
}

// station writes how much light is left, beside the stream.
func (d *drawing) station(top float64, name string, of Flux) {
	at, soft := style.Pt(d.box.Left+8, top), style.Text{Text: d.share(of), Font: style.TextFont, Colour: style.SoftInk}
	value, beside := d.Say(of)
	d.Write(style.Text{Text: name, At: at, Font: style.TextFont, Colour: style.SoftInk})
	at.Y += style.TextFont.LineHeight()
	d.Write(style.Text{Text: value, At: at, Font: style.FigureFont})
	if soft.At = style.Pt(at.X+12+d.Width(value, style.FigureFont), at.Y+4); beside != "" {
		soft.At, soft.Text = style.Pt(at.X, at.Y+style.FigureFont.LineHeight()), beside+", "+soft.Text
	}
	d.Write(soft)
}

func (d *drawing) share(of Flux) string { return fmt.Sprintf("%.1f %%", 100*of.Drawn/d.Emitted.Drawn) }

// fall lets the stream go down by some points. It is drawn from its source each time, which leaves no seams.
func (d *drawing) fall(by float64) {
	if right := d.x + math.Max(thinnest, d.wide(d.left)); d.left.Drawn > 1e-6*d.Emitted.Drawn {
		d.FillBox(style.Box{Left: d.x, Right: right, Top: d.box.Top, Bottom: d.y + by}, light)
	}
	d.y += by
}

// lose lets the losses leave the stream, one below the other, each with its name and figures at its end.
func (d *drawing) lose(list []Loss) {
	for _, l := range list {
		right, wide, row := d.x+d.wide(d.left), math.Max(thinnest, d.wide(l.Flux)), d.row(l)
		d.left.Drawn, d.left.Beside = d.left.Drawn-l.Flux.Drawn, d.left.Beside-l.Flux.Beside
		at := style.Pt(d.box.Left+labelLeft, d.y+bend+wide/2-style.TextFont.LineHeight())
		d.Write(style.Text{Text: d.Shorten(l.Name, style.TextFont, d.box.Right-at.X), At: at, Font: style.TextFont})
		at.Y += style.TextFont.LineHeight() + 2
		value, beside := d.Say(l.Flux)
		if beside != "" {
			value += " (" + beside + ")"
		}
		d.Write(style.Text{Text: value + ", " + d.share(l.Flux), At: at,
			Font: style.Font{SizePt: style.TextFont.SizePt, Bold: true}})
		d.branch(right, wide, map[bool]color.NRGBA{false: lost, true: strange}[l.Strange])
		d.fall(row)
	}
}

// branch draws a loss that turns to the right, from the stream's right edge, with an arrow at its end.
func (d *drawing) branch(right, wide float64, colour color.NRGBA) {
	top, end := d.y+bend, d.box.Left+labelLeft-2*arrow
	shape := []style.Point{{X: right - wide, Y: d.y}, {X: right, Y: d.y}}
	arc := func(radius float64) (points []style.Point) { // about the same centre, downwards
		for i := range bendPoints + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * float64(i) / bendPoints)
			points = append(points, style.Pt(right+bend-radius*cos, d.y+radius*sin))
		}
		return points
	}
	shape = append(append(shape, arc(bend)...), style.Pt(end, top),
		style.Pt(end+arrow, top+wide/2), style.Pt(end, top+wide))
	outer := arc(bend + wide)
	slices.Reverse(outer)
	d.Polygon(append(shape, outer...), colour)
}
