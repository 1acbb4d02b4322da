// Package diagram draws how strings of modules hang on their drivers: the driver on one side, each string a line of its own
// with a diode symbol for each module in its place along the rail. The same drawing comes as a picture and as SVG.
// Lengths are metres; all figures are texts that the caller has made. It knows no scene and computes no circuit.
// Symbols follow IEC 60617: the ideal current source, and the light-emitting diode.
// Next: package style for pens, texts and rulers.
package diagram

import (
	"errors"
	"image"

	"fathomlux/render/style"
)

// Diagram is all that a wiring diagram shows.
type Diagram struct {
	Title, Subtitle string
	Feeds           []Feed // one a driver, below each other
	Figures         []Figure
	Notes           []string // below the figures
	Cautions        []string
	Footer          string
	Units           style.Units
	PixelFactor     float64 // pixels a point
}

// Figure is a small label with a large value.
type Figure struct{ Label, Value string }

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

// Draw returns the diagram as a picture.
func Draw(d Diagram) (*image.RGBA, error) {
	c, err := draw(d)
	if err != nil {
		return nil, err
	}
	return c.Image(), nil
}

// draw lays out and draws on a canvas.
func draw(d Diagram) (*style.Canvas, error) {
	t, err := style.NewTypesetter(d.PixelFactor)
	if err != nil {
		return nil, err
	}
	p, err := newPage(d, t)
	if err != nil {
		return nil, err
	}
	c, err := style.NewCanvas(style.PageWidth, p.heightPt, t)
	if err != nil {
		return nil, err
	}
	p.drawOn(c)
	return c, nil
}

// SVG returns the same drawing as an SVG document. Its texts are texts, set in Liberation Sans or what has its measures.
func SVG(d Diagram) ([]byte, error) {
	t, err := style.NewTypesetter(1)
	if err != nil {
		return nil, err
	}
	p, err := newPage(d, t)
	if err != nil {
		return nil, err
	}
	s := newVector(style.PageWidth, p.heightPt, t)
	p.drawOn(s)
	return s.document(d.Title, d.Subtitle), nil
}
