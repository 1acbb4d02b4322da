package tolerance

import (
	"math"

	"fathomlux/optics/result"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// notes are what a reader must know beside the numbers. Stained water is far from pure water, and only at the red end
// nearly as clear.
func (t *sampler) notes(o *result.Tolerance) (list []finding.Finding) {
	if t.fixed && t.scene.Tolerance.BeamShare > 0 {
		list = append(list, finding.BeamsMeasured.Of())
	}
	switch limit := t.scene.Tolerance.AbsorptionPerM; {
	case limit == 0 || t.lowest <= -0.9:
	case t.scene.Tank.Water.AbovePurePerM() < limit:
		list = append(list, finding.WaterAsPure.Of())
	default:
		list = append(list, finding.AbsorptionCut.Of(finding.Value{V: math.Abs(t.lowest) * limit, Decimals: 2, Unit: "1/m"},
			finding.Amount{Of: unit.Attenuation, Value: limit}))
	}
	const sameShare = 1e-6 // of a value: rounding alone, as where there are no tolerances
	var above finding.List
	for i, of := range []result.Interval{o.Mean, o.Min, o.MinOverMean} {
		if of.Value > of.High*(1+sameShare) {
			above = append(above, finding.Text([]string{"mean", "minimum", "U0"}[i]))
		}
	}
	if len(above) > 0 {
		list = append(list, finding.AboveInterval.Of(above))
	}
	return list
}

// verdict is the answer in one sentence.
func verdict(o *result.Tolerance) finding.Finding {
	low := o.Shown.Value(o.Mean.Low)
	low.Unit = ""
	ratio := func(v float64) finding.Value { return finding.Value{V: v, Decimals: 2} }
	var meet, sources finding.Finding
	if o.GoalAsked {
		meet = finding.SamplesMeet.Of(finding.Percent(o.GoalShare))
	}
	mean, even := o.Sources[0], o.Sources[0]
	for _, s := range o.Sources[1:] {
		if s.Mean > mean.Mean {
			mean = s
		}
		if s.MinOverMean > even.MinOverMean {
			even = s
		}
	}
	switch {
	case mean.Mean == 0 && even.MinOverMean == 0:
	case mean.Name == even.Name:
		sources = finding.OneSource.Of(finding.Text(mean.Name), finding.Percent(mean.Mean), finding.Percent(even.MinOverMean))
	default:
		sources = finding.TwoSources.Of(finding.Text(mean.Name), finding.Percent(mean.Mean), finding.Text(even.Name),
			finding.Percent(even.MinOverMean))
	}
	return finding.BuiltWithin.Of(finding.Plane(o.Plane), low, o.Shown.Value(o.Mean.High), ratio(o.MinOverMean.Low),
		ratio(o.MinOverMean.High), finding.Percent(toleranceShare), finding.Count{N: o.Samples, Noun: "sample"},
		meet, sources)
}
