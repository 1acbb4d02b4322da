// Package style is the common look of every picture: colours and pens, fonts, round scales, and a canvas in points
// that stays sharp at any pixel factor and is written as PNG, SVG or PDF. Coordinates are points from the page's
// upper left corner, x to the right and y down; a point is a pixel at factor 1. It knows no tank and no light. Next:
// package fig for the pieces that pictures are made of.
package style

import (
	_ "embed"
	"fmt"
	"image/color"
	"math"
	"strings"
	"sync"
)

//go:generate go test -run TestMapIsWhatTheRecipeGives -renew-map

//go:embed data/light_scale.csv
var lightCSV string

// Map turns a share of a scale into a colour: dark for little, pale for much. Its first colour stands for "no value".
type Map []color.RGBA

// light reads the lines ",#rrggbb", of which the first has a name; the embedded table is ours, and the tests read it.
var light = sync.OnceValue(func() (m Map) {
	for line := range strings.Lines(lightCSV) {
		c := color.RGBA{A: 255}
		if _, value, ok := strings.Cut(line, ",#"); ok {
			_, _ = fmt.Sscanf(value, "%02x%02x%02x", &c.R, &c.G, &c.B)
			m = append(m, c)
		}
	}
	return m
})

// Light returns the map for light: perceptually uniform (CIEDE2000), of monotone lightness, readable by
// colour-blind eyes and in grey print. Its recipe stands in the head of data/light_scale.csv.
func Light() Map { return light() }

// At returns the colour of a share of the scale: 0 is the low end, 1 the high end. Shares beyond the ends take the
// end's colour; NaN takes a grey of its own, None.
func (m Map) At(share float64) color.RGBA {
	if share != share {
		return m.None()
	}
	return m[1+int(min(max(share, 0), 1)*float64(len(m)-2)+0.5)]
}

// None returns the grey that stands for "no value".
func (m Map) None() color.RGBA { return m[0] }

// Table returns the colours from the low end to the high end.
func (m Map) Table() []color.RGBA { return m[1:] }

// The colours of everything but the light.
var (
	Paper    = color.NRGBA{R: 252, G: 252, B: 250, A: 255} // page
	Ink      = color.NRGBA{R: 28, G: 32, B: 38, A: 255}    // text
	SoftInk  = color.NRGBA{R: 96, G: 102, B: 110, A: 255}  // second text, ticks
	Rule     = color.NRGBA{R: 206, G: 208, B: 210, A: 255} // separating lines
	PaleLine = color.NRGBA{R: 255, G: 255, B: 255, A: 235} // outlines over the map
	Shade    = color.NRGBA{R: 16, G: 18, B: 28, A: 105}    // halo below PaleLine, so that it shows on pale ground too
)

// InkOn returns dark or white ink, whichever is easier to read on ground c, by its relative luminance (IEC 61966-2-1
// sRGB). Both inks contrast equally at 0.21; the limit is a little above, as white is easier to read on mid greens.
func InkOn(c color.RGBA) color.NRGBA {
	y := 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	if y > 0.26 {
		return Ink
	}
	return color.NRGBA{R: 255, G: 255, B: 255, A: 255}
}

// linear undoes the sRGB transfer curve (IEC 61966-2-1).
func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

// Faded returns c with its opacity multiplied by share, 0 to 1.
func Faded(c color.NRGBA, share float64) color.NRGBA {
	c.A = uint8(float64(c.A)*math.Min(math.Max(share, 0), 1) + 0.5)
	return c
}

// series are the pens of lines that are told apart: by colour for most eyes, by dash for all eyes and in grey print.
// Every colour stands out against the page by at least 3 to 1 (WCAG 2.2, 1.4.11).
var series = []Pen{
	{Colour: color.NRGBA{R: 28, G: 58, B: 128, A: 255}},
	{Colour: color.NRGBA{R: 196, G: 92, B: 0, A: 255}, Dash: []float64{10, 4}},
	{Colour: color.NRGBA{R: 0, G: 126, B: 116, A: 255}, Dash: []float64{3, 3}},
	{Colour: color.NRGBA{R: 148, G: 36, B: 108, A: 255}, Dash: []float64{14, 4, 3, 4}},
	{Colour: color.NRGBA{R: 52, G: 132, B: 200, A: 255}},
	{Colour: color.NRGBA{R: 112, G: 108, B: 20, A: 255}, Dash: []float64{6, 3}},
	{Colour: color.NRGBA{R: 104, G: 60, B: 36, A: 255}, Dash: []float64{3, 3, 9, 3}},
	{Colour: color.NRGBA{R: 108, G: 114, B: 122, A: 255}, Dash: []float64{1.5, 2.5}},
}

// SeriesPen returns the pen of the i-th of several lines, from 0; after all colours have been used, they come with
// other dashes.
func SeriesPen(i int, widthPt float64) Pen {
	p := series[i%len(series)]
	p.Dash = series[(i+3*(i/len(series)))%len(series)].Dash
	p.Width = widthPt
	return p
}
