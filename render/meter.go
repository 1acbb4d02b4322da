package render

import (
	"context"
	"fmt"
	"math"
	"sort"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/residual"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// bandConfidence is the share of readings that the band about equal values is to hold, and bandSigmas its half width in
// standard errors of a normal distribution.
const (
	bandConfidence = 0.95
	bandSigmas     = 1.96
)

// Meter draws the pictures of a fit: measured against computed, for lux and for PPFD where there are both, and the plan of
// the residuals.
func Meter(ctx context.Context, f *result.Fit, sc *scene.Scene, look Look, workers int) ([]Picture, error) {
	var list []drawing
	for _, photons := range []bool{false, true} {
		if d, ok := againstDrawing(f, sc, look, photons); ok {
			list = append(list, d)
		}
	}
	list = append(list, residualDrawing(f, sc, look))
	return finish(ctx, list, look, workers)
}

// againstDrawing prepares the chart of one quantity; ok is false where nothing was measured in it.
func againstDrawing(f *result.Fit, sc *scene.Scene, look Look, photons bool) (d drawing, ok bool) {
	what, unit, name := "illuminance", "lx", "measured-computed"
	if photons {
		what, unit, name = "PPFD", "\u00b5mol/m\u00b2/s", "measured-computed-ppfd"
	}
	band := bandSigmas * math.Max(f.Scatter, f.Stated)
	c := chart.Against{Title: f.Title, Subtitle: "Light meter against the fitted scene: " + what, ValueUnit: unit,
		PlaceLabel: "depth below the surface, " + look.Units.Name(), ComputedText: "computed with the fit", MeasText: "measured",
		BandShare: band, BandText: chart.BandTextFor(bandConfidence, band), Notes: []string{f.Verdict}, Footer: meterFooter(f, look), PixelFactor: look.PixelFactor}
	series := map[int]int{}
	for _, r := range f.Readings {
		if r.Photons != photons {
			continue
		}
		at, known := series[r.Sensor]
		if !known {
			at = len(series)
			series[r.Sensor] = at
			c.Names = append(c.Names, fmt.Sprintf("%s (%d readings)", f.Sensors[r.Sensor].Name, f.Sensors[r.Sensor].Readings))
		}
		c.Pairs = append(c.Pairs, chart.Pair{Computed: r.Fitted, Measured: r.Measured, Place: r.DepthM / look.Units.Metres(), Series: at, Out: r.Outlier,
			Label: fmt.Sprintf("line %d", r.Line)})
	}
	return drawing{name: name, title: c.Title + ", " + c.Subtitle, draw: c.Draw}, len(c.Pairs) > 0
}

func meterFooter(f *result.Fit, look Look) string {
	return "fathomlux " + look.Version + ", engine " + f.Engine
}

// residualDrawing prepares the plans of the residuals: the depths with most places.
func residualDrawing(f *result.Fit, sc *scene.Scene, look Look) drawing {
	p := residual.Page{Title: f.Title, Subtitle: "By how many percent the readings differ from the fitted scene", LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM,
		Rails: railsFromAbove(sc), Modules: marksFromAbove(sc), Obstacles: obstaclesFromAbove(sc), Units: look.Units, PixelFactor: look.PixelFactor,
		Footer: meterFooter(f, look), Notes: []string{f.Verdict}}
	depths := depthsOf(f)
	shown := 0
	for _, d := range depths[:min(len(depths), residual.MostPlans)] {
		if shown > 0 && d.places < 2 {
			break
		}
		one := residual.Plan{Name: fmt.Sprintf("%s %s under the surface, %d readings", look.Units.Figure(d.depthM), look.Units.Name(), d.readings)}
		for _, r := range f.Readings {
			if r.DepthM == d.depthM {
				one.Readings = append(one.Readings, residual.Reading{XM: r.XM, YM: r.YM, Share: r.Residual, Out: r.Outlier})
			}
		}
		p.Plans = append(p.Plans, one)
		shown += d.readings
	}
	if left := len(f.Readings) - shown; left > 0 {
		p.Notes = append(p.Notes, fmt.Sprintf("%d readings at other depths are not shown here; they stand in the chart beside measured against computed.", left))
	}
	return drawing{name: "residual-map", title: p.Title + ", residuals", draw: func() (*style.Canvas, error) { return residual.Draw(p) }}
}

// depthCount is one depth with how much was read there.
type depthCount struct {
	depthM           float64
	readings, places int
}

// depthsOf lists the depths, those with most places first, then the deepest.
func depthsOf(f *result.Fit) []depthCount {
	type place struct{ x, y, depth float64 }
	seen, index := map[place]bool{}, map[float64]int{}
	var list []depthCount
	for _, r := range f.Readings {
		at, ok := index[r.DepthM]
		if !ok {
			at = len(list)
			index[r.DepthM] = at
			list = append(list, depthCount{depthM: r.DepthM})
		}
		list[at].readings++
		if p := (place{r.XM, r.YM, r.DepthM}); !seen[p] {
			seen[p] = true
			list[at].places++
		}
	}
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].places != list[j].places {
			return list[i].places > list[j].places
		}
		return list[i].depthM > list[j].depthM
	})
	return list
}
