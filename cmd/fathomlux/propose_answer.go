package main

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/propose"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// slugs name the files of the words.
var slugs = [...]string{propose.Cheapest: "cheapest", propose.LeastPower: "least-power", propose.MostEven: "most-even",
	propose.Brightest: "brightest", propose.FiveYears: "five-years"}

// title is what a proposal is the best of, or that it is only the nearest.
func lightTitle(l *propose.Light) string {
	return cmp.Or(strings.Join(each(l.Words, propose.Word.String), ", "), "nearest")
}

func lightSlug(l *propose.Light) string {
	if len(l.Words) == 0 {
		return "nearest"
	}
	return slugs[l.Words[0]]
}

// outcome is what propose answers: a table, a sentence a light, its scene files and two pictures.
func (o *proposeOptions) outcome(ctx context.Context, sc *scene.Scene, found *propose.Found, request propose.Options,
	look render.Look) (out outcome, err error) {
	lights := found.Lights
	if len(lights) == 0 {
		if found.Nearest == nil {
			return out, fmt.Errorf("%s: no light can be built within the limits%s", sc.File, o.looserText(found))
		}
		lights, out.unmet = []*propose.Light{found.Nearest}, " by any light within the limits"
	}
	out.command, out.title = "propose", titleOr(sc.Title)
	table := lightTable(lights, false)
	sentences := lightSentences(lights)
	if len(found.Lights) == 0 {
		misses := missesOf(found.Nearest, request, o.system())
		sentences = []string{"No light meets the goal within the limits; the nearest is " + lightSentence(found.Nearest) +
			"; " + strings.Join(misses, "; ") + o.looserText(found) + "."}
	}
	notes := o.notes(found, request)
	list := answer.Answer{table, answer.Lines{List: sentences, In: answer.People},
		answer.Lines{Key: "notes", Lead: "note", List: notes}}
	list = append(list, fields("complete", found.Complete, "combinations", found.Tried, "met", len(found.Lights) > 0,
		"sentences", sentences, "looser", looserData(found), "currency", found.Currency,
		"volts_at_most", request.VoltsAtMost)...)
	out.parts, out.brief = list, sentences
	c := comparisonOf(lights)
	for _, l := range lights {
		out.scenes = append(out.scenes, l.Scene)
		var files []output.File
		if files, err = withFiles(sc, output.File{Name: nameWith(sc.File, lightSlug(l)), Data: l.Text}); err != nil {
			return out, err
		}
		out.files = withMore(out.files, files...)
	}
	out.cautions = o.cautionsOf(lights)
	if !found.Complete {
		out.interim = "interrupted; the lights that were found until then are kept"
	}
	sheet := sheetOf(c, lightTable(lights, true), out.title, finding.Finding{}, nil, look.Units)
	sheet.Notes, sheet.Verdict = sentences, unit.Several(len(lights), "light")+" of "+
		unit.Count(float64(found.Tried))+" that were looked at"
	pictures, err := render.Compare(ctx, "proposals", sheet, look)
	if err != nil {
		return out, err
	}
	out.files = append(out.files, csvFile("proposals.csv", table))
	out.files = append(out.files, pictures...)
	chart, err := render.Proposals(ctx, proposalsOf(found, lights, sc), look)
	out.files = append(out.files, chart...)
	return out, err
}

// cautionsOf are those of some lights; of like ones that of the heaviest light alone.
func (o *proposeOptions) cautionsOf(lights []*propose.Light) []string {
	of := each(lights, func(l *propose.Light) situation {
		return situation{scene: l.Scene, units: o.system(), groups: l.Groups, op: l.Point}
	})
	heavy := func(s situation) float64 { return heaviest(layouts(s.scene)).HangerN() }
	slices.SortStableFunc(of, func(a, b situation) int { return cmp.Compare(heavy(b), heavy(a)) })
	same := func(a, b saying) bool { return a.short == b.short }
	return long(slices.CompactFunc(sayings("propose", of...), same))
}

// missesOf says what a light misses of the goal and of the limits.
func missesOf(l *propose.Light, r propose.Options, u unit.System) (list []string) {
	list = each(l.Candidate.Goal.Missing(), func(f finding.Finding) string { return f.Words(u) })
	if even := l.Counted().MinOverMean; even < r.EvenAtLeast {
		list = append(list, fmt.Sprintf("its U0 of %s is below the %s of --even-at-least", unit.Ratio(even),
			unit.Ratio(r.EvenAtLeast)))
	}
	if r.Budget > 0 && l.Money.Amount > r.Budget {
		list = append(list, fmt.Sprintf("its parts cost %s, above the %s of --budget", moneyText(l.Money),
			unit.Figure(r.Budget, 2)))
	}
	if r.WattsAtMost > 0 && l.MainsW > r.WattsAtMost {
		list = append(list, fmt.Sprintf("it takes %s W, above the %s W of --watts-at-most", figured(1)(l.MainsW),
			figured(1)(r.WattsAtMost)))
	}
	return list
}

// comparisonOf holds proposals as what a comparison shows.
func comparisonOf(lights []*propose.Light) *study.Comparison {
	c := &study.Comparison{Study: result.Study{Shown: lights[0].Candidate.Goal.Shown, Best: -1}}
	for _, l := range lights {
		one := l.Candidate
		one.Name = lightTitle(l)
		c.Candidates, c.Maps = append(c.Candidates, one), append(c.Maps, l.Map)
		c.Contenders = append(c.Contenders, study.Contender{Name: one.Name, Scene: l.Scene})
		c.Junctions = c.Junctions.With(l.Map.Junctions)
	}
	return c
}

// proposalsOf is what the picture of money against uniformity shows.
func proposalsOf(found *propose.Found, lights []*propose.Light, sc *scene.Scene) render.Choice {
	c := render.Choice{Title: titleOr(sc.Title), Currency: found.Currency, Uniformity: sc.Goal.Uniformity,
		Quantity: optics.Shown(sc.Goal)}
	for _, d := range found.Dots {
		to := &c.Computed
		if d.Estimate {
			to = &c.Estimates
		}
		to.Add(d.Money, d.Even)
	}
	for _, d := range found.Front {
		c.Front.Add(d.Money, d.Even)
	}
	for _, l := range lights {
		if l.Money.Currency != "" {
			c.Answers = append(c.Answers, render.ChoiceAnswer{Name: lightTitle(l), Money: l.Money.Amount,
				Even: l.Counted().MinOverMean})
		}
	}
	return c
}

// lightTable has a row a light; that of a sheet leaves out what has no room there.
func lightTable(lights []*propose.Light, brief bool) answer.Table {
	more := answer.Text
	if brief {
		more = answer.JSON
	}
	var records []answer.Answer
	for _, l := range lights {
		shown := l.Candidate.Goal.Shown
		light := l.Counted()
		r := l.Scene.Rails[0]
		m := r.Modules[0]
		five, knownFive := l.FiveYears()
		say := func(v float64) string { return lightFigure(shown, v) }
		of := result.Of(shown, "_lx", "_ppfd_umol_m2_s")
		record := answer.Answer{answer.Figure{Key: "name", Title: "proposal", Value: lightTitle(l)},
			answer.Figure{Key: "words", Value: each(l.Words, func(w propose.Word) string { return slugs[w] }),
				In: answer.JSON},
			answer.Figure{Key: "file", Value: nameWith(l.Scene.File, lightSlug(l))},
			answer.Figure{Key: "modules", Title: "modules", Value: len(modulesOf(l.Scene))},
			answer.Figure{Key: "part", Title: "part", Value: m.Part.Name},
			answer.Figure{Key: "optic", Title: "lens", Value: m.Optic.Name},
			answer.Figure{Key: "current_ma", Title: "current", Unit: "mA", Say: figured(0),
				Value: roundTo(m.CurrentA*1000, 1e-6)},
			answer.Figure{Key: "rows", Title: "rows", Value: len(l.Scene.Rails)},
			answer.Figure{Key: "y_mm", In: answer.JSON,
				Value: each(l.Scene.Rails, func(r scene.Rail) float64 { return millimetres(r.YM) })},
			answer.Figure{Key: "height_mm", Title: "height", Unit: "mm", Say: figured(0), Value: millimetres(r.AboveWaterM),
				In: more | answer.JSON | answer.CSV},
			answer.Figure{Key: "profile", Title: "profile", Value: r.Profile.Name, In: more | answer.JSON | answer.CSV},
			answer.Figure{Key: "drivers", Title: "drivers", Value: driverText(l)},
			answer.Figure{Key: "highest_v", Title: "up to", Unit: "V", Say: figured(0), Value: l.HighestV},
			answer.Figure{Key: "money", Title: "parts", Unit: l.Money.Currency, Say: figured(2), Value: roundedMoney(l.Money)},
			answer.Figure{Key: "five_years", Title: "5 years", Unit: l.Money.Currency, Say: figured(0),
				Value: optional(math.Round(five.Amount*100)/100, knownFive)},
			answer.Figure{Key: "mains_w", Title: "mains", Unit: "W", Say: figured(1), Value: l.MainsW},
			answer.Figure{Key: "modules_w", Value: l.Candidate.PowerW},
			answer.Figure{Key: "mean" + of, Title: "mean", Unit: shown.Unit(), Say: say, Value: light.Mean},
			answer.Figure{Key: "min" + of, Title: "dimmest", Unit: shown.Unit(), Say: say, Value: light.Min},
			answer.Figure{Key: "min_over_mean", Title: "U0", Say: unit.Ratio, Value: light.MinOverMean},
			answer.Figure{Key: "hottest_junction_c",
				Value: optional(l.Candidate.Junctions.HighestC, l.Candidate.Junctions.Warm)},
			answer.Figure{Key: "goal_met", Value: l.Candidate.Goal.Met}}
		if brief {
			record = append(record, answer.Figure{Title: "goal", Value: goalWord(l.Candidate.Goal)})
		}
		records = append(records, record)
	}
	return answer.Rows("proposals", "", records...)
}

// merit is one thing that a light may be better or worse in.
type merit struct {
	word propose.Word
	of   func(*propose.Light) float64 // the lower the better; NaN where it is not known
	say  func(l *propose.Light) string
	// difference says how a light differs from another, by a share of the other's figure.
	difference func(l, o *propose.Light, share float64) string
}

func merits() []merit {
	light := (*propose.Light).Counted
	five := func(l *propose.Light) parts.Money { m, _ := l.FiveYears(); return m }
	price := func(w propose.Word, money func(*propose.Light) parts.Money, more string) merit {
		return merit{w, func(l *propose.Light) float64 {
			if _, known := l.FiveYears(); w == propose.FiveYears && !known || l.Money.Currency == "" {
				return math.NaN()
			}
			return money(l).Amount
		}, func(l *propose.Light) string { return moneyText(money(l)) }, func(l, o *propose.Light, share float64) string {
			d := math.Abs(money(l).Amount - money(o).Amount)
			return "costs " + unit.Figure(d, map[bool]int{true: 2}[d < 10]) + " " + l.Money.Currency +
				than(share, " more", " less") + more
		}}
	}
	return []merit{
		price(propose.Cheapest, func(l *propose.Light) parts.Money { return l.Money }, ""),
		{propose.LeastPower, func(l *propose.Light) float64 { return l.MainsW },
			func(l *propose.Light) string { return figured(1)(l.MainsW) + " W" },
			func(_, _ *propose.Light, share float64) string {
				return fmt.Sprintf("takes %s %s power", percent(math.Abs(share)), than(share, "more", "less"))
			}},
		{propose.MostEven, func(l *propose.Light) float64 { return -light(l).MinOverMean },
			func(l *propose.Light) string { return "U0 " + unit.Ratio(light(l).MinOverMean) },
			func(l, o *propose.Light, share float64) string {
				return fmt.Sprintf("has a U0 %.2f %s", math.Abs(light(l).MinOverMean-light(o).MinOverMean),
					than(share, "lower", "higher"))
			}},
		{propose.Brightest, func(l *propose.Light) float64 { return -light(l).Min },
			func(l *propose.Light) string { return lightText(l.Candidate.Goal.Shown, light(l).Min) },
			func(_, _ *propose.Light, share float64) string {
				if share < -1 {
					return fmt.Sprintf("is %s times as bright at its dimmest place", unit.Figure(1-share, 1))
				}
				return fmt.Sprintf("is %s %s at its dimmest place", percent(math.Abs(share)), than(share, "darker", "brighter"))
			}},
		price(propose.FiveYears, five, " over five years"),
	}
}

// than chooses the words for what is worse, and for what is better.
func than(share float64, worse, better string) string {
	if share > 0 {
		return worse
	}
	return better
}

// leastGiven is the least difference, as a share, that a sentence speaks of, and mostGiven how many things it gives up.
const (
	leastGiven = 0.03
	mostGiven  = 2
)

// rivals name what the others are held against, by its first word.
var rivals = [...]string{propose.Cheapest: "the cheapest", propose.LeastPower: "the one of least power",
	propose.MostEven: "the most even", propose.Brightest: "the brightest",
	propose.FiveYears: "the cheapest over five years"}

// lightSentences say of each light what it is the best of, and against the first one what it gives up most and what it
// is for; of the first, what others are better in.
func lightSentences(lights []*propose.Light) (list []string) {
	for _, l := range lights {
		var has, gains []string
		var lacks []gap
		for _, m := range merits() {
			share := func(a, b *propose.Light) float64 { return (m.of(a) - m.of(b)) / math.Abs(m.of(b)) }
			own := slices.Contains(l.Words, m.word)
			if own {
				has = append(has, m.say(l))
			}
			rival := lights[0]
			for _, o := range lights {
				if l == lights[0] && m.of(o) < m.of(rival) {
					rival = o
				}
			}
			switch v := share(l, rival); {
			case m.word == propose.FiveYears && len(lacks) > 0 && lacks[0].word == propose.Cheapest && v > 0: // said already
			case v > leastGiven && l == lights[0]:
				lacks = append(lacks, gap{m.word, "another " + m.difference(rival, l, share(rival, l)), v})
			case v > leastGiven:
				lacks = append(lacks, gap{m.word, m.difference(l, rival, v), v})
			case own && v < 0:
				gains = append(gains, m.difference(l, rival, v))
			}
		}
		most := mostGiven
		if len(has) > 1 {
			most, gains = 1, nil
		}
		for len(lacks) > most {
			least := slices.MinFunc(lacks, func(a, b gap) int { return cmp.Compare(a.share, b.share) })
			lacks = slices.DeleteFunc(lacks, func(g gap) bool { return g == least })
		}
		var told []string
		for i, g := range lacks {
			if told = append(told, g.text); i == 0 && l != lights[0] {
				told[0] += " than " + rivals[lights[0].Words[0]]
			}
		}
		text := cmp.Or(strings.Join(told, " and "), "gives up nothing against the others")
		if len(gains) > 0 {
			text += ", but " + gains[0]
		}
		list = append(list, unit.Capital(lightTitle(l)+" ("+strings.Join(has, ", ")+"): "+text+"."))
	}
	return list
}

// gap is what a light gives up, and by which share.
type gap struct {
	word  propose.Word
	text  string
	share float64
}

// notes say what was left out, and what the limit of voltage costs.
func (o *proposeOptions) notes(found *propose.Found, request propose.Options) (list []string) {
	for _, u := range found.Unjudged {
		list = append(list, "no light is named "+u.Word.String()+": "+u.Why)
	}
	if m := found.AtDryTouch; m.Currency != "" && len(found.Lights) > 0 {
		cheaper := "no cheaper"
		if less := found.AtLimit.Amount - m.Amount; less > leastGiven/3*m.Amount {
			cheaper = "about " + moneyText(parts.Money{Amount: less, Currency: m.Currency}) + " cheaper"
		}
		list = append(list, fmt.Sprintf("drivers stay at or below %g V, also without a load; up to %d V the cheapest light "+
			"would be %s", request.VoltsAtMost, circuit.DryTouchV, cheaper))
	}
	if len(o.unheard) > 0 {
		list = append(list, "left out, as light of one colour or without a readable distribution: "+
			strings.Join(o.unheard, ", ")+"; --only names what is to be taken all the same")
	}
	return list
}

// looserText says which limit would have to give way.
func (o *proposeOptions) looserText(found *propose.Found) string {
	if len(found.Looser) == 0 {
		return "; no single limit stands in the way: loosen several, or give more parts, rows or modules"
	}
	l := found.Looser[0]
	step := math.Pow(10, math.Floor(math.Log10(l.Need))-2) // three digits, on the side that serves
	need := math.Floor(l.Need/step) * step
	if l.Need > l.Now {
		need = math.Ceil(l.Need/step) * step
	}
	say := func(v float64) string { return strings.TrimSuffix(unit.Short(v, 3)+" "+l.Unit, " ") }
	return fmt.Sprintf("; loosening %s would help most: at about %s in place of %s all else is met", l.Limit, say(need),
		say(l.Now))
}

func looserData(found *propose.Found) answer.Table {
	return answer.TableOf("", keys("limit", "now", "need"), found.Looser, func(l propose.Looser) []any {
		return []any{l.Limit, l.Now, l.Need}
	})
}
