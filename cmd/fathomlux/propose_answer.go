package main

import (
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
	var list []string
	for _, w := range l.Words {
		list = append(list, w.String())
	}
	if len(list) == 0 {
		return "nearest"
	}
	return strings.Join(list, ", ")
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
		for _, f := range files {
			if !slices.ContainsFunc(out.files, func(g output.File) bool { return g.Name == f.Name }) {
				out.files = append(out.files, f)
			}
		}
	}
	var of []situation
	for _, l := range lights {
		of = append(of, situation{scene: l.Scene, units: o.system(), groups: l.Groups, op: l.Point})
	}
	out.cautions = long(sayings("propose", of...))
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

// missesOf says what a light misses of the goal and of the limits.
func missesOf(l *propose.Light, r propose.Options, u unit.System) (list []string) {
	for _, f := range l.Candidate.Goal.Missing() {
		list = append(list, f.Words(u))
	}
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
		c.Money, c.Even = append(c.Money, d.Money), append(c.Even, d.Even)
	}
	for _, d := range found.Front {
		c.FrontMoney, c.FrontEven = append(c.FrontMoney, d.Money), append(c.FrontEven, d.Even)
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
		var wordList []string
		for _, w := range l.Words {
			wordList = append(wordList, slugs[w])
		}
		var y []float64
		for _, one := range l.Scene.Rails {
			y = append(y, millimetres(one.YM))
		}
		record := answer.Answer{answer.Figure{Key: "name", Title: "proposal", Value: lightTitle(l)},
			answer.Figure{Key: "words", Value: wordList, In: answer.JSON},
			answer.Figure{Key: "file", Value: nameWith(l.Scene.File, lightSlug(l))},
			answer.Figure{Key: "modules", Title: "modules", Value: len(modulesOf(l.Scene))},
			answer.Figure{Key: "part", Title: "part", Value: m.Part.Name},
			answer.Figure{Key: "optic", Title: "lens", Value: m.Optic.Name},
			answer.Figure{Key: "current_ma", Title: "current", Unit: "mA", Say: figured(0),
				Value: roundTo(m.CurrentA*1000, 1e-6)},
			answer.Figure{Key: "rows", Title: "rows", Value: len(l.Scene.Rails)},
			answer.Figure{Key: "y_mm", Value: y, In: answer.JSON},
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
			answer.Figure{Key: "goal_met", Value: l.Candidate.Goal.Met},
			answer.Figure{Title: "goal", Value: goalWord(l.Candidate.Goal)}}
		records = append(records, record)
	}
	return answer.Rows("proposals", "", records...)
}

// merit is one thing that a light may be better or worse in.
type merit struct {
	word  propose.Word
	of    func(*propose.Light) float64 // NaN where it is not known
	more  bool                         // the more the better
	worse string
	say   func(l *propose.Light) string
}

func merits() []merit {
	light := (*propose.Light).Counted
	money := func(m parts.Money, known bool) float64 {
		if !known {
			return math.NaN()
		}
		return m.Amount
	}
	return []merit{
		{propose.Cheapest, func(l *propose.Light) float64 { return money(l.Money, l.Money.Currency != "") }, false,
			"costs more", func(l *propose.Light) string { return moneyText(l.Money) }},
		{propose.LeastPower, func(l *propose.Light) float64 { return l.MainsW }, false, "takes more power",
			func(l *propose.Light) string { return figured(1)(l.MainsW) + " W" }},
		{propose.MostEven, func(l *propose.Light) float64 { return light(l).MinOverMean }, true, "is less even",
			func(l *propose.Light) string { return "U0 " + unit.Ratio(light(l).MinOverMean) }},
		{propose.Brightest, func(l *propose.Light) float64 { return light(l).Min }, true, "has a darker dimmest place",
			func(l *propose.Light) string { return lightText(l.Candidate.Goal.Shown, light(l).Min) }},
		{propose.FiveYears, func(l *propose.Light) float64 { m, ok := l.FiveYears(); return money(m, ok) }, false,
			"costs more over five years", func(l *propose.Light) string { m, _ := l.FiveYears(); return moneyText(m) }},
	}
}

// leastGiven is the least difference, as a share, that a sentence speaks of.
const leastGiven = 0.03

// lightSentences say of each light what it is the best of and what it gives up against the best in all else.
func lightSentences(lights []*propose.Light) (list []string) {
	for _, l := range lights {
		var has, lacks []string
		for _, m := range merits() {
			best := l
			for _, o := range lights {
				if v := m.of(o); m.more && v > m.of(best) || !m.more && v < m.of(best) {
					best = o
				}
			}
			own, other := m.of(l), m.of(best)
			switch {
			case slices.Contains(l.Words, m.word):
				has = append(has, m.word.String()+" ("+m.say(l)+")")
			case math.Abs(own-other) > leastGiven*math.Abs(other):
				lacks = append(lacks, m.worse+" ("+m.say(l)+" against "+m.say(best)+")")
			}
		}
		gives := "it gives up nothing against the others."
		if n := len(lacks); n > 0 {
			gives = "for that it " + unit.List(lacks, n) + "."
		}
		text := strings.Join(has, " and ") + ": " + buildText(l) + "; " + gives
		list = append(list, strings.ToUpper(text[:1])+text[1:])
	}
	return list
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
	return fmt.Sprintf("; loosening %s would help most: at about %s in place of %s all else is met", l.Limit,
		unit.Short(need, 3), unit.Short(l.Now, 3))
}

func looserData(found *propose.Found) answer.Table {
	return answer.TableOf("", keys("limit", "now", "need"), found.Looser, func(l propose.Looser) []any {
		return []any{l.Limit, l.Now, l.Need}
	})
}
