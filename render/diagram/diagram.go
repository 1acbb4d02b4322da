// Package diagram draws how strings of modules hang on their drivers: the driver on one side, each string a line of
// its own with a diode symbol for each module in its place along the rail. Lengths are metres; all figures are texts
// that the caller has made. It knows no scene and computes no circuit. Symbols follow IEC 60617: the ideal current
// source, and the light-emitting diode. Next: package style for pens, texts and rulers.
package diagram

import (
	"errors"
	"fmt"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// Diagram is all that a wiring diagram shows.
type Diagram struct {
	fig.Page
	Feeds    []Feed // one a driver, below each other
	Figures  []fig.Figure
	Cautions []string
}

// Feed is one driver with the strings that it feeds.
type Feed struct {
	Driver  string   // name of the driver
	Facts   []string // below the name, one a line
	Right   bool     // the leads reach the rails at their right ends; the driver stands there then
	Total   string   // of all strings, above the rails
	Rails   []Rail   // all rails of the scene, for one scale and place
	Strings []String
}

// Rail is a rail in the tank's axis along it.
type Rail struct {
	Name           string
	FromM, LengthM float64
}

// String is modules in series.
type String struct {
	Number       int      // from 1
	Label, Short string   // what stands on its line, and a shorter form for further rails
	Stops        []Module // in the order of the current, from the driver's plus on
}

// Module is one module of a string.
type Module struct {
	Rail   int // index in Feed.Rails
	AlongM float64
	Name   string // its number on the rail
}

// mostLanes is the highest number of lines of strings on a page; further ones are left out, and a note says so. With it
// a page at the highest pixel factor stays below style.MaxPixels.
const mostLanes = 40

// errNothing is what a diagram without strings gets.
var errNothing = errors.New("there is nothing to draw: no string has a module")

// blockGap is the distance of panels, in points.
const blockGap = 16.0

// legend says what the signs mean.
const legend = "Each diode stands for one module, in its place along the rail and pointing with the current. " +
	"The upper line of a string " +
	"runs from plus through its modules, the lower one takes it back. Lines join only at dots. Numbers above a " +
	"rail count its " +
	"modules, those below are distances from its left end."

// Draw draws the diagram, 1400 points wide.
func (d Diagram) Draw() (*style.Canvas, error) {
	var failed error
	c, err := d.Page.Draw(fig.PageWidth, func(t *style.Typesetter, textPt float64) (blocks []fig.Block) {
		panels, cut := d.panels(t)
		if len(panels) == 0 {
			failed = errNothing
		}
		notes, hidden := []string{legend}, 0
		if cut > 0 {
			notes = append(notes, fmt.Sprintf("%d further lines of strings are wired alike and not drawn, for want of room.",
				cut))
		}
		for i, one := range panels {
			hidden += one.hidden()
			blocks = append(blocks, fig.Block{HeightPt: one.height(), Draw: func(c *style.Canvas, box style.Box) {
				if y := box.Top - blockGap/2; i > 0 {
					c.Line(style.Pt(box.Left, y), style.Pt(box.Right, y), style.Pen{Width: 1, Colour: style.Rule})
				}
				one.drawOn(c, box.Top)
			}})
		}
		if hidden > 0 {
			notes = append(notes, fmt.Sprintf("%d further modules stand between those that are drawn, too close to be "+
				"told apart.", hidden))
		}
		var cautions []string
		for _, c := range d.Cautions {
			cautions = append(cautions, "Caution: "+c)
		}
		return append(blocks, fig.Figures(t, d.Figures, textPt), fig.Paragraph(t, notes, style.SmallFont, textPt),
			fig.Paragraph(t, cautions, style.TextFont, textPt))
	})
	return c, errors.Join(failed, err)
}

// panels lays out the feeds and returns them with the number of lanes that had no room.
func (d Diagram) panels(t *style.Typesetter) (panels []panel, cut int) {
	lanes := mostLanes
	for _, f := range d.Feeds {
		one, left := newPanel(f, t, lanes)
		cut += left
		if len(one.bands) > 0 {
			lanes -= one.lanes()
			one.units = d.Units
			panels = append(panels, one)
		}
	}
	return panels, cut
}

// hidden returns the number of modules that have no symbol.
func (p *panel) hidden() int {
	n := 0
	for _, b := range p.bands {
		for _, l := range b.lanes {
			n += l.hidden
		}
	}
	return n
}
