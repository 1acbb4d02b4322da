package style

import "image/color"

// series are the pens of lines that are told apart: by colour for most eyes, by dash for all eyes and in grey print. Every
// colour stands out against the page by at least 3 to 1 (WCAG 2.2, 1.4.11).
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

// seriesCount is the number of colours that SeriesPen has.
const seriesCount = 8

// SeriesPen returns the pen of the i-th of several lines, from 0; after all colours have been used, they come with other
// dashes.
func SeriesPen(i int, widthPt float64) Pen {
	p, round := series[i%seriesCount], i/seriesCount
	if round > 0 {
		p.Dash = series[(i+3*round)%seriesCount].Dash
	}
	p.Width = widthPt
	return p
}
