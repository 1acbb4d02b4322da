package lightmeter

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/fit"
	"fathomlux/optics/result"
	"fathomlux/scene"
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
