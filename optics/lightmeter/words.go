package lightmeter

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/fit"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// leastThrownBack is the share of the flux that is worth a note.
const leastThrownBack = 0.02

// conclude turns a fit into the answer.
func (m *meter) conclude(measured []float64, f *fit.Fit) (*result.Fit, error) {
	o := &result.Fit{Title: m.scene.Title, Engine: string(cmp.Or(m.options.Engine, optics.Direct)), Sensors: append([]result.SensorFactor(nil), m.sensors...), NoClarity: m.noClarity, Clarity: m.response != nil,
		Scatter: f.Scatter, Stated: m.options.RelativeError, CosineError: m.options.CosineError, LeaveOneOut: f.LeaveOneOut, Dof: f.Dof,
		WasPerM: m.scene.Tank.Water.ExtraAbsorbPerM}
	m.factors(o, f)
	o.ExtraPerM = result.Interval{Value: o.WasPerM, Low: o.WasPerM, High: o.WasPerM}
	if m.response != nil {
		if err := m.clarity(o, f); err != nil {
			return nil, err
		}
	}
	if o.FluxFactor = m.fluxFactor() * o.Factor.Value; !(o.FluxFactor >= scene.LowestFluxFactor && o.FluxFactor <= scene.HighestFluxFactor) {
		return nil, fmt.Errorf("the readings are %.3g times the light of the scene, which no meter corrects; look at the unit of the readings, the modules' part and their current", o.Factor.Value)
	}
	var squares float64
	for i, r := range m.list {
		one := result.Measured{XM: r.XM, YM: r.YM, DepthM: r.DepthM, Photons: r.Photons, Sensor: m.sensorOf[i], Line: r.Line, Note: r.Note,
			Measured: measured[i], Computed: m.computed(i), Fitted: f.Values[i], Residual: f.Residuals[i], Studentised: f.Studentised[i], Outlier: f.Outlier[i]}
		if one.Fitted > 0 {
			one.Residual = one.Measured/one.Fitted - 1
		}
		if one.Outlier {
			o.Outliers++
		}
		if !one.Outlier {
			d := (one.Measured - one.Computed) / math.Max(one.Computed, floorShare*m.highest(measured))
			squares += d * d
		}
		o.Readings = append(o.Readings, one)
	}
	o.Before = math.Sqrt(squares / float64(len(m.list)-o.Outliers))
	o.Notes = m.notes(o, f)
	o.Verdict = meterVerdict(o)
	return o, nil
}

func (m *meter) highest(values []float64) float64 {
	highest := 0.0
	for _, v := range values {
		highest = math.Max(highest, v)
	}
	return math.Max(highest, 1e-300)
}

// fluxFactor is the scene's own.
func (m *meter) fluxFactor() float64 {
	if m.scene.FluxFactor > 0 {
		return m.scene.FluxFactor
	}
	return 1
}

// factors fills the sensors' factors and their geometric mean. A cosine error of up to e counts as a standard error of
// e/sqrt 3, that of a rectangle (JCGM 100:2008, 4.3.7), common to all readings of a sensor.
func (m *meter) factors(o *result.Fit, f *fit.Fit) {
	n := len(m.sensors)
	cosine := m.options.CosineError / math.Sqrt(3)
	var mean, variance float64
	for s := range n {
		o.Sensors[s].Factor = grown(f.P[s], m.half(f, f.Covariance.At(s, s), cosine*cosine))
		mean += f.P[s] / float64(n)
		for k := range n {
			variance += f.Covariance.At(s, k) / float64(n*n)
		}
	}
	o.Factor = grown(mean, m.half(f, variance, cosine*cosine/float64(n)))
}

// half returns half the width of an interval: Student's for what the readings' scatter shows, the normal one for what was stated.
func (m *meter) half(f *fit.Fit, variance, stated float64) float64 {
	const normal95 = 1.959964 // of the normal distribution, two-sided 95 %
	return math.Hypot(f.T(confidence)*math.Sqrt(variance), normal95*math.Sqrt(stated))
}

// grown is the interval of a factor whose logarithm has the given middle and half width.
func grown(log, half float64) result.Interval {
	return result.Interval{Value: math.Exp(log), Low: math.Exp(log - half), High: math.Exp(log + half)}
}

// clarity fills the extra absorption. A cosine error may differ from depth to depth, as the light comes from other angles
// there: all of it over the depths that the readings span counts.
func (m *meter) clarity(o *result.Fit, f *fit.Fit) error {
	k := len(m.sensors)
	slope := m.options.CosineError / math.Sqrt(3) / m.spanM
	half := m.half(f, f.Covariance.At(k, k), slope*slope)
	low, high := m.response.lowPerM, m.response.highPerM
	if f.AtBound[k] && f.P[k] >= high {
		return fmt.Errorf("the readings fall with depth as in water that absorbs %.3g 1/m more, where the search ends; are the depths below the surface, and in the unit of their column?", high)
	}
	o.ExtraPerM = result.Interval{Value: f.P[k], Low: math.Max(low, f.P[k]-half), High: f.P[k] + half}
	o.Clearest = f.AtBound[k]
	return nil
}

// notes says what a reader must know beside the numbers.
func (m *meter) notes(o *result.Fit, f *fit.Fit) []string {
	var list []string
	if o.NoClarity != "" {
		list = append(list, "absorption is not fitted: "+o.NoClarity)
	}
	list = append(list, strangeFactors(o)...)
	if o.Clearest {
		list = append(list, "the water came out as clear as pure water, which is the limit of the fit: only the upper end of the interval is sound")
	}
	if f.Disagree {
		list = append(list, "more than a quarter of the readings lie far from any fit: the scene does not describe this tank (heights, optics, a dead module?); none was left out, and the factors mean little")
	}
	if names := outlierWords(o); names != "" {
		list = append(list, "outliers left out: "+names)
	}
	if f.Scatter > 2*o.Stated {
		list = append(list, fmt.Sprintf("the residual standard deviation of the readings is %.1f %%, more than the %.1f %% that was stated; the intervals go by it", 100*f.Scatter, 100*o.Stated))
	}
	if o.CosineError > 0 {
		list = append(list, fmt.Sprintf("a cosine error of up to %.3g %% widens the intervals as a standard error of %.2g %%; it moves no value", 100*o.CosineError, 100*o.CosineError/math.Sqrt(3)))
	}
	if len(m.sensors) > 1 {
		list = append(list, fmt.Sprintf("each of the %d sensors has its own factor; the scene takes their geometric mean", len(m.sensors)))
	}
	dark := 0
	for i := range m.list {
		if m.computed(i) == 0 {
			dark++
		}
	}
	if dark > 0 {
		list = append(list, fmt.Sprintf("no light is computed at %s; readings there do not count", countOf(dark, "place")))
	}
	if m.depthStepM > 0 {
		list = append(list, fmt.Sprintf("readings at more than %d depths are computed at depths rounded to %.2g mm", mostDepths, m.depthStepM*1000))
	}
	if m.thrownBack > leastThrownBack {
		list = append(list, fmt.Sprintf("the fit follows straight light alone: what floor, pale walls and particles return, %.0f %% of the flux, counts in its factors as light of the modules", 100*m.thrownBack))
	}
	return append(list, m.engine...)
}

// A factor beyond these is more than lamps differ from their data sheets, panes and lenses from clean ones, and meters from
// each other. Common practice, no published source.
const lowestUsual, highestUsual = 0.5, 2

// strangeFactors names the sensors whose factors no usual cause explains.
func strangeFactors(o *result.Fit) (list []string) {
	for _, s := range o.Sensors {
		if v := s.Factor.Value; v < lowestUsual || v > highestUsual {
			list = append(list, fmt.Sprintf("%s shows %.3g times the light of the scene, which is more than age, dust or a meter explain; before you trust the fit, look at the unit of the readings, the modules' part and current, and for dead modules", s.Name, v))
		}
	}
	return list
}

// outlierWords names the readings that were left out.
func outlierWords(o *result.Fit) string {
	var words []string
	for _, r := range o.Readings {
		if r.Outlier {
			words = append(words, fmt.Sprintf("line %d (%s, %+.0f %%)", r.Line, lightOf(r, r.Measured), 100*r.Residual))
		}
	}
	const most = 8
	if n := len(words); n > most+1 {
		return fmt.Sprintf("%s and %d more", strings.Join(words[:most], ", "), n-most)
	}
	return strings.Join(words, ", ")
}

func lightOf(r result.Measured, v float64) string {
	if r.Photons {
		return optics.LightFigure(result.PPFD, v)
	}
	return optics.LightFigure(result.Illuminance, v)
}

// meterVerdict says the answer in one sentence.
func meterVerdict(o *result.Fit) string {
	words := fmt.Sprintf("The light is %.3g times what the scene says (%.3g to %.3g)", o.Factor.Value, o.Factor.Low, o.Factor.High)
	if o.Clarity {
		more := o.ExtraPerM.Value - o.WasPerM
		kind := "more"
		if more < 0 {
			kind = "less"
		}
		words += fmt.Sprintf(", and the water absorbs %.2g 1/m %s (extra absorption %.2f, from %.2f to %.2f 1/m)", math.Abs(more), kind, o.ExtraPerM.Value, o.ExtraPerM.Low, o.ExtraPerM.High)
	}
	return fmt.Sprintf("%s; the residual standard deviation is %.1f %%, and before the fit the readings were %.1f %% off.", words, 100*o.Scatter, 100*o.Before)
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
