package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/unit"
)

// wirePrint is what wire prints about.
type wirePrint struct {
	wired
	light []deadString // empty where not asked for; the first with all strings alive
	dir   string
	files []style.File
}

// printWire prints the answer for people: what was chosen alone, or all of it.
func printWire(w io.Writer, o wireOptions, p wirePrint) error {
	var b strings.Builder
	if !o.quiet {
		fmt.Fprintln(&b, titleOr(p.scene.Title))
	}
	for i := range p.groups {
		if g := &p.groups[i]; o.quiet {
			fmt.Fprintln(&b, choiceText(g))
		} else {
			writeGroup(&b, p, g)
		}
	}
	if !o.quiet {
		writeRunning(&b, p.wired)
		writeDeadStrings(&b, p.light)
		writeWrote(&b, p.dir, p.files)
		for _, f := range oddities(p.scene) {
			fmt.Fprintf(&b, "warning: %s\n", f.Error())
		}
		for _, line := range p.notes {
			fmt.Fprintf(&b, "note: %s\n", line)
		}
		for _, line := range wiringCautions(p.wired) {
			fmt.Fprintf(&b, "caution: %s\n", line)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// writeGroup writes the answer for the modules of one current.
func writeGroup(w io.Writer, p wirePrint, g *scene.WireGroup) {
	given := g.Job.Given
	fmt.Fprintf(w, "%s at %s mA; warm: %s, cold: junctions at %s C\n", several(len(g.Members), "module"), tenth(1000*g.CurrentA()), p.junctions, tenth(given.ColdC))
	writeSplits(w, g)
	for _, line := range choiceLines(g) {
		fmt.Fprintln(w, line)
	}
	if len(g.Plan.Circuit.Strings) == 0 {
		return
	}
	for i := range g.Plan.Circuit.Number {
		fmt.Fprintf(w, "  string %d: %s\n", g.FirstString+i, strings.Join(memberNames(p.scene, g, i), ", "))
	}
	writeConsequences(w, p.scene, g)
	writeWires(w, g)
	for _, l := range g.Plan.Limits {
		if !l.Met {
			fmt.Fprintf(w, "  beyond the limit of %s: %s (%s)\n", limitText(l), l.Name, l.Source)
		}
	}
}

// choiceLines say what is recommended and what was chosen, or, where nothing was, why not; and what would serve where no
// driver feeds the modules.
func choiceLines(g *scene.WireGroup) []string {
	var lines []string
	if _, ok := g.Split(); ok {
		flag := ""
		if g.Plan.Chosen.Flagged {
			flag = " (take care)"
		}
		lines = append(lines, "recommended: "+g.Plan.Recommended.Why, "chosen"+flag+": "+g.Plan.Chosen.Why)
	} else {
		lines = append(lines, "not wired: "+g.Plan.Chosen.Why)
	}
	if g.Serve != "" {
		lines = append(lines, "instead: "+g.Serve)
	}
	return lines
}

// choiceText says in one line what was chosen, or why nothing was and what would serve.
func choiceText(g *scene.WireGroup) string {
	if g.Serve == "" {
		return g.Plan.Chosen.Why
	}
	return g.Plan.Chosen.Why + "; " + g.Serve
}

// limitText writes a limit's numbers.
func limitText(l circuit.Judgement) string {
	text := fmt.Sprintf("%.0f V", l.LimitV)
	if l.LimitA > 0 {
		text += fmt.Sprintf(", %.0f A, %.0f W", l.LimitA, l.LimitW)
	}
	return text
}

// memberNames returns the modules of a group's i-th string in the order of the current, as the command line names them.
func memberNames(sc *scene.Scene, g *scene.WireGroup, i int) []string {
	seats := sc.Seats()
	var names []string
	for _, k := range g.Plan.Circuit.Number[i] {
		names = append(names, sc.SeatName(seats[g.Members[k]]))
	}
	return names
}

// writeSplits writes the table of all splits.
func writeSplits(w io.Writer, g *scene.WireGroup) {
	rows, refused := splitRows(g)
	writeTable(w, rows)
	for _, line := range refused {
		fmt.Fprintf(w, "  %s\n", line)
	}
}

// splitRows are the cells of the table of splits under their head, and what is said of those that are refused.
func splitRows(g *scene.WireGroup) (rows [][]string, refused []string) {
	rows = [][]string{{"strings x modules", "V warm", "V cold", "A", "W", "touch", "drivers that fit", ""}}
	for k, s := range g.Plan.Splits {
		name := fmt.Sprintf("%d x %d", s.Strings, s.PerString)
		if s.Refused != "" {
			refused = append(refused, name+": "+s.Refused)
			continue
		}
		fit := fitNames(s, 3, ", ")
		if fit == "" {
			fit = "none"
		}
		mark := ""
		if k == g.Plan.Recommended.Split {
			mark = "recommended"
		}
		if k == g.Plan.Chosen.Split {
			mark = strings.TrimPrefix(mark+", chosen", ", ")
		}
		rows = append(rows, []string{name, fmt.Sprintf("%.1f", s.WarmV), fmt.Sprintf("%.1f", s.HighestV), unit.Figure(s.DriverA, 2), unit.Figure(s.LoadW, 1), s.Touch.String(), fit, mark})
	}
	return rows, refused
}

// writeConsequences writes what faults and the spread of forward voltages do.
func writeConsequences(w io.Writer, sc *scene.Scene, g *scene.WireGroup) {
	for _, line := range consequences(sc, g) {
		fmt.Fprintf(w, "  %s\n", line)
	}
	fit, ok := g.Fit()
	if !ok {
		return
	}
	for _, c := range fit.Cautions {
		fmt.Fprintf(w, "  driver %s: %s\n", fit.Driver.Name, c)
	}
}

// unfitCurrent says what a driver that does not fit would press through the strings: the other sentences are for the wanted
// current.
func unfitCurrent(g *scene.WireGroup) []string {
	fit, ok := g.Fit()
	split, _ := g.Split()
	if !ok || fit.Fits || !(split.DriverA > 0) {
		return nil
	}
	if math.Abs(fit.CurrentA/split.DriverA-1) < unchangedShare {
		return []string{fmt.Sprintf("driver %s does not fit; what follows holds for one that does and gives the wanted current", fit.Driver.Name)}
	}
	return []string{fmt.Sprintf("driver %s does not fit: with it each module would carry %.0f %% of the wanted current all the time; what follows is for the wanted current",
		fit.Driver.Name, 100*fit.CurrentA/split.DriverA)}
}

// unchangedShare is how near to the wanted current a current counts as the same: what whole per cents do not show.
const unchangedShare = 0.005

// consequences says what faults and the spread of forward voltages do to the currents, in sentences.
func consequences(sc *scene.Scene, g *scene.WireGroup) []string {
	p := g.Plan
	alone := len(p.Circuit.Strings) == 1
	open := fmt.Sprintf("if string %d opens: ", g.FirstString+p.Open.String)
	if !alone {
		open += fmt.Sprintf("the others get up to %.0f %% of the wanted current%s", 100*p.Open.HighestShare, overText(p.Open))
	}
	short := fmt.Sprintf("if module %s in string %d shorts: ", memberNames(sc, g, p.Short.String)[p.Short.Module], g.FirstString+p.Short.String)
	switch {
	case math.Abs(p.Short.HighestShare-1) < unchangedShare:
		short += "it goes dark, and the other modules keep their current"
	case p.Short.HighestShare > 0:
		short += fmt.Sprintf("its string gets up to %.0f %% of the wanted current%s", 100*p.Short.HighestShare, overText(p.Short))
	}
	lines := append(unfitCurrent(g), joined(open, p.Open.Notes), joined(short, p.Short.Notes))
	if alone {
		return lines
	}
	t := g.Job.Given.Forward
	lines = append(lines, fmt.Sprintf("forward voltages %.0f %% off (assumed, common practice): at worst one string gets %s mA and another %s mA, likely %s and %s mA%s",
		100*t.Share, unit.Figure(1000*p.Worst.HighestA, 0), unit.Figure(1000*p.Worst.LowestA, 0), unit.Figure(1000*p.Likely.HighestA, 0), unit.Figure(1000*p.Likely.LowestA, 0), map[bool]string{true: "; at worst above what a module may carry"}[p.Worst.Over]))
	return lines
}

// overText says that a fault drives modules beyond what they may carry.
func overText(f circuit.Fault) string {
	if len(f.Over) == 0 {
		return ""
	}
	return ", above what their modules may carry"
}

// joined joins a lead and its notes.
func joined(lead string, notes []string) string {
	if strings.HasSuffix(lead, ": ") {
		return lead + strings.Join(notes, "; ")
	}
	return strings.Join(append([]string{lead}, notes...), "; ")
}

// writeWires writes the table of wires.
func writeWires(w io.Writer, g *scene.WireGroup) { writeTable(w, wireRows(g)) }

// wireRows are the cells of the table of wires under their head.
func wireRows(g *scene.WireGroup) [][]string {
	rows := [][]string{{"wire, out and back", "m", "mA", "thinnest that serves", "drop", "or", "drop", "advised"}}
	for _, one := range g.Plan.Wires {
		metric, drop := gaugeText(one.Metric, one.UseMetric)
		american, otherDrop := gaugeText(one.American, one.UseAmerican)
		advised := "none"
		if use, ok := scene.AdvisedWire(one); ok {
			advised = use.Metric + " or " + use.American
		}
		rows = append(rows, []string{fmt.Sprintf("string %d", g.FirstString+one.String), unit.Figure(one.LengthM, 2), unit.Figure(1000*one.CurrentA, 0), metric, drop, american, otherDrop, advised})
	}
	return rows
}

// gaugeText writes a wire and what it loses.
func gaugeText(drops []circuit.Drop, use int) (name, drop string) {
	if use < 0 {
		return "none", "-"
	}
	d := drops[use]
	return d.Gauge.Name, fmt.Sprintf("%s V, %s %%", unit.Figure(d.DropV, 2), unit.Figure(100*d.Share, 1))
}

// writeRunning writes what the light costs to run.
func writeRunning(w io.Writer, a wired) {
	for _, line := range runningLines(a) {
		fmt.Fprintln(w, line)
	}
}

// runningLines say what the light costs to run.
func runningLines(a wired) []string {
	t := a.totals()
	if !t.complete {
		return []string{fmt.Sprintf("load %s W; what the mains give is not known without a driver of known efficiency for all modules", unit.Figure(t.loadW, 1))}
	}
	power := fmt.Sprintf("load %s W, from the mains %s W; %s lm leave the optics, %s lm per watt from the mains",
		unit.Figure(t.loadW, 1), unit.Figure(t.mainsW, 1), unit.Figure(t.fluxLm, 0), unit.Figure(t.lmPerMainsW, 1))
	switch {
	case t.hoursPerDay == 0:
		return []string{power, "a year is not counted: the scene gives no hours; add wiring: {hours: 9 h, tariff: 0.28 EUR/kWh}"}
	case t.cost.Currency == "":
		return []string{power, fmt.Sprintf("a year at %s h a day: %s kWh; the scene gives no tariff", number(t.hoursPerDay), unit.Figure(t.kWhPerYear, 1))}
	}
	return []string{power, fmt.Sprintf("a year at %s h a day: %s kWh, %s", number(t.hoursPerDay), unit.Figure(t.kWhPerYear, 1), moneyText(t.cost))}
}

// writeDeadStrings writes the table of the light with each string dead.
func writeDeadStrings(w io.Writer, light []deadString) {
	if len(light) == 0 {
		return
	}
	fmt.Fprintf(w, "straight light on the plane %q on a coarse grid, without what floor, walls and water throw back; strings that live keep their current, though a constant-current driver presses more through them\n", light[0].plane.Name)
	q := light[0].plane.Shown
	rows := [][]string{{"dead string", meanHead(q), "min", "min/mean", meanHead(q.Other()), "of the mean"}}
	for _, d := range light {
		name := "none"
		if d.number > 0 {
			name = fmt.Sprint(d.number)
		}
		s := d.plane.Light(q)
		rows = append(rows, []string{name, lightFigure(q, s.Mean), lightFigure(q, s.Min), unit.Ratio(s.MinOverMean), lightFigure(q.Other(), d.plane.Light(q.Other()).Mean), fmt.Sprintf("%.0f %%", 100*d.leftShare)})
	}
	writeTable(w, rows)
}
