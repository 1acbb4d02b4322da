package tolerance

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// conclude turns samples into intervals about the map's own values.
func (t *sampler) conclude(p *result.Plane, m *result.Map, all []measure,
	alone [sourceCount][]measure) *result.Tolerance {
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
	out.Notes, out.Verdict = t.notes(out), verdict(out)
	return out
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
func (t *sampler) meets(p *result.Plane, maintenance, light, even float64) bool {
	g := t.scene.Goal
	aged := optics.Maintained(p, math.Max(maintenance, 1e-9)*light)
	aged.Illuminance.MinOverMean, aged.PPFD.MinOverMean = even, even
	return optics.Judge(g, aged, finding.Finding{}).Met
}

// sources says what each tolerance does alone.
func (t *sampler) sources(alone [sourceCount][]measure) []result.ToleranceSource {
	l := t.scene.Tolerance
	list := []result.ToleranceSource{
		{Name: "flux", Limit: fmt.Sprintf("%.3g %%", 100*l.FluxShare)}, {Name: "beam", Limit: fmt.Sprintf("%.3g %%",
			100*l.BeamShare)},
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
	values := make([]float64, len(list))
	for i, m := range list {
		values[i] = of(m)
	}
	return stat.PopVariance(values, nil)
}
