package main

import (
	"fmt"
	"io"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/unit"
)

// cardRow is one point of the test card with the names that a builder knows.
type cardRow struct {
	circuit.Point
	driver, stringName, module string // the latter two empty where the driver, or the whole string, is meant
}

// cardRows returns the test card of one driver; none without a driver that fits: its currents would be others.
func cardRows(sc *scene.Scene, g *scene.WireGroup) []cardRow {
	fit, ok := g.Fit()
	if !ok || !fit.Fits {
		return nil
	}
	driver := fit.Driver.Name
	seats := sc.Seats()
	var rows []cardRow
	for _, p := range g.Plan.Card {
		r := cardRow{Point: p, driver: driver}
		if p.String >= 0 {
			r.stringName = fmt.Sprint(g.FirstString + p.String)
		}
		if p.Number >= 0 {
			r.module = sc.SeatName(seats[g.Members[p.Number]])
		}
		rows = append(rows, r)
	}
	return rows
}

// step is one step of the work with the cautions that belong to it.
type step struct {
	what     string
	cautions []string
}

// lowTestShare is the current of the first test as a share of the wanted one. Common practice, no published source.
const lowTestShare = 0.1

// buildSteps is the order of work of the trade: common practice, no published source. Where no module has a driver that
// fits, nothing is joined, tested or switched on.
func buildSteps(p billPrint) []step {
	var glass []string
	if overGlass(p.scene.Tank) {
		glass = []string{aboveGlass}
	}
	hang := step{what: "Hang the light: two independent hangers that each carry it alone, a drip loop in every cable, joints above the rim and out of the spray. Leave the air round the rail free.", cautions: append(glass, driverCautions(p.wired)...)}
	if !p.anyFed() {
		return append(mountSteps(p), step{what: "Find the driver first: none of the parts feeds these modules as they are wired. Until one does, join no strings, test nothing and switch nothing on; what would serve stands with the strings.", cautions: unfit(p.wired)}, hang)
	}
	return append(append(mountSteps(p), powerSteps(p)...), hang,
		step{what: "After the first two hours feel from a distance, then measure how warm the rail is.", cautions: touchHeat(p.op)})
}

// anyFed tells whether some modules have a driver that fits.
func (a wired) anyFed() bool {
	for i := range a.groups {
		if a.groups[i].Fed() {
			return true
		}
	}
	return false
}

// mountSteps are the steps of the work up to the mounted optics.
func mountSteps(p billPrint) []step {
	return []step{
		{what: "Cut the rails, drill them (command drill), and deburr every edge and hole: a burr under a board keeps it off the metal and can cut into its insulation. Wipe off oil and chips."},
		{what: "Tin the pads of the boards and the ends of the leads, and solder all leads before a board meets the rail: the metal of the rail would draw the heat out of the joint. Mark plus and minus. " + leadsText(p.wired)},
		{what: "Spread heat-conducting compound on the back of each board, thin and without gaps; a dry joint has several times the resistance."},
		{what: "Screw the boards down crosswise with insulating washers, until they lie flat. With a meter, find no connection between the rail and any lead."},
		{what: "Put the optics on. Keep fingers and compound off dies and lenses."},
	}
}

// powerSteps are those from the joined strings to the first light.
func powerSteps(p billPrint) []step {
	return []step{
		{what: "Join the modules of each string in the order given below, plus to minus, and insulate each joint.", cautions: touchCautions(p.wired)},
		{what: "Bench test: " + lowTestText(p.wired) + " Every module of the string must glow.", cautions: brightBeams(p.scene)},
		{what: "Connect the strings to the driver with the mains off: a constant-current driver that is already on without a load gives the strings a surge. Switch on, and after half an hour compare with the test card.", cautions: append(unfit(p.wired), mainsBeside)},
	}
}

// touchCautions are those about voltages.
func touchCautions(a wired) []string {
	highest := 0.0
	for i := range a.groups {
		if s, ok := a.groups[i].Split(); ok {
			highest = max(highest, s.HighestV)
		}
	}
	if line := touchCaution("strings reach", highest); line != "" {
		return []string{line}
	}
	return nil
}

// driverCautions say what the drivers' protection codes promise.
func driverCautions(a wired) []string {
	var lines []string
	named := map[string]bool{}
	for i := range a.groups {
		if fit, ok := a.groups[i].Fit(); ok && !named[fit.Driver.Name] {
			named[fit.Driver.Name] = true
			lines = append(lines, "driver "+fit.Driver.Name+": "+protection(fit.Driver.IP))
		}
	}
	return lines
}

// leadsText says which wire goes where.
func leadsText(a wired) string {
	var list []string
	for i := range a.groups {
		g := &a.groups[i]
		for _, w := range g.Plan.Wires {
			if use, ok := scene.AdvisedWire(w); ok {
				list = append(list, fmt.Sprintf("string %d %s m of %s or %s", g.FirstString+w.String, unit.Figure(w.LengthM, 2), use.Metric, use.American))
			}
		}
	}
	if len(list) == 0 {
		return ""
	}
	return "Wire in all, out and back: " + strings.Join(list, ", ") + "."
}

// lowTestText says how to test at low current.
func lowTestText(a wired) string {
	var list []string
	for i := range a.groups {
		g := &a.groups[i]
		if s, ok := g.Split(); ok && g.Fed() {
			list = append(list, fmt.Sprintf("%.0f mA and %.0f V for each string of %d", 1000*lowTestShare*g.CurrentA(), s.HighestV, s.PerString))
		}
	}
	if len(list) == 0 {
		return "with a supply of limited current and voltage, string by string."
	}
	return "with a supply limited to " + strings.Join(list, "; to ") + ", string by string, the light turned to the bench."
}

// sheetWidth is how wide the build sheet's text is, in letters.
const sheetWidth = 96

// buildSheet writes the sheet: order of work, strings, test card, what to buy, cautions.
func buildSheet(p billPrint) string {
	var b strings.Builder
	fmt.Fprintf(&b, "BUILD SHEET: %s\n\nThe order of work is common practice, no published source. Figures are computed for %s.\n", titleOr(p.scene.Title), p.junctions)
	fmt.Fprintf(&b, "%s.\n", strings.ToUpper(codesDecide[:1])+codesDecide[1:])
	for _, line := range unfit(p.wired) {
		writeWrapped(&b, "CAUTION: ", line)
	}
	fmt.Fprintf(&b, "\nORDER OF WORK\n")
	for i, s := range buildSteps(p) {
		writeWrapped(&b, fmt.Sprintf("%2d. [ ] ", i+1), s.what)
		for _, c := range s.cautions {
			writeWrapped(&b, "        CAUTION: ", c)
		}
	}
	for i := range p.groups {
		writeSheetStrings(&b, p.scene, &p.groups[i])
	}
	fmt.Fprintf(&b, "\nWHAT TO BUY\n")
	writeBillTable(&b, p.bill)
	fmt.Fprintf(&b, "%s\n%s\n\nCAUTIONS\n", totalText(p.bill), spareText(p.share))
	for _, line := range wiringCautions(p.wired) {
		writeWrapped(&b, "  - ", line)
	}
	return b.String()
}

// writeSheetStrings writes strings and test card of one driver.
func writeSheetStrings(w io.Writer, sc *scene.Scene, g *scene.WireGroup) {
	fmt.Fprintf(w, "\nSTRINGS of the modules at %s mA\n", tenth(1000*g.CurrentA()))
	writeWrapped(w, "  ", choiceText(g))
	for i := range g.Plan.Circuit.Number {
		writeWrapped(w, fmt.Sprintf("  string %d: plus - ", g.FirstString+i), strings.Join(memberNames(sc, g, i), " - ")+" - minus")
	}
	rows := cardRows(sc, g)
	if len(rows) == 0 {
		why := "no driver fits"
		if _, ok := g.Fit(); ok {
			why = "the driver does not fit"
		}
		fmt.Fprintln(w, "\nNO TEST CARD: "+why)
		return
	}
	fmt.Fprintf(w, "\nTEST CARD, driver %s: %s\n", rows[0].driver, cardText)
	writeTable(w, cardTable(rows))
}

// cardText says what the voltages of the test card are.
const cardText = "volts against the driver's minus, all strings on, wires taken as free of loss"

// cardTable are the cells of the test card under their head.
func cardTable(rows []cardRow) [][]string {
	table := [][]string{{"point", "V warm", "from", "to", "V cold", "V across", "mA"}}
	for _, r := range rows {
		name := "driver"
		switch {
		case r.module != "":
			name = "  module " + r.module
		case r.stringName != "":
			name = "string " + r.stringName
		}
		table = append(table, []string{name + " " + r.Terminal, fmt.Sprintf("%.1f", r.VoltageV), fmt.Sprintf("%.1f", r.LowV), fmt.Sprintf("%.1f", r.HighV), fmt.Sprintf("%.1f", r.ColdV), fmt.Sprintf("%.1f", r.AcrossV), fmt.Sprintf("%.0f", 1000*r.CurrentA)})
	}
	return table
}

// writeWrapped writes text behind a lead, broken between words, further lines indented as far as the lead.
func writeWrapped(w io.Writer, lead, text string) {
	line, indent := lead, strings.Repeat(" ", len([]rune(lead)))
	empty := true
	for _, word := range strings.Fields(text) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > sheetWidth {
			fmt.Fprintln(w, line)
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	fmt.Fprintln(w, line)
}
