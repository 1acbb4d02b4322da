package lightmeter

import (
	"math"

	"fathomlux/optics/fit"
	"fathomlux/optics/result"
	"fathomlux/scene/finding"
	"fathomlux/scene/readings"
)

const (
	leastReturned             = 0.02   // share of the flux that is worth a note
	lowestUsual, highestUsual = 0.5, 2 // factors beyond need a reason: see FactorStrange
)

func (m *meter) notes(o *result.Fit, f *fit.Fit) (list []finding.Finding) {
	say := func(when bool, one finding.Finding) {
		if when {
			list = append(list, one)
		}
	}
	say(o.NoAbsorption.Any(), finding.AbsorptionNotFitted.Of(o.NoAbsorption))
	for _, s := range o.Sensors {
		v := s.Factor.Value
		say(v < lowestUsual || v > highestUsual, finding.FactorStrange.Of(finding.Text(s.Name), hundredths(v)))
	}
	for s := range o.Sensors {
		name := finding.Text(o.Sensors[s].Name)
		say(m.trusts(s, readings.Unstated), finding.ImmersionUnstated.Of(name, hundredths(readings.AirImmersion)))
		say(m.trusts(s, readings.Assumed), finding.ImmersionAssumed.Of(name, hundredths(readings.AirImmersion)))
	}
	say(o.Clearest, finding.WaterClearest.Of())
	say(f.Disagree, finding.ReadingsDisagree.Of())
	say(o.Outliers > 0, finding.OutliersLeftOut.Of(outliers(o)))
	say(f.Scatter > 2*o.Stated, finding.ResidualsWide.Of(percent(f.Scatter), percent(o.Stated)))
	say(o.CosineError > 0, finding.CosineErrorWidens.Of(finding.Percent(o.CosineError),
		percent(o.CosineError/math.Sqrt(3))))
	say(len(m.sensors) > 1, finding.FactorPerSensor.Of(finding.Count{N: len(m.sensors), Noun: "sensor"}))
	dark := 0
	for _, light := range m.own {
		if light == 0 {
			dark++
		}
	}
	say(dark > 0, finding.PlacesDark.Of(finding.Count{N: dark, Noun: "place"}))
	say(m.depthStepM > 0, finding.DepthsRounded.Of(finding.Count{N: mostDepths, Noun: "depth"},
		finding.Length(m.depthStepM)))
	return append(list, m.heat...)
}

// trusts tells whether a sensor has readings that became light in some way. That nothing is stated counts of sensors of
// photons alone.
func (m *meter) trusts(sensor int, how readings.Trust) bool {
	for i, r := range m.list {
		if m.sensorOf[i] == sensor && r.Trust == how && (r.Photons || how != readings.Unstated) {
			return true
		}
	}
	return false
}

// outliers names the readings that were left out.
func outliers(o *result.Fit) (list finding.List) {
	for _, r := range o.Readings {
		if r.Outlier {
			list = append(list, finding.OutlierReading.Of(finding.Count{N: r.Line}, r.Quantity.Value(r.Measured),
				finding.Change(r.Residual)))
		}
	}
	return list
}

func verdict(o *result.Fit) finding.Finding {
	var water finding.Finding
	if o.Absorption {
		more, kind := o.ExtraPerM.Value-o.WasPerM, "more"
		if more < 0 {
			more, kind = -more, "less"
		}
		water = finding.AbsorptionFitted.Of(perM(more), finding.Text(kind), perM(o.ExtraPerM.Value),
			perM(o.ExtraPerM.Low), perM(o.ExtraPerM.High))
	}
	return finding.LightFitted.Of(hundredths(o.Factor.Value), hundredths(o.Factor.Low), hundredths(o.Factor.High),
		water, percent(o.Scatter), percent(o.Before))
}

// hundredths is a number with two decimals.
func hundredths(v float64) finding.Value {
	return finding.Value{V: math.Round(100*v) / 100, Decimals: 2}
}

// perM is an absorption, 1/m, to the thousandth, as the table of the answer has it.
func perM(v float64) finding.Value { return finding.Value{V: math.Round(1000*v) / 1000, Decimals: 2} }

// percent is a share in percent with one decimal.
func percent(share float64) finding.Value {
	return finding.Value{V: 100 * share, Decimals: 1, Unit: "%"}
}
