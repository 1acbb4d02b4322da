package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// words are those of findings, each without its place.
func words(list []finding.Finding) []string { return finding.Lines(list, finding.Note, unit.Metric) }

// answer is what wire answers. light is that with all strings alive, and then with each dead; nil where not asked for.
func (a *wired) answer(light []result.Plane) answer.Answer {
	note := answer.Lines{In: answer.People}
	if len(light) > 0 {
		note.List = []string{fmt.Sprintf("light on the plane %q, on a coarse grid; 0 stands for no dead string. The "+
			"other strings keep their current here, though a constant-current driver gives them more", light[0].Name)}
	}
	return answer.Answer{answer.Figure{Key: "junctions", Value: a.junctions},
		answer.Lines{List: firstFaults(a.groups), In: answer.People}, a.circuits(), a.running(), deadTable(light), note}
}

// firstFaults leads the text where one fault drives modules above their highest current.
func firstFaults(groups []wiring.Group) (list []string) {
	for _, g := range groups {
		if g.Guard.Needed {
			list = append(list, "CAUTION: driver "+g.Name+": one open or short circuit drives modules above their highest "+
				"current; "+remedy(g))
		}
	}
	return list
}

// guardOf is what keeps the modules of a driver from a first fault; null where nothing need.
func guardOf(g circuit.Guard) any {
	return optional(fields("fuse_a", optional(g.FuseA, g.FuseA > 0), "fuse_v_dc", math.Ceil(g.FuseV), "hold_a", g.HoldA,
		"open_a", g.OpenA, "driver_each_string", pickOf(g.Each)), g.Needed)
}

// circuits are the answers for the modules of each current.
func (a *wired) circuits() answer.Groups {
	groups := answer.Groups{Key: "groups"}
	for i := range a.groups {
		groups.List = append(groups.List, a.group(&a.groups[i], a.groups[:i]))
	}
	return groups
}

// like returns the name of an earlier driver that was chosen with the same one, empty where there is none.
func like(before []wiring.Group, g *wiring.Group) string {
	for i := range before {
		if o := &before[i]; g.Job.Why.Any() && o.Job.Why.Words(unit.Metric) == g.Job.Why.Words(unit.Metric) &&
			o.Channel == g.Channel {
			return o.Name
		}
	}
	return ""
}

// limited returns the name of an earlier driver whose output keeps the same limits, empty where there is none.
func limited(before []wiring.Group, g *wiring.Group) string {
	for i := range before {
		if slices.Equal(before[i].Limits, g.Limits) {
			return before[i].Name
		}
	}
	return ""
}

// group is the answer for one driver; what is as with one before is not said to people again.
func (a *wired) group(g *wiring.Group, before []wiring.Group) answer.Group {
	serve, other, same := words(g.Serve(a.scene)), like(before, g), limited(before, g)
	choice := []string{"driver " + g.Name + " not wired: " + g.Chosen.Why.Words(unit.Metric)}
	var open, short, worst, likely any // nothing where nothing is chosen
	var lines []string
	if g.Chosen.Split != nil {
		flag := map[bool]string{true: " (does not fit)"}[!g.Chosen.Fed()]
		if g.Chosen.Fed() && g.Chosen.Flagged() {
			flag = " (mind the cautions)"
		}
		choice = []string{"recommended: " + g.Recommended.Why.Words(unit.Metric),
			"chosen" + flag + ": " + g.Chosen.Why.Words(unit.Metric)}
		if g.Job.Why.Any() || g.Chosen.Why.Words(unit.Metric) == g.Recommended.Why.Words(unit.Metric) {
			choice = []string{"chosen" + flag + ": " + g.Chosen.Why.Words(unit.Metric)}
		}
		if g.RunnerUp.Any() {
			choice = append(choice, "runner-up: "+g.RunnerUp.Words(unit.Metric))
		}
		if other != "" {
			choice = []string{"chosen: as driver " + other}
		}
		open, short, worst, likely = faultOf(g, g.Open), faultOf(g, g.Short), spreadOf(g.Worst), spreadOf(g.Likely)
		lines = consequences(g)
	}
	if len(serve) > 0 {
		choice = append(choice, "instead: "+strings.Join(serve, "; "))
	}
	if other == "" && same != "" {
		choice = append(choice, "limits of the output: as with driver "+same)
	}
	given, limits := g.Job.Given, limitTable(g.Limits)
	title := fmt.Sprintf("%s: %s at %s mA", g.Name, unit.Several(len(g.Job.Modules), "module"), tenth(1000*g.CurrentA()))
	if other != "" || same != "" {
		limits.In = answer.JSON
	}
	if other == "" {
		title += fmt.Sprintf("; warm: %s, cold: junctions at %s °C", a.junctions, tenth(given.ColdC))
	}
	return answer.Group{
		Title: title,
		Parts: answer.Answer{
			fields("name", g.Name, "channel", g.Channel, "level", g.Level, "site", siteWords[g.Site],
				"first_fault_harmless", !g.Guard.Needed, "protection", guardOf(g.Guard),
				"runner_up", g.RunnerUp.Words(unit.Metric)),
			fields("current_ma", roundTo(1000*g.CurrentA(), 1e-6), "modules", len(g.Job.Modules),
				"cold_junction_c", given.ColdC),
			splitTable(*g),
			answer.Lines{List: choice, In: answer.People},
			fields("recommended", pickOf(g.Recommended), "chosen", pickOf(g.Chosen), "would_serve", strings.Join(serve, "; "),
				"assumed", fields("forward_voltage_share", given.ForwardShare, "power_margin_share", given.MarginShare,
					"wire_drop_share", given.DropShare, "copper_c", given.CopperC), "voltage_v", g.Sharing.VoltageV),
			answer.Lines{List: stringLines(g), In: answer.People},
			fields("open_circuit", open, "short_circuit", short, "spread_worst", worst, "spread_likely", likely),
			answer.Lines{Key: "consequences", List: lines}, driverOf(g.Chosen.Fit), stringTable(g), linkTable(g), limits}}
}

// siteWords name the sites of drivers, as a scene does.
var siteWords = map[scene.Site]string{scene.HoodSite: "hood", scene.WallSite: "wall", scene.OutsideSite: "outside"}

// splitTable is all ways to divide the modules of some groups into strings of equal length.
func splitTable(groups ...wiring.Group) answer.Table {
	t := answer.Table{Key: "splits", Title: "Ways to divide the modules into strings of equal length",
		Columns: []answer.Column{{Key: "current_ma", In: answer.CSV}, {Key: "strings", Title: "strings"},
			{Key: "modules_each", Title: "modules each"}, col("warm_v", "warm", "V", 1), {Key: "lowest_v"},
			col("cold_v", "cold", "V", 1), col("driver_a", "current", "A", 2), col("load_w", "load", "W", 1),
			{Key: "cold_load_w"}, {Key: "touch", Title: "bare parts"}, {Key: "largest_gap_mm"},
			{Key: "drivers_fit"}, {Title: "drivers that fit"}, {Key: "recommended", Title: "recommended"},
			{Key: "chosen", Title: "chosen"}, {Key: "refused", Title: "refused"}}}
	for _, g := range groups {
		for i := range g.Splits {
			s, fits := &g.Splits[i], []string{}
			for _, f := range s.Fits {
				if f.Fits {
					fits = append(fits, f.Driver.Name)
				}
			}
			row := []any{1000 * g.CurrentA(), s.Strings, s.PerString, s.WarmV, s.LowestV, s.HighestV, s.DriverA, s.LoadW,
				s.ColdLoadW, s.Touch.String(), millimetres(s.LargestGapM), fits, cmp.Or(unit.List(fits, 3), "none"),
				s == g.Recommended.Split, s == g.Chosen.Split, s.Refused.Words(unit.Metric)}
			if s.Refused.Any() {
				clear(row[3:13]) // nothing is known
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return finer(t)
}

// pickOf is a choice among the splits: 0 strings where there is none.
func pickOf(p circuit.Pick) answer.Answer {
	n, driver := 0, ""
	if p.Split != nil {
		n = p.Split.Strings
	}
	if p.Fit != nil {
		driver = p.Fit.Driver.Name
	}
	return fields("strings", n, "driver", driver, "why", p.Why.Words(unit.Metric), "flagged", p.Flagged())
}

// moduleNames are the modules of a string in the order of the current, as the command line names them.
func moduleNames(line []parts.Mounted) []string {
	return each(line, func(m parts.Mounted) string { return m.Name })
}

// stringLines say which modules hang in which string, in the order of the current.
func stringLines(g *wiring.Group) (lines []string) {
	for i, line := range g.Circuit.Strings {
		lines = append(lines, fmt.Sprintf("string %d: plus - %s - minus", g.Number(i),
			strings.Join(moduleNames(line), " - ")))
	}
	return lines
}

// stringTable is the strings with their wires, out and back.
func stringTable(g *wiring.Group) answer.Table {
	drop, share := col("wire_drop_v", "drop", "V", 2), col("", "drop", "%", 1)
	american := drop
	american.Key = "wire_awg_drop_v"
	t := answer.Table{Key: "strings", Title: "Wires, out and back", Columns: []answer.Column{
		{Key: "number", Title: "wire of string"}, {Key: "modules"}, col("wire_m", "length", "m", 2),
		col("current_ma", "current", "mA", 0), {Key: "wire_metric", Title: "thinnest wire"}, drop, share,
		{Key: "wire_awg", Title: "or"}, american, share, {Key: "wire_advised", Title: "recommended"}}}
	for i, w := range g.Wires {
		row := []any{g.Number(i), moduleNames(g.Circuit.Strings[i]), w.LengthM, roundTo(1000*w.CurrentA, 1e-6)}
		for _, d := range w.Thinnest { // nothing where none fits
			known := d.Gauge.Name != ""
			row = append(row, d.Gauge.Name, optional(d.DropV, known), optional(100*d.Share, known))
		}
		t.Rows = append(t.Rows, append(row, w.Advice()))
	}
	return finer(t)
}

// linkTable is every wire of every string, in the order of the current, for programs; drawings show it to people.
func linkTable(g *wiring.Group) answer.Table {
	t := answer.Table{Key: "connections", In: answer.JSON,
		Columns: keys("string", "from", "to", "wire", "length_m", "fuse")}
	for i, line := range g.Circuit.Strings {
		for _, l := range circuit.Links(g.Job, line) {
			t.Rows = append(t.Rows, []any{g.Number(i), cmp.Or(l.From, "driver +"), cmp.Or(l.To, "driver -"), l.Wire,
				roundTo(l.LengthM, 1e-6), map[bool]string{true: g.Guard.FuseName()}[l.From == ""]})
		}
	}
	return t
}

func faultOf(g *wiring.Group, f circuit.Fault) answer.Answer {
	return fields("string", g.Number(f.String), "highest_current_share", f.HighestShare, "strings_over_limit",
		append([]int{}, each(f.Over, g.Number)...), "notes", words(f.Notes))
}

func spreadOf(f circuit.Fault) answer.Answer {
	low, high := f.Sharing.Range()
	return fields("lowest_ma", 1000*low, "highest_ma", 1000*high, "over_limit", len(f.Over) > 0)
}

// driverOf is the chosen driver of a group, null where there is none, with what to mind about it.
func driverOf(fit *circuit.Fit) answer.Answer {
	if fit == nil {
		return fields("driver", nil)
	}
	v := fit.Verdict
	return append(fields("driver", fields("name", fit.Driver.Name, "fits", fit.Fits, "reasons", words(fit.Reasons),
		"cautions", words(fit.Cautions), "efficiency", fit.Efficiency, "load_share", fit.LoadShare, "mains_w", fit.MainsW,
		"isolated", v.Isolated, "open_voltage_v", optional(v.OpenV, v.OpenKnown), "highest_v", fit.Driver.HighestV,
		"ripple_free", !v.Pulsed, "touch_at_work", v.Work.String(), "touch", v.Touch.String(),
		"class", fit.Driver.Class, "inrush_a", optional(fit.Driver.InrushA, fit.Driver.InrushA > 0),
		"standby_w", fit.Driver.StandbyW, "dimming", fit.Driver.Dimming)),
		answer.Lines{Lead: "driver " + fit.Driver.Name, List: words(fit.Cautions), In: answer.People})
}

func limitTable(list []circuit.Judgement) answer.Table {
	columns := []answer.Column{{Key: "name", Title: "limit of"}, {Key: "source", Title: "source"},
		col("limit_v", "at most", "V", 0), col("limit_a", "at most", "A", 0), col("limit_w", "at most", "W", 0),
		{Key: "met_at_work", Title: "kept at work"}, {Key: "met", Title: "and without a load"}}
	t := answer.TableOf("limits", columns, list, func(l circuit.Judgement) []any {
		return []any{l.Name, l.Source, l.LimitV, optional(l.LimitA, l.LimitA > 0),
			optional(l.LimitW, l.LimitW > 0), l.AtWork, l.Met}
	})
	t.Title = "Limits of the output"
	return t
}

// unchangedShare is how near to the wanted current a current counts as the same: what whole per cents do not show.
const unchangedShare = 0.005

// consequences says what faults and the spread of forward voltages do to the currents, in sentences.
func consequences(g *wiring.Group) []string {
	alone := len(g.Circuit.Strings) == 1
	said := func(what string, f circuit.Fault, get string) string {
		var list []string
		switch {
		case f.Module < 0 && alone || f.HighestShare == 0:
		case math.Abs(f.HighestShare-1) < unchangedShare:
			list = append(list, "it goes dark, and the other modules keep their current")
		default:
			list = append(list, fmt.Sprintf("%s up to %.0f %% of the intended current%s", get, 100*f.HighestShare,
				map[bool]string{true: ", above what their modules may carry"}[len(f.Over) > 0]))
		}
		return fmt.Sprintf("%s string %d: %s", what, g.Number(f.String), strings.Join(append(list, words(f.Notes)...), "; "))
	}
	var lines []string
	if fit := g.Chosen.Fit; fit != nil && !fit.Fits {
		lines = append(lines, "driver "+fit.Driver.Name+" does not fit; what follows holds for one that does and gives the "+
			"intended current")
	}
	lines = append(lines, said("open circuit in", g.Open, "the others get"),
		said("short circuit of module "+g.Circuit.Strings[g.Short.String][g.Short.Module].Name+" in", g.Short,
			"its string gets"))
	if alone {
		return lines
	}
	low, high := g.Worst.Sharing.Range()
	likelyLow, likelyHigh := g.Likely.Sharing.Range()
	mA := func(amps float64) string { return unit.Figure(1000*amps, 0) }
	return append(lines, fmt.Sprintf("forward voltages %.0f %% off (assumed, common practice): at worst one string gets "+
		"%s mA and another %s mA, likely %s and %s mA%s", 100*g.Job.Given.ForwardShare, mA(high), mA(low), mA(likelyHigh),
		mA(likelyLow), map[bool]string{true: "; at worst above what a module may carry"}[len(g.Worst.Over) > 0]))
}

// running is what the light costs to run, summed over the groups; what the mains give is known where each has a driver
// of known efficiency.
func (a *wired) running() answer.Group {
	w := a.scene.Wiring
	r, hours, currency := wiring.RunningOf(a.scene, a.groups), w.HoursPerDay, w.TariffPerKWh.Currency
	complete := r.MainsW > 0
	why, yearly := "", complete && hours > 0
	switch {
	case !complete:
		why = "what is drawn from the mains is not known without a driver of known efficiency for all modules"
	case hours == 0:
		why = "a year is not counted: the scene gives no hours; add wiring: {hours: 9 h, tariff: 0.28 EUR/kWh}"
	case currency == "":
		why = "the scene gives no tariff"
	}
	of := "at " + number(hours) + " h a day"
	if a.scene.Day != nil {
		of = "by its day"
	}
	list := answer.Answer{amount("load_w", "load in operation", "W", 1, r.LoadW),
		known(complete, amount("mains_w", "from the mains", "W", 1, r.MainsW)),
		known(complete, amount("flux_after_optics_lm", "flux after the optics", "lm", 0, r.FluxLm)),
		known(complete, amount("lm_per_mains_w", "flux after the optics per watt from the mains", "lm/W", 1, r.LmPerMainsW)),
		answer.Figure{Key: "hours_per_day", Value: hours},
		known(yearly, amount("kwh_per_year", "energy a year, "+of, "kWh", 1, r.KWhPerYear)),
		known(yearly && currency != "", amount("cost_per_year", "cost a year", currency, 2, r.CostPerYear.Amount)),
		answer.Figure{Key: "currency", Value: currency}}
	if why != "" {
		list = append(list, answer.Lines{List: []string{why}, In: answer.People})
	}
	return answer.Group{Key: "running", Title: "In operation", Parts: list}
}

// runningFigures are the figures of a year's running, for people.
func (a *wired) runningFigures() answer.Answer {
	return slices.DeleteFunc(answer.On(a.running().Parts, answer.Page), func(p answer.Part) bool {
		_, why := p.(answer.Lines)
		return why
	})
}

// deadTable is the light with each string dead, with string 0 for all strings alive.
func deadTable(light []result.Plane) answer.Table {
	var records []answer.Answer
	for i, p := range light {
		share := 1.0
		if all := light[0].Light(p.Shown).Mean; all > 0 {
			share = p.Light(p.Shown).Mean / all
		}
		record := answer.Answer{answer.Figure{Key: "string", Title: "dead string", Value: i},
			answer.Figure{Key: "plane", Value: p.Name}}
		record = append(append(record, lightFigures(p.Shown, p.Illuminance, p.PPFD)...),
			answer.Figure{Key: "quantity", Value: p.Shown.Name()},
			answer.Figure{Key: "share_of_mean", Title: "of the mean", Say: percent, Value: share})
		records = append(records, record)
	}
	return answer.Rows("dead_strings", "Light with each string dead", records...)
}
