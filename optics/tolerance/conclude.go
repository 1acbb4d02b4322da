package tolerance

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/stat"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// conclude turns samples into intervals about the map's own values: those of each source alone, then those of all.
func (t *sampler) conclude(p *result.Plane, m *result.Map, samples [sourceCount + 1][]measure) *result.Tolerance {
	all, own, told := samples[sourceCount], t.light(make([]float64, t.dimensions()), -1), p.Light(t.shown)
	if len(m.Goal.Parts) > 0 {
		told = m.Goal.Parts[0].Light.Of(t.shown)
	}
	out := &result.Tolerance{Plane: p.Name, Shown: t.shown, Samples: len(all), GoalAsked: t.scene.Goal.Set(),
		Place: t.scene.Goal.Name}
	out.Mean = spread(all, meanOf, own, told.Mean)
	out.Min = spread(all, minOf, own, told.Min)
	out.MinOverMean = spread(all, evenOf, own, told.MinOverMean)
	for _, s := range all {
		if t.meets(m.Goal, ratio(s[meanOf], own[meanOf]), ratio(s[evenOf], own[evenOf])) {
			out.GoalShare += 1 / float64(len(all))
		}
	}
	out.Sources = t.sources(samples)
	out.Notes, out.Verdict = t.notes(out), verdict(out)
	return out
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 1
	}
	return a / b
}

// spread is the interval of one measure, as shares of its own value about what the map tells.
func spread(all []measure, of int, own measure, told float64) result.Interval {
	values := make([]float64, len(all))
	for i, m := range all {
		values[i] = ratio(m[of], own[of])
	}
	sort.Float64s(values)
	at := func(p float64) float64 { return told * result.Percentile(values, p) }
	return result.Interval{Value: told, Low: at((1 - toleranceShare) / 2), High: at((1 + toleranceShare) / 2)}
}

// meets holds one sample against the goal of a map: the light of its parts times a factor, and its min/mean times
// another. Parts that lie elsewhere are taken to vary as the first one does.
func (t *sampler) meets(g result.Goal, light, even float64) bool {
	lights := g.Lights()
	for i, l := range lights {
		l = l.Scaled(math.Max(light, 1e-9))
		for _, s := range []*result.Statistics{&l.Illuminance, &l.PPFD} {
			s.MinOverMean *= even
			s.Min *= even
		}
		lights[i] = l
	}
	return optics.Judge(t.scene.Goal, lights, g.Maintenance, finding.Finding{}).Met
}

// sources says what each tolerance does alone.
func (t *sampler) sources(alone [sourceCount + 1][]measure) []result.ToleranceSource {
	list := make([]result.ToleranceSource, sourceCount)
	for s := range sourceCount {
		of, limit := kinds[s], t.limit(s)
		list[s] = result.ToleranceSource{Name: of.name, Limit: fmt.Sprintf("%.3g %%", 100*limit),
			Given: t.scene.Tolerance.Given}
		if of.dimension != nil {
			list[s].Limit = of.dimension.Say(limit)
		}
	}
	for k := range len(measure{}) {
		var total float64
		for s := range list {
			values := make([]float64, toleranceSamples)
			for i, m := range alone[s] {
				values[i] = m[k]
			}
			list[s].Shares[k] = stat.PopVariance(values, nil)
			total += list[s].Shares[k]
		}
		for s := range list {
			list[s].Shares[k] /= math.Max(total, math.SmallestNonzeroFloat64)
		}
	}
	return list
}

// notes are what a reader must know beside the numbers. Stained water is far from pure water, and only at the red end
// nearly as clear.
func (t *sampler) notes(o *result.Tolerance) (list []finding.Finding) {
	if t.fixed && t.scene.Tolerance.BeamShare > 0 {
		list = append(list, finding.BeamsMeasured.Of())
	}
	if t.limit(fieldSource) > 0 {
		list = append(list, finding.TailsGuessed.Of(finding.Text(strings.Join(t.guessed, ", "))))
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

func verdict(o *result.Tolerance) finding.Finding {
	low := o.Shown.Value(o.Mean.Low)
	low.Unit = ""
	ratio := func(v float64) finding.Value { return finding.Value{V: v, Decimals: 2} }
	var meet, sources finding.Finding
	if o.GoalAsked {
		meet = finding.SamplesMeet.Of(finding.Percent(o.GoalShare))
	}
	most := [2]result.ToleranceSource{o.Sources[0], o.Sources[0]} // of the variance of the mean, of that of U0
	for _, s := range o.Sources[1:] {
		for i, k := range []int{meanOf, evenOf} {
			if s.Shares[k] > most[i].Shares[k] {
				most[i] = s
			}
		}
	}
	mean, even := finding.Text(most[0].Name), finding.Text(most[1].Name)
	meanShare, evenShare := finding.Percent(most[0].Shares[meanOf]), finding.Percent(most[1].Shares[evenOf])
	switch {
	case meanShare.V == 0 && evenShare.V == 0:
	case mean == even:
		sources = finding.OneSource.Of(mean, meanShare, evenShare)
	default:
		sources = finding.TwoSources.Of(mean, meanShare, even, evenShare)
	}
	place := finding.Plane(o.Plane)
	if o.Place != "" {
		place = finding.Text(o.Place)
	}
	return finding.BuiltWithin.Of(place, low, o.Shown.Value(o.Mean.High), ratio(o.MinOverMean.Low),
		ratio(o.MinOverMean.High), finding.Percent(toleranceShare), finding.Count{N: o.Samples, Noun: "sample"},
		meet, sources)
}
