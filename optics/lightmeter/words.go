package lightmeter

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/fit"
	"fathomlux/optics/result"
)

// leastThrownBack is the share of the flux that is worth a note.
const leastThrownBack = 0.02

// notes says what a reader must know beside the numbers.
func (m *meter) notes(o *result.Fit, f *fit.Fit) []string {
	var list []string
	if o.NoAbsorption != "" {
		list = append(list, "absorption is not fitted: "+o.NoAbsorption)
	}
	list = append(list, strangeFactors(o)...)
	if o.Clearest {
		list = append(list, "the water came out as clear as pure water, which is the limit of the fit: only the upper end "+
			"of the interval is sound")
	}
	if f.Disagree {
		list = append(list, "more than a quarter of the readings lie far from any fit: the scene does not describe this "+
			"tank (heights, optics, a dead module?); none was left out, and the factors mean little")
	}
	if names := outlierWords(o); names != "" {
		list = append(list, "outliers left out: "+names)
	}
	if f.Scatter > 2*o.Stated {
		list = append(list, fmt.Sprintf("the residual standard deviation of the readings is %.1f %%, more than the %.1f "+
			"%% that was stated; the intervals go by it", 100*f.Scatter, 100*o.Stated))
	}
	if o.CosineError > 0 {
		list = append(list, fmt.Sprintf("a cosine error of up to %.3g %% widens the intervals as a standard error of %.2g "+
			"%%; it moves no value", 100*o.CosineError, 100*o.CosineError/math.Sqrt(3)))
	}
	if len(m.sensors) > 1 {
		list = append(list, fmt.Sprintf("each of the %d sensors has its own factor; the scene takes their geometric mean",
			len(m.sensors)))
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
		list = append(list, fmt.Sprintf("readings at more than %d depths are computed at depths rounded to %.2g mm",
			mostDepths, m.depthStepM*1000))
	}
	if m.thrownBack > leastThrownBack {
		list = append(list, fmt.Sprintf("the fit follows straight light alone: what floor, pale walls and particles "+
			"return, %.0f %% of the flux, counts in its factors as light of the modules", 100*m.thrownBack))
	}
	return append(list, m.engine...)
}

// A factor beyond these is more than lamps differ from their data sheets, panes and lenses from clean ones, and meters
// from each other. Common practice, no published source.
const lowestUsual, highestUsual = 0.5, 2

// strangeFactors names the sensors whose factors no usual cause explains.
func strangeFactors(o *result.Fit) (list []string) {
	for _, s := range o.Sensors {
		if v := s.Factor.Value; v < lowestUsual || v > highestUsual {
			list = append(list, fmt.Sprintf("%s shows %.3g times the light of the scene, which is more than age, dust or a "+
				"meter explain; before you trust the fit, look at the unit of the readings, the modules' part and current, and "+
				"for dead modules", s.Name, v))
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
	words := fmt.Sprintf("The light is %.3g times what the scene says (%.3g to %.3g)", o.Factor.Value, o.Factor.Low,
		o.Factor.High)
	if o.Absorption {
		more := o.ExtraPerM.Value - o.WasPerM
		kind := "more"
		if more < 0 {
			kind = "less"
		}
		words += fmt.Sprintf(", and the water absorbs %.2g 1/m %s (extra absorption %.2f, from %.2f to %.2f 1/m)",
			math.Abs(more), kind, o.ExtraPerM.Value, o.ExtraPerM.Low, o.ExtraPerM.High)
	}
	return fmt.Sprintf("%s; the residual standard deviation is %.1f %%, and before the fit the readings were %.1f %% off.",
		words, 100*o.Scatter, 100*o.Before)
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
