// Package stream draws where lumens end, as a stream of light that falls from the modules to the floor and narrows on
// its way: what is lost leaves it to the right, in the order in which light meets it. Widths are to scale. It
// computes nothing. Next: package result for the flux balance that the figures come from.
package stream

import (
	"fmt"
	"image/color"
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Loss is one end that light finds before the floor.
type Loss struct {
	Name    string
	Lumens  float64
	Strange bool // nothing that a tank does, but what the engine did not follow
}

// Page is all that the picture shows. The losses come in the order in which they leave the stream.
type Page struct {
	fig.Page
	Emitted      float64 // lm; 0: the words alone are drawn
	Above, Below []Loss  // of the water surface
	Floor        float64 // what ends on the floor, lm
}

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
	bottom     = 60.0 // floor with its words
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
	if p.Emitted < 0 || math.IsInf(p.Emitted, 0) || math.IsNaN(p.Emitted) {
		return nil, fmt.Errorf("a stream of %g lm cannot be drawn; it must not be below 0", p.Emitted)
	}
	return p.Page.Draw(pageWidth, func(*style.Typesetter, float64) []fig.Block {
		if p.Emitted == 0 {
			return nil
		}
		height := start + p.rows(p.Above) + between + p.rows(p.Below) + tail + bottom
		return []fig.Block{{HeightPt: height, Draw: func(c *style.Canvas, box style.Box) { newDrawing(p, c, box).all() }}}
	})
}

// wide is how wide some lumens are drawn.
func (p Page) wide(lumens float64) float64 { return math.Max(0, lumens) / p.Emitted * widest }

func (p Page) row(l Loss) float64 { return math.Max(bend+p.wide(l.Lumens), rowLeast) + rowGap }

func (p Page) rows(list []Loss) float64 {
	sum := 0.0
	for _, l := range list {
		sum += p.row(l)
	}
	return sum
}

// drawing is a stream that is being drawn: from falls to at, and is left lumens wide.
type drawing struct {
	Page
	*style.Canvas
	box  style.Box
	x, y float64 // the stream's left edge, and how far it has come
	left float64 // lumens
}

func newDrawing(p Page, c *style.Canvas, box style.Box) *drawing {
	return &drawing{Page: p, Canvas: c, box: box, x: box.Left + left, y: box.Top, left: p.Emitted}
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
	d.Line(style.Pt(d.box.Left, surface), style.Pt(d.box.Right, surface), style.Pen{Width: 2, Colour: line})
	d.station(surface+10, "left at the water surface", d.left)
	d.fall(between / 2)
	d.lose(d.Below)
	d.fall(floor - d.y)
	d.FillBox(style.Box{Left: d.box.Left, Right: d.box.Right, Top: floor, Bottom: floor + 10}, sand)
	d.station(floor+20, "ends on the floor", d.Floor)
}

// station writes how much light is left, beside the stream.
func (d *drawing) station(top float64, name string, lumens float64) {
	d.Write(style.Text{Text: name, At: style.Pt(d.box.Left+8, top), Font: style.TextFont, Colour: style.SoftInk})
	d.Write(style.Text{Text: lumensText(lumens), At: style.Pt(d.box.Left+8, top+style.TextFont.LineHeight()),
		Font: style.FigureFont})
	d.Write(style.Text{Text: d.share(lumens), At: style.Pt(d.box.Left+20+d.Width(lumensText(lumens), style.FigureFont),
		top+style.TextFont.LineHeight()+4), Font: style.TextFont, Colour: style.SoftInk})
}

func lumensText(lumens float64) string { return fmt.Sprintf("%.0f lm", lumens) }

func (d *drawing) share(lumens float64) string {
	return fmt.Sprintf("%.1f %%", 100*lumens/d.Emitted)
}

// fall lets the stream go down by some points.
func (d *drawing) fall(by float64) {
	if d.left > 1e-6*d.Emitted {
		d.FillBox(style.Box{Left: d.x, Right: d.x + math.Max(thinnest, d.wide(d.left)), Top: d.y, Bottom: d.y + by}, light)
	}
	d.y += by
}

// lose lets the losses leave the stream, one below the other.
func (d *drawing) lose(list []Loss) {
	for _, l := range list {
		before, row := d.wide(d.left), d.row(l)
		d.left -= l.Lumens
		d.branch(l, d.x+before, d.wide(l.Lumens))
		d.fall(row)
	}
}

// branch draws a loss that turns to the right, from the stream's right edge to its name, with an arrow at its end.
func (d *drawing) branch(l Loss, right, wide float64) {
	wide = math.Max(thinnest, wide)
	colour := lost
	if l.Strange {
		colour = strange
	}
	top, end := d.y+bend, d.box.Left+labelLeft-2*arrow
	middle := top + wide/2
	d.name(l, middle)
	centre := style.Pt(right+bend, top-bend)
	var inner, outer []style.Point
	for i := range bendPoints + 1 {
		a := math.Pi / 2 * float64(i) / bendPoints
		cos, sin := math.Cos(a), math.Sin(a)
		inner = append(inner, style.Pt(centre.X-bend*cos, centre.Y+bend*sin))
		outer = append(outer, style.Pt(centre.X-(bend+wide)*cos, centre.Y+(bend+wide)*sin))
	}
	shape := append([]style.Point{{X: right - wide, Y: d.y}, {X: right, Y: d.y}}, inner...)
	head := math.Max(arrow, wide/2)
	shape = append(shape, style.Pt(end, top), style.Pt(end+math.Min(head, arrow), middle), style.Pt(end, top+wide))
	for i := len(outer) - 1; i >= 0; i-- {
		shape = append(shape, outer[i])
	}
	d.Polygon(shape, colour)
}

// name writes a loss's name and figures to the right of its branch.
func (d *drawing) name(l Loss, middle float64) {
	at := style.Pt(d.box.Left+labelLeft, middle-style.TextFont.LineHeight())
	d.Write(style.Text{Text: d.Shorten(l.Name, style.TextFont, d.box.Right-at.X), At: at, Font: style.TextFont})
	at.Y = middle + 2
	d.Write(style.Text{Text: lumensText(l.Lumens) + ", " + d.share(l.Lumens), At: at,
		Font: style.Font{SizePt: style.TextFont.SizePt, Bold: true}})
}
