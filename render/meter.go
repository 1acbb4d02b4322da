package render

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/plan"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// bandConfidence is the share of readings that the band about equal values is to hold, and bandSigmas its half width in
// standard errors of a normal distribution.
const (
	bandConfidence = 0.95
	bandSigmas     = 1.96
)

// Meter draws the pictures of a fit: measured against computed, for lux and for PPFD where there are both, and the
// plan of the residuals.
func Meter(ctx context.Context, f *result.Fit, sc *scene.Scene, look Look, workers int) ([]Picture, error) {
	var list []drawing
	for _, q := range []result.Quantity{result.Illuminance, result.PPFD} {
		if d, ok := againstDrawing(f, look, q); ok {
			list = append(list, d)
		}
	}
	list = append(list, residualDrawing(f, sc, look))
	return finish(ctx, list, look, workers)
}

// againstDrawing prepares the chart of one quantity: measured over computed, and the deviations over the depth. ok is
// false where nothing was measured in it.
func againstDrawing(f *result.Fit, look Look, q result.Quantity) (d drawing, ok bool) {
	name := "measured-computed" + result.Of(q, "", "-ppfd")
	pairs, off := againstSeries(f, look, q)
	if len(pairs) == 0 {
		return d, false
	}
	var all []float64
	for _, s := range pairs {
		all = append(append(all, s.X...), s.Y...)
	}
	low, high, _ := style.Range(all)
	const logFrom = 8 // ratio from which axes are logarithmic
	log, band := low > 0 && high > logFrom*low, bandSigmas*math.Max(f.Scatter, f.Stated)
	words := fmt.Sprintf("%.0f %% of readings are expected within %.1f %%", 100*bandConfidence, 100*band)
	from, to, inf := low/2, 2*high, math.Inf(1)
	equal := chart.Series{Name: "measured as computed", X: []float64{low, high}, Y: []float64{low, high},
		Pen: style.Pen{Width: 1.2, Colour: style.Ink}}
	axis := chart.Axis{Low: low, High: high, Log: log}
	values := chart.Panel{X: axis, Y: axis, Series: append([]chart.Series{equal}, pairs...),
		Areas: []chart.Area{{Name: words,
			X: []float64{from, to, to, from}, Y: []float64{from * (1 + band), to * (1 + band), to * (1 - band),
				from * (1 - band)}}}}
	values.X.Label, values.Y.Label = "computed with the fit, "+q.Unit(), "measured, "+q.Unit()
	limit := 100 * band
	deviations := chart.Panel{X: chart.Axis{Label: "depth below the surface, " + look.Units.Name()},
		Y: chart.Axis{Label: "deviation of the reading from the fit, %", Low: -limit, High: limit}, Series: off,
		Limits: []chart.Limit{{}},
		Areas:  []chart.Area{{Name: words, X: []float64{-inf, inf, inf, -inf}, Y: []float64{-limit, -limit, limit, limit}}}}
	c := chart.Chart{HeightPt: 620, Panels: []chart.Panel{values, deviations},
		Page: look.page(f.Title, "Light meter against the fitted scene: "+q.Name(), "",
			f.Verdict.Sentence(look.Units))}
	return drawing{name, c}, true
}

// againstSeries returns a series a sensor, and one of the outliers, for both panels. Readings of which one side is
// not above 0 have no place.
func againstSeries(f *result.Fit, look Look, q result.Quantity) (pairs, off []chart.Series) {
	outliers := len(f.Sensors) // last, on top
	for sensor := range outliers + 1 {
		pair := chart.Series{Name: "left out of the fit (outlier)", Mark: fig.Cross, Radius: 6.5,
			Pen: style.Pen{Colour: ownColour}}
		if sensor < outliers {
			pen, mark := chart.Look(len(pairs), 0)
			pair = chart.Series{Name: fmt.Sprintf("%s (%d readings)", f.Sensors[sensor].Name, f.Sensors[sensor].Readings),
				Mark: mark, Pen: style.Pen{Colour: pen.Colour}}
		}
		deviation := pair
		for _, r := range f.Readings {
			of, label := r.Sensor, ""
			if r.Outlier {
				of, label = outliers, fmt.Sprintf("line %d", r.Line)
			}
			if of == sensor && r.Quantity == q && r.Fitted > 0 && r.Measured > 0 {
				pair.X, pair.Y, pair.Labels = append(pair.X, r.Fitted), append(pair.Y, r.Measured), append(pair.Labels, label)
				deviation.X = append(deviation.X, r.DepthM/look.Units.Metres())
				deviation.Y = append(deviation.Y, 100*(r.Measured/r.Fitted-1))
			}
		}
		if deviation.Labels = pair.Labels; len(pair.X) > 0 {
			pairs, off = append(pairs, pair), append(off, deviation)
		}
	}
	return pairs, off
}

// mostDepths is how many plans of residuals a page has at most.
const mostDepths = 4

// residualDrawing prepares the plans of the residuals: the depths with most places.
func residualDrawing(f *result.Fit, sc *scene.Scene, look Look) drawing {
	p := plan.Residuals{Scene: sc, Page: look.page(f.Title,
		"By how many percent the readings differ from the fitted scene", "",
		f.Verdict.Sentence(look.Units))}
	left := len(f.Readings)
	for i, list := range depthsOf(f.Readings) {
		if i == mostDepths || i > 0 && placesOf(list) < 2 {
			break
		}
		p.Depths = append(p.Depths, plan.Depth{Readings: list, Name: fmt.Sprintf("%s under the surface, %d readings",
			look.Units.Length(list[0].DepthM), len(list))})
		left -= len(list)
	}
	if left > 0 {
		p.Notes = append(p.Notes, fmt.Sprintf("%d readings at other depths are not shown here; they are in the "+
			"chart beside measured against computed.", left))
	}
	return drawing{"residual-map", p}
}

// depthsOf returns the readings depth by depth, those with most places first, then the deepest.
func depthsOf(readings []result.Measured) [][]result.Measured {
	depths := map[float64][]result.Measured{}
	for _, r := range readings {
		depths[r.DepthM] = append(depths[r.DepthM], r)
	}
	return slices.SortedFunc(maps.Values(depths), func(a, b []result.Measured) int {
		return cmp.Or(cmp.Compare(placesOf(b), placesOf(a)), cmp.Compare(b[0].DepthM, a[0].DepthM))
	})
}

// placesOf counts the places of readings of one depth.
func placesOf(list []result.Measured) int {
	places := map[[2]float64]bool{}
	for _, r := range list {
		places[[2]float64{r.XM, r.YM}] = true
	}
	return len(places)
}
