package lightmeter

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/interp"

	"fathomlux/optics/fit"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/readings"
)

func (m *meter) conclude(measured []float64, f *fit.Fit) (*result.Fit, error) {
	was := m.scene.Tank.Water.ExtraAbsorbPerM
	o := &result.Fit{Title: m.scene.Title, Sensors: slices.Clone(m.sensors), NoAbsorption: m.noAbsorption,
		Absorption: m.response != nil, WasPerM: was,
		ExtraPerM: result.Interval{Value: was, Low: was, High: was}, Scatter: f.Scatter, Stated: m.options.RelativeError,
		CosineError: m.options.CosineError, LeaveOneOut: f.LeaveOneOut, Dof: f.Dof}
	m.factors(o, f)
	if m.response != nil {
		if err := m.absorption(o, f); err != nil {
			return nil, err
		}
	}
	if o.FluxFactor = cmp.Or(m.scene.FluxFactor, 1) * o.Factor.Value; !(o.FluxFactor >= scene.LowestFluxFactor &&
		o.FluxFactor <= scene.HighestFluxFactor) {
		return nil, fmt.Errorf("the readings are %.3g times the light of the scene, which no meter corrects; look at the "+
			"unit of the readings, the modules' part and their current", o.Factor.Value)
	}
	floor, squares := math.Max(floorShare*floats.Max(measured), 1e-300), 0.0
	for i, r := range m.list {
		one := result.Measured{XM: r.XM, YM: r.YM, DepthM: r.DepthM, Sensor: m.sensorOf[i], Line: r.Line,
			Note: r.Note, Measured: measured[i], Computed: m.own[i], Fitted: f.Values[i], Residual: f.Residuals[i],
			Studentised: f.Studentised[i], Outlier: f.Outlier[i]}
		if r.Photons {
			one.Quantity = result.PPFD
		}
		if one.Fitted > 0 {
			one.Residual = one.Measured/one.Fitted - 1
		}
		if one.Outlier {
			o.Outliers++
		} else {
			d := (one.Measured - one.Computed) / math.Max(one.Computed, floor)
			squares += d * d
		}
		o.Readings = append(o.Readings, one)
	}
	o.Before = math.Sqrt(squares / float64(len(m.list)-o.Outliers))
	o.Notes, o.Verdict = m.notes(o, f), verdict(o)
	return o, nil
}

// factors fills the sensors' factors and their geometric mean. A cosine error of up to e counts as a standard error of
// e/sqrt 3, that of a rectangle (JCGM 100:2008, 4.3.7), common to all readings of a sensor; so does what an assumed
// immersion factor may be off.
func (m *meter) factors(o *result.Fit, f *fit.Fit) {
	n := len(m.sensors)
	cosine := m.options.CosineError / math.Sqrt(3)
	var mean, variance, all float64
	for s := range n {
		stated := cosine * cosine
		if m.trusts(s, readings.Assumed) {
			stated += math.Pow(readings.AirImmersionOff/readings.AirImmersion, 2) / 3
		}
		all += stated / float64(n*n)
		o.Sensors[s].Factor = grown(f.P[s], m.half(f, f.Covariance.At(s, s), stated))
		mean += f.P[s] / float64(n)
		for k := range n {
			variance += f.Covariance.At(s, k) / float64(n*n)
		}
	}
	o.Factor = grown(mean, m.half(f, variance, all))
}

// half returns half the width of an interval: Student's for what the readings' scatter shows, the normal one for what
// was stated.
func (m *meter) half(f *fit.Fit, variance, stated float64) float64 {
	const normal95 = 1.959964 // of the normal distribution, two-sided 95 %
	return math.Hypot(f.T(confidence)*math.Sqrt(variance), normal95*math.Sqrt(stated))
}

// grown is the interval of a factor whose logarithm has the given middle and half width.
func grown(log, half float64) result.Interval {
	return result.Interval{Value: math.Exp(log), Low: math.Exp(log - half), High: math.Exp(log + half)}
}

// absorption fills the extra absorption. A cosine error may differ from depth to depth, as the light comes from other
// angles there: all of it over the depths that the readings span counts.
func (m *meter) absorption(o *result.Fit, f *fit.Fit) error {
	k := len(m.sensors)
	slope := m.options.CosineError / math.Sqrt(3) / m.spanM
	half := m.half(f, f.Covariance.At(k, k), slope*slope)
	low, high := m.response.lowPerM, m.response.highPerM
	if f.AtBound[k] && f.P[k] >= high {
		return fmt.Errorf("the readings fall with depth as in water that absorbs %.3g 1/m more, where the search ends; "+
			"are the depths below the surface, and in the unit of their column?", high)
	}
	o.ExtraPerM = result.Interval{Value: f.P[k], Low: math.Max(low, f.P[k]-half), High: f.P[k] + half}
	o.Clearest = f.AtBound[k]
	return nil
}

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

const (
	responseNodes = 9
	// responseDepths is how many e-foldings over the deepest reading a response spans: 0.25 % of the light is left then.
	responseDepths = 6.0
)

// response is the light at some points against the extra absorption of the water. The logarithm of the light, which is
// nearly a straight line, is kept as a cubic spline: between lowPerM and highPerM it is the engine's within 1e-5.
type response struct {
	lowPerM, highPerM float64
	logs              []*interp.NotAKnotCubic // by reading; nil where no light comes
}

// newResponse lets an engine compute the readings, each in its own quantity, in as many waters as there are nodes.
func newResponse(ctx context.Context, light func(ctx context.Context, extraPerM float64) ([]float64, error), lowPerM,
	highPerM float64) (r *response, err error) {
	r = &response{lowPerM: lowPerM, highPerM: highPerM}
	var perM [responseNodes]float64
	var nodes [responseNodes][]float64
	for k := range nodes {
		perM[k] = lowPerM + (highPerM-lowPerM)*(1-math.Cos(math.Pi*float64(k)/(responseNodes-1)))/2
		if nodes[k], err = light(ctx, perM[k]); err != nil {
			return nil, err
		}
	}
	for i := range nodes[0] {
		var logs [responseNodes]float64
		for k := range logs {
			logs[k] = math.Log(nodes[k][i])
		}
		curve := &interp.NotAKnotCubic{}
		if !(nodes[responseNodes-1][i] > 0) {
			curve = nil
		} else if err := curve.Fit(perM[:], logs[:]); err != nil {
			return nil, err
		}
		r.logs = append(r.logs, curve)
	}
	return r, nil
}

// at returns the light of reading i and its slope with the extra absorption.
func (r *response) at(i int, perM float64) (value, slope float64) {
	c := r.logs[i]
	if c == nil {
		return 0, 0
	}
	value = math.Exp(c.Predict(perM))
	return value, value * c.PredictDerivative(perM)
}
