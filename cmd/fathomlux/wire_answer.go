package main

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/circuit"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// answer is what wire answers. light is that with all strings alive, and then with each dead; nil where not asked for.
func (a *wired) answer(light []result.Plane, dir string, files []output.File) answer.Answer {
	groups := answer.Groups{Key: "groups"}
	for i := range a.groups {
		groups.List = append(groups.List, a.group(&a.groups[i]))
	}
	list := append(headOf(a.scene, a.scene.File, dir), answer.Figure{Key: "junctions", Value: a.junctions}, groups,
		a.running(), deadTable(light))
	if len(light) > 0 {
		list = append(list, answer.Lines{List: []string{fmt.Sprintf("straight light on the plane %q on a coarse grid, "+
			"without what floor, walls and water return; string 0 stands for none. The strings that are left keep their "+
			"current, though a constant-current driver gives them more", light[0].Name)}, In: answer.People})
	}
	return append(list, tailOf(a.scene, dir, files, a.notes, a.cautions("wire"))...)
}

// group is the answer for the modules of one current.
func (a *wired) group(g *wiring.Group) answer.Group {
	p, given := g.Plan, g.Job.Given
	list := append(fields("current_ma", roundTo(1000*g.CurrentA(), 1e-6), "modules", len(g.Members),
		"cold_junction_c", given.ColdC),
		splitTable(g), answer.Lines{List: choiceLines(g), In: answer.People})
	list = append(list, fields("recommended", pickOf(p, p.Recommended), "chosen", pickOf(p, p.Chosen),
		"would_serve", g.Serve, "assumed", fields("forward_voltage_share", given.Forward.Share,
			"power_margin_share", given.MarginShare, "wire_drop_share", given.DropShare, "copper_c", given.CopperC),
		"voltage_v", p.Sharing.VoltageV)...)
	list = append(list, answer.Lines{List: stringLines(a.scene, g), In: answer.People})
	var open, short, worst, likely any // nothing where nothing is chosen
	var lines []string
	if len(p.Circuit.Strings) > 0 {
		open, short, worst, likely = faultOf(g, p.Open), faultOf(g, p.Short), spreadOf(p.Worst), spreadOf(p.Likely)
		lines = consequences(a.scene, g)
	}
	list = append(list, fields("open_circuit", open, "short_circuit", short, "spread_worst", worst,
		"spread_likely", likely)...)
	list = append(append(list, answer.Lines{Key: "consequences", List: lines}), driverOf(g)...)
	return answer.Group{
		Title: fmt.Sprintf("%s at %s mA; warm: %s, cold: junctions at %s °C", several(len(g.Members), "module"),
			tenth(1000*g.CurrentA()), a.junctions, tenth(given.ColdC)),
		Parts: append(append(list, stringTable(a.scene, g)), limitParts(p.Limits)...)}
}

// splitTable is all ways to divide the modules of a group into strings of equal length.
func splitTable(g *wiring.Group) answer.Table {
	t := answer.Table{Key: "splits", Title: "Ways to divide the modules into strings of equal length", Sorts: true,
		Columns: []answer.Column{{Title: "strings x modules"}, {Key: "current_ma", In: answer.CSV}, {Key: "strings"},
			{Key: "modules_each"}, {Key: "refused"}, col("warm_v", "warm", "V", 1), {Key: "lowest_v"},
			col("cold_v", "cold", "V", 1), col("driver_a", "current", "A", 2), col("load_w", "load", "W", 1),
			{Key: "cold_load_w"}, {Key: "touch", Title: "bare parts"}, {Key: "largest_gap_mm"}, {Key: "drivers_fit"},
			{Title: "drivers that fit"}, {Key: "recommended"}, {Key: "chosen"}, {Title: "choice"}}}
	for k, s := range g.Plan.Splits {
		row := []any{fmt.Sprintf("%d x %d", s.Strings, s.PerString), 1000 * g.CurrentA(), s.Strings, s.PerString, s.Refused}
		if s.Refused != "" {
			row = append(row, nil, nil, nil, nil, nil, nil, nil, nil, []string{}, nil, false, false, "no: "+s.Refused)
			t.Rows = append(t.Rows, row)
			continue
		}
		recommended, chosen := k == g.Plan.Recommended.Split, k == g.Plan.Chosen.Split
		var fits, marks []string
		for _, f := range s.Fits {
			if f.Fits {
				fits = append(fits, f.Driver.Name)
			}
		}
		if recommended {
			marks = append(marks, "recommended")
		}
		if chosen {
			marks = append(marks, "chosen")
		}
		t.Rows = append(t.Rows, append(row, s.WarmV, s.LowestV, s.HighestV, s.DriverA, s.LoadW, s.ColdLoadW,
			s.Touch.String(), millimetres(s.LargestGapM), fits, shortList(fits, 3), recommended, chosen,
			strings.Join(marks, ", ")))
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
func pickOf(plan circuit.Plan, p circuit.Pick) answer.Answer {
	n, driver := 0, ""
	if p.Split >= 0 && p.Split < len(plan.Splits) {
		s := plan.Splits[p.Split]
		n = s.Strings
		if p.Fit >= 0 && p.Fit < len(s.Fits) {
			driver = s.Fits[p.Fit].Driver.Name
		}
	}
	return fields("strings", n, "driver", driver, "why", p.Why, "flagged", p.Flagged)
}

// choiceLines say what is recommended and what was chosen, or, where nothing was, why not; and what would serve where
// no driver feeds the modules.
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
	drop, share := col("wire_drop_v", "drop", "V", 2), col("", "drop", "%", 1)
	american := drop
	american.Key = "wire_awg_drop_v"
	t := answer.Table{Key: "strings", Title: "Wires, out and back", Columns: []answer.Column{
		{Key: "number", Title: "wire of string"}, {Key: "modules"}, col("wire_m", "length", "m", 2),
		col("current_ma", "current", "mA", 0), {Key: "wire_metric", Title: "thinnest wire"}, drop, share,
		{Key: "wire_awg", Title: "or"}, american, share, {Key: "wire_advised", Title: "advised"}}}
	for i, w := range g.Plan.Wires {
		advised := ""
		if use, ok := bill.AdvisedWire(w); ok {
			advised = use.Metric + " or " + use.American
		}
		row := []any{g.FirstString + w.String, memberNames(sc, g, i), w.LengthM, roundTo(1000*w.CurrentA, 1e-6)}
		row = append(append(row, gaugeCells(w.Metric, w.UseMetric)...), gaugeCells(w.American, w.UseAmerican)...)
		t.Rows = append(t.Rows, append(row, advised))
	}
	return finer(t)
}

// gaugeCells are the thinnest wire that serves and the voltage that drops along it; nothing where none serves.
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
	return fields("string", g.FirstString+f.String, "highest_current_share", f.HighestShare, "strings_over_limit", over,
		"notes", f.Notes)
}

func spreadOf(s circuit.Spread) answer.Answer {
	return fields("lowest_ma", 1000*s.LowestA, "highest_ma", 1000*s.HighestA, "over_limit", s.Over)
}

// driverOf is the chosen driver of a group, null where there is none, with what to mind about it.
func driverOf(g *wiring.Group) answer.Answer {
	fit, ok := g.Fit()
	if !ok {
		return fields("driver", nil)
	}
	lines := answer.Lines{In: answer.People}
	for _, line := range fit.Cautions {
		lines.List = append(lines.List, "driver "+fit.Driver.Name+": "+line)
	}
	return append(fields("driver", fields("name", fit.Driver.Name, "fits", fit.Fits, "reasons", fit.Reasons,
		"cautions", fit.Cautions, "efficiency", fit.Efficiency, "load_share", fit.LoadShare, "mains_w", fit.MainsW)), lines)
}

// limitParts are the limits that the wiring was held against; people read of those that it is beyond.
func limitParts(list []circuit.Judgement) answer.Answer {
	t := answer.Table{Key: "limits", In: answer.JSON,
		Columns: []answer.Column{{Key: "name"}, {Key: "source"}, {Key: "limit_v"}, {Key: "met"}}}
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
// wanted current.
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
	over := func(what string, f circuit.Fault) string {
		return fmt.Sprintf("%s up to %.0f %% of the wanted current%s", what, 100*f.HighestShare,
			map[bool]string{true: ", above what their modules may carry"}[len(f.Over) > 0])
	}
	if !alone {
		open = append(open, over("the others get", p.Open))
	}
	switch {
	case math.Abs(p.Short.HighestShare-1) < unchangedShare:
		short = append(short, "it goes dark, and the other modules keep their current")
	case p.Short.HighestShare > 0:
		short = append(short, over("its string gets", p.Short))
	}
	lines := append(unfitCurrent(g),
		fmt.Sprintf("open circuit in string %d: %s", g.FirstString+p.Open.String,
			strings.Join(append(open, p.Open.Notes...), "; ")),
		fmt.Sprintf("short circuit of module %s in string %d: %s", memberNames(sc, g, p.Short.String)[p.Short.Module],
			g.FirstString+p.Short.String, strings.Join(append(short, p.Short.Notes...), "; ")))
	if alone {
		return lines
	}
	mA := func(amps float64) string { return unit.Figure(1000*amps, 0) }
	return append(lines, fmt.Sprintf("forward voltages %.0f %% off (assumed, common practice): at worst one string gets "+
		"%s mA and another %s mA, likely %s and %s mA%s", 100*g.Job.Given.Forward.Share, mA(p.Worst.HighestA),
		mA(p.Worst.LowestA), mA(p.Likely.HighestA), mA(p.Likely.LowestA),
		map[bool]string{true: "; at worst above what a module may carry"}[p.Worst.Over]))
}

// running is what the light costs to run, summed over the groups; what the mains give is known where each has a driver
// of known efficiency.
func (a *wired) running() answer.Group {
	var loadW, mainsW, kWhPerYear, fluxLm, cost float64
	complete, hours, currency := true, a.scene.Wiring.HoursPerDay, a.scene.Wiring.TariffPerKWh.Currency
	for i := range a.groups {
		g := &a.groups[i]
		if s, ok := g.Split(); ok {
			loadW += s.LoadW
		} else if len(g.Plan.Splits) > 0 {
			loadW += g.Plan.Splits[0].LoadW // of one string of all, which is never refused; the same in all strings
		}
		r := g.Plan.Running
		complete = complete && r.MainsW > 0
		mainsW, kWhPerYear, cost = mainsW+r.MainsW, kWhPerYear+r.KWhPerYear, cost+r.CostPerYear.Amount
		fluxLm += g.Job.Use.FluxLm
	}
	figure := func(key, title, unit string, digits int, v float64, known bool) answer.Figure {
		if !known { // people are told why below
			return answer.Figure{Key: key}
		}
		return amount(key, title, unit, digits, v)
	}
	complete = complete && mainsW > 0
	yearly := complete && hours > 0
	priced := yearly && currency != ""
	list := answer.Answer{
		figure("load_w", "load in operation", "W", 1, loadW, true),
		figure("mains_w", "from the mains", "W", 1, mainsW, complete),
		figure("flux_after_optics_lm", "flux after the optics", "lm", 0, fluxLm, complete),
		figure("lm_per_mains_w", "flux after the optics per watt from the mains", "lm/W", 1, fluxLm/mainsW, complete),
		answer.Figure{Key: "hours_per_day", Value: hours},
		figure("kwh_per_year", "energy a year, at "+number(hours)+" h a day", "kWh", 1, kWhPerYear, yearly),
		figure("cost_per_year", "cost a year", currency, 2, cost, priced),
		answer.Figure{Key: "currency", Value: currency},
	}
	why := ""
	switch {
	case !complete:
		why = "what is drawn from the mains is not known without a driver of known efficiency for all modules"
	case hours == 0:
		why = "a year is not counted: the scene gives no hours; add wiring: {hours: 9 h, tariff: 0.28 EUR/kWh}"
	case !priced:
		why = "the scene gives no tariff"
	}
	if why != "" {
		list = append(list, answer.Lines{List: []string{why}, In: answer.People})
	}
	return answer.Group{Key: "running", Title: "In operation", Parts: list}
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

// deadTable is the light with each string dead, with string 0 for all strings alive.
func deadTable(light []result.Plane) answer.Table {
	t := answer.Table{Key: "dead_strings", Columns: []answer.Column{{Key: "string", Title: "dead string"},
		{Key: "plane"}, col("mean_lx", "mean", "lx", 0), col("min_lx", "min", "lx", 0),
		col("min_over_mean", "min/mean", "", 2), col("mean_ppfd_umol_m2_s", "mean PPFD", ppfdUnit, 1),
		col("min_ppfd_umol_m2_s", "min PPFD", ppfdUnit, 1), col("min_over_mean_ppfd", "min/mean", "", 2),
		{Key: "quantity"}, {Key: "share_of_mean"}, col("", "of the mean", "%", 0)}}
	hidden := 6 // min and min/mean are told of the goal's quantity alone
	if len(light) > 0 && light[0].Shown == result.PPFD {
		hidden = 3
	}
	t.Columns[hidden].Title, t.Columns[hidden+1].Title = "", ""
	for i, p := range light {
		lx, ppfd, share := p.Illuminance, p.PPFD, 1.0
		if all := light[0].Light(p.Shown).Mean; all > 0 {
			share = p.Light(p.Shown).Mean / all
		}
		t.Rows = append(t.Rows, []any{i, p.Name, lx.Mean, lx.Min, lx.MinOverMean, ppfd.Mean, ppfd.Min,
			ppfd.MinOverMean, p.Shown.Name(), share, 100 * share})
	}
	return finer(t)
}
