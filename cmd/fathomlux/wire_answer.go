package main

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/circuit"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// answer is what wire answers.
func (p wirePrint) answer() answer.Answer {
	groups := answer.Groups{Key: "groups"}
	for i := range p.groups {
		groups.List = append(groups.List, p.group(&p.groups[i]))
	}
	head := append(headOf(p.scene, p.scene.File, p.dir), answer.Figure{Key: "junctions", Value: p.junctions}, groups,
		p.running(), deadTable(p.light))
	if len(p.light) > 0 {
		head = append(head, answer.Lines{List: []string{fmt.Sprintf("straight light on the plane %q on a coarse grid, "+
			"without what floor, walls and water throw back, string 0 standing for none; "+
			"the strings that are left keep their current, "+
			"though a constant-current driver gives them more", p.light[0].plane.Name)}, In: answer.People})
	}
	return append(head, tailOf(p.scene, p.dir, p.files, p.notes, p.cautions("wire"))...)
}

// group is the answer for the modules of one current.
func (a *wired) group(g *wiring.Group) answer.Group {
	p, given := g.Plan, g.Job.Given
	out := answer.Group{
		Title: fmt.Sprintf("%s at %s mA; warm: %s, cold: junctions at %s °C", several(len(g.Members), "module"),
			tenth(1000*g.CurrentA()), a.junctions, tenth(given.ColdC)),
		Parts: answer.Answer{
			answer.Figure{Key: "current_ma", Value: roundTo(1000*g.CurrentA(), 1e-6)},
			answer.Figure{Key: "modules", Value: len(g.Members)},
			answer.Figure{Key: "cold_junction_c", Value: given.ColdC},
			splitTable(g),
			answer.Lines{List: choiceLines(g), In: answer.People},
			pickOf("recommended", p, p.Recommended), pickOf("chosen", p, p.Chosen),
			answer.Figure{Key: "would_serve", Value: g.Serve},
			answer.Group{Key: "assumed", In: answer.JSON, Parts: answer.Answer{
				answer.Figure{Key: "forward_voltage_share", Value: given.Forward.Share},
				answer.Figure{Key: "power_margin_share", Value: given.MarginShare},
				answer.Figure{Key: "wire_drop_share", Value: given.DropShare},
				answer.Figure{Key: "copper_c", Value: given.CopperC},
			}},
			answer.Figure{Key: "voltage_v", Value: p.Sharing.VoltageV},
			answer.Lines{List: stringLines(a.scene, g), In: answer.People},
		},
	}
	var open, short, worst, likely any // nothing where nothing is chosen
	var lines []string
	if len(p.Circuit.Strings) > 0 {
		open, short, worst, likely = faultOf(g, p.Open), faultOf(g, p.Short), spreadOf(p.Worst), spreadOf(p.Likely)
		lines = consequences(a.scene, g)
	}
	fit, _ := g.Fit()
	out.Parts = append(out.Parts, answer.Figure{Key: "open_circuit", Value: open}, answer.Figure{Key: "short_circuit",
		Value: short},
		answer.Figure{Key: "spread_worst", Value: worst}, answer.Figure{Key: "spread_likely", Value: likely},
		answer.Lines{Key: "consequences", List: lines}, driverOf(g),
		answer.Lines{List: prefixed("driver "+fit.Driver.Name+": ", fit.Cautions), In: answer.People},
		stringTable(a.scene, g))
	return answer.Group{Title: out.Title, Parts: append(out.Parts, limitParts(p.Limits)...)}
}

// prefixed returns lines with the same words before each.
func prefixed(lead string, lines []string) (list []string) {
	for _, line := range lines {
		list = append(list, lead+line)
	}
	return list
}

// splitTable is all ways to divide the modules of a group into strings of equal length.
func splitTable(g *wiring.Group) answer.Table {
	t := answer.Table{Key: "splits", Title: "Ways to divide the modules into strings of equal length", Sorts: true,
		Columns: []answer.Column{
			{Title: "strings x modules"}, {Key: "current_ma", In: answer.CSV}, {Key: "strings"}, {Key: "modules_each"},
			{Key: "refused"},
			{Key: "warm_v", Title: "warm", Unit: "V", Digits: 1}, {Key: "lowest_v"}, {Key: "cold_v", Title: "cold",
				Unit: "V", Digits: 1},
			{Key: "driver_a", Title: "current", Unit: "A", Digits: 2}, {Key: "load_w", Title: "load", Unit: "W",
				Digits: 1}, {Key: "cold_load_w"}, {Key: "touch", Title: "bare parts"},
			{Key: "largest_gap_mm"}, {Key: "drivers_fit"}, {Title: "drivers that fit"}, {Key: "recommended"},
			{Key: "chosen"}, {Title: "choice"},
		}}
	for k, s := range g.Plan.Splits {
		isRecommended, isChosen := k == g.Plan.Recommended.Split, k == g.Plan.Chosen.Split
		row := []any{fmt.Sprintf("%d x %d", s.Strings, s.PerString), 1000 * g.CurrentA(), s.Strings, s.PerString,
			s.Refused}
		if s.Refused != "" {
			t.Rows = append(t.Rows, append(row, nil, nil, nil, nil, nil, nil, nil, nil, []string{}, nil, false, false,
				"no: "+s.Refused))
			continue
		}
		mark := map[bool]string{true: "recommended"}[isRecommended]
		if isChosen {
			mark = strings.TrimPrefix(mark+", chosen", ", ")
		}
		t.Rows = append(t.Rows, append(row, s.WarmV, s.LowestV, s.HighestV, s.DriverA, s.LoadW, s.ColdLoadW,
			s.Touch.String(), millimetres(s.LargestGapM),
			fitNames(s), shortList(fitNames(s), 3), isRecommended, isChosen, mark))
	}
	return finer(t)
}

// splits are those of all groups.
func (a *wired) splits() (all answer.Table) {
	for i := range a.groups {
		t := splitTable(&a.groups[i])
		all.Columns, all.Rows = t.Columns, append(all.Rows, t.Rows...)
	}
	return all
}

// fitNames are the names of the drivers that fit a split.
func fitNames(s circuit.Split) (names []string) {
	for _, f := range s.Fits {
		if f.Fits {
			names = append(names, f.Driver.Name)
		}
	}
	return names
}

// shortList joins names, at most some of them.
func shortList(names []string, most int) string {
	switch {
	case len(names) == 0:
		return "none"
	case len(names) > most:
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}

// pickOf is a choice among the splits: 0 strings where there is none.
func pickOf(key string, plan circuit.Plan, p circuit.Pick) answer.Group {
	n, driver := 0, ""
	if p.Split >= 0 && p.Split < len(plan.Splits) {
		s := plan.Splits[p.Split]
		n = s.Strings
		if p.Fit >= 0 && p.Fit < len(s.Fits) {
			driver = s.Fits[p.Fit].Driver.Name
		}
	}
	return answer.Group{Key: key, In: answer.JSON, Parts: answer.Answer{answer.Figure{Key: "strings", Value: n},
		answer.Figure{Key: "driver", Value: driver},
		answer.Figure{Key: "why", Value: p.Why}, answer.Figure{Key: "flagged", Value: p.Flagged}}}
}

// choiceLines say what is recommended and what was chosen, or, where nothing was, why not; and what would serve where
// no
// driver feeds the modules.
func choiceLines(g *wiring.Group) []string {
	lines := []string{"not wired: " + g.Plan.Chosen.Why}
	if _, ok := g.Split(); ok {
		flag := map[bool]string{true: " (does not fit)"}[g.Plan.Chosen.Flagged]
		lines = []string{"recommended: " + g.Plan.Recommended.Why, "chosen" + flag + ": " + g.Plan.Chosen.Why}
	}
	if g.Serve != "" {
		lines = append(lines, "instead: "+g.Serve)
	}
	return lines
}

// choiceText says in one line what was chosen, or why nothing was and what would serve.
func choiceText(g *wiring.Group) string {
	return strings.TrimSuffix(g.Plan.Chosen.Why+"; "+g.Serve, "; ")
}

// memberNames returns the modules of a group's i-th string in the order of the current, as the command line names them.
func memberNames(sc *scene.Scene, g *wiring.Group, i int) (names []string) {
	seats := sc.Seats()
	for _, k := range g.Plan.Circuit.Number[i] {
		names = append(names, sc.SeatName(seats[g.Members[k]]))
	}
	return names
}

// stringLines say which modules hang in which string, in the order of the current.
func stringLines(sc *scene.Scene, g *wiring.Group) (lines []string) {
	for i := range g.Plan.Circuit.Number {
		lines = append(lines, fmt.Sprintf("string %d: plus - %s - minus", g.FirstString+i,
			strings.Join(memberNames(sc, g, i), " - ")))
	}
	return lines
}

// stringTable is the strings with their wires, out and back.
func stringTable(sc *scene.Scene, g *wiring.Group) answer.Table {
	t := answer.Table{Key: "strings", Title: "Wires, out and back", Columns: []answer.Column{{Key: "number",
		Title: "wire of string"}, {Key: "modules"},
		{Key: "wire_m", Title: "length", Unit: "m", Digits: 2}, {Key: "current_ma", Title: "current", Unit: "mA"},
		{Key: "wire_metric", Title: "thinnest that serves"},
		{Key: "wire_drop_v", Title: "drop", Unit: "V", Digits: 2}, {Title: "drop", Unit: "%", Digits: 1},
		{Key: "wire_awg", Title: "or"},
		{Key: "wire_awg_drop_v", Title: "drop", Unit: "V", Digits: 2}, {Title: "drop", Unit: "%", Digits: 1},
		{Key: "wire_advised", Title: "advised"}}}
	for i, w := range g.Plan.Wires {
		advised := ""
		if use, ok := bill.AdvisedWire(w); ok {
			advised = use.Metric + " or " + use.American
		}
		row := []any{g.FirstString + w.String, memberNames(sc, g, i), w.LengthM, roundTo(1000*w.CurrentA, 1e-6)}
		row = append(row, gaugeCells(w.Metric, w.UseMetric)...)
		t.Rows = append(t.Rows, append(append(row, gaugeCells(w.American, w.UseAmerican)...), advised))
	}
	return finer(t)
}

// gaugeCells are the thinnest wire that serves and what it loses; nothing where none serves.
func gaugeCells(drops []circuit.Drop, use int) []any {
	if use < 0 {
		return []any{"", nil, nil}
	}
	d := drops[use]
	return []any{d.Gauge.Name, d.DropV, 100 * d.Share}
}

// faultOf is what a fault does to the currents.
func faultOf(g *wiring.Group, f circuit.Fault) answer.Answer {
	over := []int{}
	for _, i := range f.Over {
		over = append(over, g.FirstString+i)
	}
	return answer.Answer{answer.Figure{Key: "string", Value: g.FirstString + f.String},
		answer.Figure{Key: "highest_current_share", Value: f.HighestShare},
		answer.Figure{Key: "strings_over_limit", Value: over}, answer.Lines{Key: "notes", List: f.Notes}}
}

func spreadOf(s circuit.Spread) answer.Answer {
	return answer.Answer{answer.Figure{Key: "lowest_ma", Value: 1000 * s.LowestA}, answer.Figure{Key: "highest_ma",
		Value: 1000 * s.HighestA}, answer.Figure{Key: "over_limit", Value: s.Over}}
}

// driverOf is the chosen driver of a group; null where there is none.
func driverOf(g *wiring.Group) answer.Figure {
	fit, ok := g.Fit()
	if !ok {
		return answer.Figure{Key: "driver"}
	}
	return answer.Figure{Key: "driver", Value: answer.Answer{answer.Figure{Key: "name", Value: fit.Driver.Name},
		answer.Figure{Key: "fits", Value: fit.Fits},
		answer.Lines{Key: "reasons", List: fit.Reasons}, answer.Lines{Key: "cautions", List: fit.Cautions},
		answer.Figure{Key: "efficiency", Value: fit.Efficiency},
		answer.Figure{Key: "load_share", Value: fit.LoadShare}, answer.Figure{Key: "mains_w", Value: fit.MainsW}}}
}

// limitParts are the limits that the wiring was held against; people read of those that it is beyond.
func limitParts(list []circuit.Judgement) answer.Answer {
	t := answer.Table{Key: "limits", In: answer.JSON, Columns: []answer.Column{{Key: "name"}, {Key: "source"},
		{Key: "limit_v"}, {Key: "met"}}}
	lines := answer.Lines{In: answer.People}
	for _, l := range list {
		t.Rows = append(t.Rows, []any{l.Name, l.Source, l.LimitV, l.Met})
		if l.Met {
			continue
		}
		text := fmt.Sprintf("%.0f V", l.LimitV)
		if l.LimitA > 0 {
			text += fmt.Sprintf(", %.0f A, %.0f W", l.LimitA, l.LimitW)
		}
		lines.List = append(lines.List, fmt.Sprintf("beyond the limit of %s: %s (%s)", text, l.Name, l.Source))
	}
	return answer.Answer{t, lines}
}

// unchangedShare is how near to the wanted current a current counts as the same: what whole per cents do not show.
const unchangedShare = 0.005

// unfitCurrent says what a driver that does not fit would press through the strings: the other sentences are for the
// wanted
// current.
func unfitCurrent(g *wiring.Group) []string {
	fit, ok := g.Fit()
	split, _ := g.Split()
	if !ok || fit.Fits || !(split.DriverA > 0) {
		return nil
	}
	lead := "driver " + fit.Driver.Name + " does not fit"
	if math.Abs(fit.CurrentA/split.DriverA-1) < unchangedShare {
		return []string{lead + "; what follows holds for one that does and gives the wanted current"}
	}
	return []string{fmt.Sprintf("%s: with it each module would carry %.0f %% of the wanted current all the time; "+
		"what follows is for the wanted current", lead, 100*fit.CurrentA/split.DriverA)}
}

// consequences says what faults and the spread of forward voltages do to the currents, in sentences.
func consequences(sc *scene.Scene, g *wiring.Group) []string {
	p := g.Plan
	alone := len(p.Circuit.Strings) == 1
	var open, short []string
	if !alone {
		open = append(open, fmt.Sprintf("the others get up to %.0f %% of the wanted current%s",
			100*p.Open.HighestShare, overText(p.Open)))
	}
	switch {
	case math.Abs(p.Short.HighestShare-1) < unchangedShare:
		short = append(short, "it goes dark, and the other modules keep their current")
	case p.Short.HighestShare > 0:
		short = append(short, fmt.Sprintf("its string gets up to %.0f %% of the wanted current%s",
			100*p.Short.HighestShare, overText(p.Short)))
	}
	lines := append(unfitCurrent(g),
		fmt.Sprintf("open circuit in string %d: %s", g.FirstString+p.Open.String, strings.Join(append(open,
			p.Open.Notes...), "; ")),
		fmt.Sprintf("short circuit of module %s in string %d: %s", memberNames(sc, g, p.Short.String)[p.Short.Module],
			g.FirstString+p.Short.String, strings.Join(append(short, p.Short.Notes...), "; ")))
	if alone {
		return lines
	}
	mA := func(amps float64) string { return unit.Figure(1000*amps, 0) }
	return append(lines,
		fmt.Sprintf("forward voltages %.0f %% off (assumed, common practice): at worst one string gets %s mA "+
			"and another %s mA, likely %s and %s mA%s",
			100*g.Job.Given.Forward.Share, mA(p.Worst.HighestA), mA(p.Worst.LowestA), mA(p.Likely.HighestA),
			mA(p.Likely.LowestA),
			map[bool]string{true: "; at worst above what a module may carry"}[p.Worst.Over]))
}

// overText says that a fault drives modules beyond what they may carry.
func overText(f circuit.Fault) string {
	return map[bool]string{true: ", above what their modules may carry"}[len(f.Over) > 0]
}

// running is what the light costs to run.
func (a *wired) running() answer.Group {
	t := a.totals()
	figure := func(key, title, unit string, digits int, v float64, known bool) answer.Figure {
		if !known {
			title = "" // people are told why below
		}
		return answer.Figure{Key: key, Title: title, Unit: unit, Digits: decimals(v, digits), Value: optional(v, known)}
	}
	yearly, priced := t.complete && t.hoursPerDay > 0, t.complete && t.hoursPerDay > 0 && t.cost.Currency != ""
	out := answer.Group{Key: "running", Title: "In operation", Parts: answer.Answer{
		figure("load_w", "load in operation", "W", 1, t.loadW, true),
		figure("mains_w", "from the mains", "W", 1, t.mainsW, t.complete),
		figure("flux_after_optics_lm", "flux after the optics", "lm", 0, t.fluxLm, t.complete),
		figure("lm_per_mains_w", "flux after the optics per watt from the mains", "lm/W", 1, t.lmPerMainsW, t.complete),
		answer.Figure{Key: "hours_per_day", Value: t.hoursPerDay},
		figure("kwh_per_year", "energy a year, at "+number(t.hoursPerDay)+" h a day", "kWh", 1, t.kWhPerYear, yearly),
		figure("cost_per_year", "cost a year", t.cost.Currency, 2, t.cost.Amount, priced),
		answer.Figure{Key: "currency", Value: t.cost.Currency},
	}}
	why := map[bool]string{true: "a year is not counted: the scene gives no hours; add wiring: {hours: 9 h, " +
		"tariff: 0.28 EUR/kWh}", false: "the scene gives no tariff"}[t.hoursPerDay == 0]
	if !t.complete {
		why = "what the mains give is not known without a driver of known efficiency for all modules"
	}
	if !priced {
		out.Parts = append(out.Parts, answer.Lines{List: []string{why}, In: answer.People})
	}
	return out
}

// runningFigures are the figures of a year's running, for people.
func (a *wired) runningFigures() (list []answer.Figure) {
	for _, p := range a.running().Parts {
		if f, is := p.(answer.Figure); is && f.Title != "" {
			list = append(list, f)
		}
	}
	return list
}

// deadTable is the light with each string dead.
func deadTable(light []deadString) answer.Table {
	t := answer.Table{Key: "dead_strings", Columns: []answer.Column{{Key: "string", Title: "dead string"},
		{Key: "plane"}, {Key: "mean_lx", Title: "mean", Unit: "lx"},
		{Key: "min_lx", Title: "min", Unit: "lx"}, {Key: "min_over_mean", Title: "min/mean", Digits: 2},
		{Key: "mean_ppfd_umol_m2_s", Title: "mean PPFD", Unit: ppfdUnit, Digits: 1}, {Key: "min_ppfd_umol_m2_s",
			Title: "min PPFD", Unit: ppfdUnit, Digits: 1},
		{Key: "min_over_mean_ppfd", Title: "min/mean", Digits: 2}, {Key: "quantity"}, {Key: "share_of_mean"},
		{Title: "of the mean", Unit: "%"}}}
	if len(light) > 0 && light[0].plane.Shown == result.PPFD {
		t.Columns[3].Title, t.Columns[4].Title = "", ""
	} else {
		t.Columns[6].Title, t.Columns[7].Title = "", ""
	}
	for _, d := range light {
		lx, ppfd := d.plane.Illuminance, d.plane.PPFD
		t.Rows = append(t.Rows, []any{d.number, d.plane.Name, lx.Mean, lx.Min, lx.MinOverMean, ppfd.Mean, ppfd.Min,
			ppfd.MinOverMean, d.plane.Shown.Name(), d.leftShare, 100 * d.leftShare})
	}
	return finer(t)
}
