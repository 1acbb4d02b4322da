package chart

import (
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"
)

// Dots are single values beside the lines, such as what stands at places along one of them. Values that are not finite are
// left out.
type Dots struct {
	Name string // for the legend; empty for none
	Line int    // whose look they have
	X, Y []float64
	From []float64 // where, along y, a thin stem to each dot begins; empty for no stems
}

const (
	dotRadius = 5.0
	stemWidth = 1.0
)

// dots adds the dots on their stems.
func (a *axes) dots(d Dots) {
	look := lookOf(d.Line)
	var places plotter.XYs
	for i := range d.X {
		if !finite(d.X[i], d.Y[i]) {
			continue
		}
		places = append(places, plotter.XY{X: d.X[i], Y: d.Y[i]})
		if len(d.From) == 0 || !finite(d.From[i]) {
			continue
		}
		a.line(plotter.XYs{{X: d.X[i], Y: d.From[i]}, {X: d.X[i], Y: d.Y[i]}}, draw.LineStyle{Color: look.colour, Width: stemWidth})
	}
	if p, err := plotter.NewScatter(places); err == nil {
		p.GlyphStyle = look.glyph(dotRadius)
		a.plot.Add(p)
	}
}
