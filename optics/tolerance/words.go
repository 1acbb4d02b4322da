package tolerance

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene/unit"
)

// conclude turns samples into intervals about the map's own values.
func (t *tolerator) conclude(p *result.Plane, m *result.Map, all []measure, alone [sourceCount][]measure) *result.Tolerance {
	own := t.light(make([]float64, 2*len(t.modules)+t.rails+t.optics+1), -1)
	told := p.Light(t.shown)
	out := &result.Tolerance{Plane: p.Name, Shown: t.shown, Samples: len(all), GoalAsked: t.scene.Goal.Set()}
	out.Mean = spread(all, measure.meanOf, own.mean, told.Mean)
	out.Min = spread(all, measure.minOf, own.min, told.Min)
	out.MinOverMean = spread(all, measure.even, own.even(), told.MinOverMean)
	met := 0
	for _, s := range all {
		if t.meets(p, m.Maintenance, ratio(s.mean, own.mean), told.MinOverMean*ratio(s.even(), own.even())) {
			met++
		}
	}
	out.GoalShare = float64(met) / float64(len(all))
	out.Sources = t.sources(alone)
	if t.fixed && t.scene.Tolerance.BeamShare > 0 {
		out.Notes = append(out.Notes, "the beams of measured optics are taken as they are")
	}
	for _, words := range []string{t.clearNote(), optimumNote(out)} {
		if words != "" {
			out.Notes = append(out.Notes, words)
		}
	}
	out.Verdict = toleranceVerdict(out)
	return out
}

// clearNote says why the clarity counts less towards clearer water than towards murkier, empty where it does not. Stained
// water is far from pure water, and only at the red end nearly as clear.
func (t *tolerator) clearNote() string {
	limit := t.scene.Tolerance.AbsorptionPerM
	switch {
	case limit == 0 || t.lowest <= -0.9:
		return ""
	case t.scene.Tank.Water.AbovePurePerM() < limit:
		return "the water is nearly as clear as pure water, so that its absorption counts mostly upwards"
	}
	return fmt.Sprintf("the absorption counts by %s downwards and by %s upwards: lower still, the water would absorb less red light than pure water does",
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
		return fmt.Sprintf("the computed %s and %s lie above their intervals: %s them", strings.Join(above[:n-1], ", "), above[n-1], why)
	}
}

func (m measure) meanOf() float64 { return m.mean }

func (m measure) minOf() float64 { return m.min }

func ratio(a, b float64) float64 {
	if b == 0 {
		return 1
	}
	return a / b
}

// spread is the interval of one measure, as shares of its own value about what the map tells.
func spread(all []measure, of func(measure) float64, own, told float64) result.Interval {
	values := make([]float64, len(all))
	for i, m := range all {
		values[i] = ratio(of(m), own)
	}
	sort.Float64s(values)
	at := func(p float64) float64 {
		x := p * float64(len(values)-1)
		i := min(int(x), len(values)-2)
		return told * (values[i] + (x-float64(i))*(values[i+1]-values[i]))
	}
	return result.Interval{Value: told, Low: at((1 - toleranceShare) / 2), High: at((1 + toleranceShare) / 2)}
}

// meets holds one sample against the goal: the plane with its means times light, and another min/mean.
func (t *tolerator) meets(p *result.Plane, maintenance, light, even float64) bool {
	g := t.scene.Goal
	aged := optics.Maintained(p, math.Max(maintenance, 1e-9)*light)
	aged.Illuminance.MinOverMean, aged.PPFD.MinOverMean = even, even
	return optics.Judge(g, aged, "").Met
}

// sources says what each tolerance does alone.
func (t *tolerator) sources(alone [sourceCount][]measure) []result.ToleranceSource {
	l := t.scene.Tolerance
	list := []result.ToleranceSource{
		{Name: "flux", Limit: fmt.Sprintf("%.3g %%", 100*l.FluxShare)}, {Name: "beam", Limit: fmt.Sprintf("%.3g %%", 100*l.BeamShare)},
		{Name: "position", Limit: unit.Length.Say(l.PositionM)}, {Name: "height", Limit: unit.Length.Say(l.HeightM)},
		{Name: "absorption", Limit: unit.Attenuation.Say(l.AbsorptionPerM)},
	}
	for _, part := range []struct {
		of func(measure) float64
		to func(*result.ToleranceSource) *float64
	}{
		{measure.meanOf, func(s *result.ToleranceSource) *float64 { return &s.Mean }},
		{measure.minOf, func(s *result.ToleranceSource) *float64 { return &s.Min }},
		{measure.even, func(s *result.ToleranceSource) *float64 { return &s.MinOverMean }},
	} {
		var total float64
		var each [sourceCount]float64
		for s := range sourceCount {
			each[s] = variance(alone[s], part.of)
			total += each[s]
		}
		for s := range sourceCount {
			if total > 0 {
				*part.to(&list[s]) = each[s] / total
			}
		}
	}
	for i := range list {
		list[i].Given = l.Given
	}
	return list
}

func variance(list []measure, of func(measure) float64) float64 {
	var sum, squares float64
	first := of(list[0])
	for _, m := range list {
		d := of(m) - first
		sum += d
		squares += d * d
	}
	n := float64(len(list))
	return math.Max(0, squares/n-sum/n*sum/n)
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
	words := fmt.Sprintf("Built within its tolerances, the %s gets %s to %s on average and min/mean %s to %s (90 %% of %d samples)", optics.PlaceName(o.Plane),
		strings.TrimSuffix(optics.LightFigure(o.Shown, o.Mean.Low), " "+o.Shown.Unit()), optics.LightFigure(o.Shown, o.Mean.High), unit.Ratio(o.MinOverMean.Low), unit.Ratio(o.MinOverMean.High), o.Samples)
	if o.GoalAsked {
		words += fmt.Sprintf("; %.0f %% of them meet the goal", 100*o.GoalShare)
	}
	mean := most(o.Sources, func(s result.ToleranceSource) float64 { return s.Mean })
	even := most(o.Sources, func(s result.ToleranceSource) float64 { return s.MinOverMean })
	switch {
	case mean.Mean == 0 && even.MinOverMean == 0:
		return words + "."
	case mean.Name == even.Name:
		return fmt.Sprintf("%s. Most of it comes from %s: %.0f %% of the variance of the mean, %.0f %% of that of min/mean.", words, mean.Name, 100*mean.Mean, 100*even.MinOverMean)
	}
	return fmt.Sprintf("%s. The mean depends most on %s (%.0f %% of its variance), min/mean on %s (%.0f %%).", words, mean.Name, 100*mean.Mean, even.Name, 100*even.MinOverMean)
}
