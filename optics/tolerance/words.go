package tolerance

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene/unit"
)

// clearNote says why the absorption counts less towards clearer water than towards murkier, empty where it does not.
// Stained water is far from pure water, and only at the red end nearly as clear.
func (t *sampler) clearNote() string {
	limit := t.scene.Tolerance.AbsorptionPerM
	switch {
	case limit == 0 || t.lowest <= -0.9:
		return ""
	case t.scene.Tank.Water.AbovePurePerM() < limit:
		return "the water is nearly as clear as pure water, so that its absorption counts mostly upwards"
	}
	return fmt.Sprintf("the absorption counts by %s downwards and by %s upwards: lower still, the water would absorb "+
		"less red light than pure water does",
		fmt.Sprintf("%.3g 1/m", math.Abs(t.lowest)*limit), unit.Attenuation.Say(limit))
}

// optimumNote says why what was computed lies above its interval, empty where it lies inside.
func optimumNote(o *result.Tolerance) string {
	const sameShare = 1e-6 // of a value: rounding alone, as where there are no tolerances
	var above []string
	for _, row := range []struct {
		name string
		of   result.Interval
	}{{"mean", o.Mean}, {"min", o.Min}, {"min/mean", o.MinOverMean}} {
		if row.of.Value > row.of.High*(1+sameShare) {
			above = append(above, row.name)
		}
	}
	const why = "the scene is at an optimum, which nearly any deviation makes worse; expect the built tank below"
	switch n := len(above); n {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("the computed %s lies above its interval: %s it", above[0], why)
	default:
		return fmt.Sprintf("the computed %s and %s lie above their intervals: %s them", strings.Join(above[:n-1], ", "),
			above[n-1], why)
	}
}

// most returns the source with the largest share.
func most(list []result.ToleranceSource, of func(result.ToleranceSource) float64) result.ToleranceSource {
	best := list[0]
	for _, s := range list[1:] {
		if of(s) > of(best) {
			best = s
		}
	}
	return best
}

// toleranceVerdict says the answer in one sentence or two.
func toleranceVerdict(o *result.Tolerance) string {
	words := fmt.Sprintf("Built within its tolerances, the %s gets %s to %s on average and min/mean %s to %s (90 %% of "+
		"%d samples)", optics.PlaceName(o.Plane),
		strings.TrimSuffix(optics.LightFigure(o.Shown, o.Mean.Low), " "+o.Shown.Unit()), optics.LightFigure(o.Shown,
			o.Mean.High), unit.Ratio(o.MinOverMean.Low), unit.Ratio(o.MinOverMean.High), o.Samples)
	if o.GoalAsked {
		words += fmt.Sprintf("; %.0f %% of them meet the goal", 100*o.GoalShare)
	}
	mean := most(o.Sources, func(s result.ToleranceSource) float64 { return s.Mean })
	even := most(o.Sources, func(s result.ToleranceSource) float64 { return s.MinOverMean })
	switch {
	case mean.Mean == 0 && even.MinOverMean == 0:
		return words + "."
	case mean.Name == even.Name:
		return fmt.Sprintf("%s. Most of it comes from %s: %.0f %% of the variance of the mean, %.0f %% of that of min/mean.",
			words, mean.Name, 100*mean.Mean, 100*even.MinOverMean)
	}
	return fmt.Sprintf("%s. The mean depends most on %s (%.0f %% of its variance), min/mean on %s (%.0f %%).", words,
		mean.Name, 100*mean.Mean, even.Name, 100*even.MinOverMean)
}
