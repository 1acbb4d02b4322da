package main

import (
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode/utf8"

	"fathomlux/optics"
	"fathomlux/render/answer"
	"fathomlux/render/report"
	"fathomlux/scene"
)

// notKnown is a section that could not be computed.
func notKnown(id, title, why string, cautions []string) report.Section {
	return report.Section{ID: id, Title: title, Blocks: []report.Block{{Text: why}, {Cautions: cautions}}}
}

// noWiring says why there is no wiring.
const noWiring = "The scene could not be wired; the section about the tank says why."

// wiringSection says how to wire and feed the modules.
func (j *job) wiringSection() report.Section {
	const id, title = "wiring", "Wiring and driver"
	if j.wired == nil {
		return notKnown(id, title, noWiring, electric(j.scene))
	}
	a := *j.wired
	blocks := []report.Block{{Text: "The modules hang in strings, one after the other, and the strings side by side on a driver that gives a constant current. Voltages hold for " + a.junctions + "."}}
	if _, ok := j.pictures["wiring.svg"]; ok {
		var strings []string
		for i := range a.groups {
			strings = append(strings, stringLines(a.scene, &a.groups[i])...)
		}
		blocks = append(blocks, j.figure("wiring.svg", "What is to be connected with what: the driver on one side, and each module as a diode in its place along the rail, pointing with the current. Lines join only at dots.",
			"Wiring diagram. "+joinSentences(strings)))
	}
	for i := range a.groups {
		blocks = append(blocks, groupBlocks(&a, &a.groups[i])...)
	}
	if len(a.notes) > 0 {
		blocks = append(blocks, report.Block{Heading: "Notes on the wiring"}, report.Block{List: a.notes})
	}
	own := wiringCautions(a)
	others := slices.Concat(brightBeams(j.scene), touchHeat(a.op), []string{aboveGlass})
	blocks = append(blocks, report.Block{Cautions: slices.DeleteFunc(own, func(line string) bool { return slices.Contains(others, line) })})
	return report.Section{ID: id, Title: title, Blocks: blocks}
}

// stringLines say which modules hang in which string, in the order of the current.
func stringLines(sc *scene.Scene, g *scene.WireGroup) []string {
	var lines []string
	for i := range g.Plan.Circuit.Number {
		lines = append(lines, fmt.Sprintf("String %d: plus, %s, minus", g.FirstString+i, strings.Join(memberNames(sc, g, i), ", ")))
	}
	return lines
}

func joinSentences(list []string) string { return strings.Join(list, ". ") + "." }

// groupBlocks tell of the modules of one current.
func groupBlocks(a *wired, g *scene.WireGroup) []report.Block {
	rows, refused := splitRows(g)
	rows[0] = []string{"strings x modules", "voltage warm, V", "voltage cold, V", "current, A", "load, W", "bare parts", "drivers that fit", "choice"}
	var choice []string
	for _, line := range choiceLines(g) {
		choice = append(choice, capital(line)+".")
	}
	blocks := []report.Block{
		{Heading: fmt.Sprintf("%s at %s mA", several(len(g.Members), "module"), tenth(1000*g.CurrentA()))},
		{List: choice},
		{Text: "All ways to divide these modules into strings of equal length. Warm is in operation, cold is when switched on; the limits for bare live parts are 30 V in wet places and 60 V in dry ones."},
		{Table: report.TableOf("Ways to divide the modules", rows, true)},
		{List: refused},
	}
	if len(g.Plan.Circuit.Strings) == 0 {
		return blocks
	}
	var faults []string
	for _, line := range consequences(a.scene, g) {
		faults = append(faults, capital(line)+".")
	}
	if fit, ok := g.Fit(); ok {
		for _, c := range fit.Cautions {
			faults = append(faults, "Driver "+fit.Driver.Name+": "+c+".")
		}
	}
	for _, l := range g.Plan.Limits {
		if !l.Met {
			faults = append(faults, fmt.Sprintf("Beyond the limit of %s: %s (%s).", limitText(l), l.Name, l.Source))
		}
	}
	wires := wireRows(g)
	wires[0] = []string{"wire, out and back", "length, m", "current, mA", "thinnest that serves", "it loses", "or by American gauge", "it loses", "advised"}
	return append(blocks,
		report.Block{Text: "Which modules hang in which string, in the order of the current:"}, report.Block{List: stringLines(a.scene, g)},
		report.Block{Text: "What happens when something fails, and how unlike the strings may be:"}, report.Block{List: faults},
		report.Block{Table: report.TableOf("Wires", wires, true)})
}

// heatSection says how warm it gets.
func (j *job) heatSection() report.Section {
	const id, title = "heat", "Heat"
	var cautions []string
	if j.tooHot != "" {
		cautions = []string{"too hot, do not build it so: " + j.tooHot}
	}
	if j.warm == nil {
		return notKnown(id, title, "The heat finds no balance, or could not be computed; the section about the tank says why.", append(cautions, touchHeat(nil)...))
	}
	a := *j.warm
	rows := heatRows(a)
	rows[0] = []string{"module", "x, mm", "rail, °C", "board, °C", "junction, °C", "margin, K", "electrical, W", "heat, W", "light left, % of cold"}
	blocks := []report.Block{
		{Text: a.verdict()},
		j.figure("heat.png", "Each line is the temperature along a rail; each dot is the junction of a module, the hottest place in it, on a stem from its rail. Dashed lines are the limits, and the air.",
			fmt.Sprintf("Chart of the temperature along the rails. %s The hottest place of a rail reaches %.0f °C in a room of %.0f °C.", a.verdict(), a.op.Rails[a.op.HottestRail].HottestRailC, a.op.AirC)),
		{Table: report.TableOf("Temperatures and power of each module", rows, true)},
	}
	lines := heatLines(a)
	blocks = append(blocks, report.Block{List: lines})
	if notes := a.notes(); len(notes) > 0 {
		blocks = append(blocks, report.Block{Text: "How far to trust this:"}, report.Block{List: sentences(notes)})
	}
	cautions = append(cautions, touchHeat(a.op)...)
	return report.Section{ID: id, Title: title, Blocks: append(blocks, report.Block{Cautions: cautions})}
}

// sentences writes notes as sentences.
func sentences(notes []string) (list []string) {
	for _, n := range notes {
		list = append(list, capital(n)+".")
	}
	return list
}

// heatLines are the books of energy, what would make a rail cooler, and how long the light lasts.
func heatLines(a heatAnswer) []string {
	o := a.op
	lines := []string{
		fmt.Sprintf("Of %.1f W of electrical power %.1f W become light and %.1f W heat.", o.ElectricalW, o.LightW, o.HeatW),
		fmt.Sprintf("The dies give %.0f lm cold and %.0f lm warm, which is %.1f %%.", o.ColdLm, o.FluxLm, 100*o.RelativeFlux()),
	}
	for _, one := range a.advice {
		lines = append(lines, fmt.Sprintf("To keep junctions %d K below their highest: %s.", usualMarginK, adviceText(a.scene, one)))
	}
	for _, l := range a.lives {
		lines = append(lines, "Life: "+lifeText(a.scene, l)+".")
	}
	return lines
}

// costSection says what to buy and what a year costs.
func (j *job) costSection() report.Section {
	const id, title = "cost", "What to buy, and what it costs to run"
	if j.wired == nil {
		return notKnown(id, title, noWiring, nil)
	}
	bill := j.bill()
	rows := billRows(bill)
	rows[0] = []string{"part", "used", "spare", "price of one piece or metre", "sum"}
	var running []string
	for _, line := range runningLines(*j.wired) {
		running = append(running, capital(line)+".")
	}
	return report.Section{ID: id, Title: title, Blocks: []report.Block{
		{Text: "All parts that the scene takes, with spares. A dash means that no price is known; pieces are counted unless metres (m) are named."},
		{Table: report.TableOf("Bill of parts", rows, true)},
		{List: []string{capital(totalText(bill)) + ".", capital(spareText(j.share)) + "."}},
		{Heading: "Running cost"},
		{List: running},
	}}
}

// drillSection lists where to drill.
func (j *job) drillSection() report.Section {
	const id, title = "drilling", "Where to drill"
	if len(j.drilled) == 0 {
		return notKnown(id, title, "The holes could not be laid out; the section about the tank says why.", drillCautions(j.scene))
	}
	blocks := []report.Block{{Text: "Distances from each rail's left end and from its front edge, all counted from the one end so that errors do not add up; inches are to the nearest 1/32 in, with what the rounding moves. " +
		"The template at true size is a PDF of its own, which the command drill writes with the scene's file; this page is not to scale."}}
	for _, d := range j.drilled {
		blocks = append(blocks, report.BlocksOf(answer.Answer{d.answer()})...)
	}
	return report.Section{ID: id, Title: title, Blocks: append(blocks, report.Block{Cautions: drillCautions(j.scene)})}
}

// buildSection is the order of work and the test card.
func (j *job) buildSection() report.Section {
	const id, title = "build", "Build sheet"
	var glass []string
	if overGlass(j.scene.Tank) {
		glass = []string{aboveGlass}
	}
	if j.wired == nil {
		return notKnown(id, title, noWiring, glass)
	}
	a := *j.wired
	blocks := []report.Block{{Text: "The order of work is common practice, no published source. Tick each step before the next. " + capital(codesDecide) + "."}}
	var steps []report.Step
	for _, s := range buildSteps(billPrint{wired: a, bill: j.bill(), share: j.share}) {
		steps = append(steps, report.Step{What: s.what, Cautions: s.cautions})
	}
	blocks = append(blocks, report.Block{Steps: steps})
	for i := range a.groups {
		rows := cardRows(a.scene, &a.groups[i])
		if len(rows) == 0 {
			blocks = append(blocks, report.Block{Text: fmt.Sprintf("No test card for the modules at %s mA: no driver fits them as they are wired. The section on wiring says what would serve.", tenth(1000*a.groups[i].CurrentA()))})
			continue
		}
		table := cardTable(rows)
		table[0] = []string{"point", "warm, V", "from, V", "to, V", "cold, V", "across, V", "current, mA"}
		blocks = append(blocks, report.Block{Heading: "Test card, driver " + rows[0].driver},
			report.Block{Text: "What a meter should read: " + cardText + ". Warm is in operation with the range that parts may differ by, cold is when switched on."},
			report.Block{Table: report.TableOf("Test card, driver "+rows[0].driver, table, false)})
	}
	return report.Section{ID: id, Title: title, Blocks: append(blocks, report.Block{Cautions: glass})}
}

// wordsSection says what the words mean.
func wordsSection() report.Section {
	return report.Section{ID: "words", Title: "Words", Blocks: []report.Block{{Words: []report.Fact{
		{Name: "illuminance, lx", Value: "light that falls on a level plane, weighed as the eye sees it; one lux is one lumen a square metre"},
		{Name: "flux, lm", Value: "all light that something gives, weighed as the eye sees it"},
		{Name: "PPFD, " + ppfdUnit, Value: "photons from 400 to 700 nm that fall on a level plane in a second: what plants and corals use"},
		{Name: "DLI, " + dliUnit, Value: "PPFD summed over the hours of light of a day"},
		{Name: "min/mean", Value: "the darkest place of a plane over its mean: 1 is perfectly even, 0 means that a place is dark"},
		{Name: "diffuse", Value: "of a wall or floor: it sends a share of the light back in all directions, such as 8 % where 0.08 is said"},
		{Name: "module, optic", Value: "a board with one or more LED chips, the dies; and the lens over it. Names such as quad-neutral and round-40 are those of parts"},
		{Name: "plane", Value: "a level sheet through the water at one depth"},
		{Name: "dark corner", Value: "a connected patch of a plane that is darker than a share of the mean, or than the goal's evenness allows"},
		{Name: "beam angle", Value: "the full angle between the directions in which an optic gives half of its highest intensity"},
		{Name: "spill", Value: "light that leaves the modules and never meets the water"},
		{Name: "string", Value: "modules one after the other, through which the same current flows"},
		{Name: "driver", Value: "the supply that turns mains into a constant current"},
		{Name: "junction", Value: "the place in a die where light and heat arise; its temperature sets how much light it gives and how long it lasts"},
	}}}}
}

// largestListing is the most that a file beside the scene may have to be shown on the page, in bytes.
const largestListing = 64 << 10

// sourceID is the section that holds texts as they were written.
const sourceID = "source"

// sourceSection shows the files and says how the page was made.
func (j *job) sourceSection() report.Section {
	m := j.light
	engine := m.Engine + ", deterministic: no random numbers, so no seed"
	if t := m.Tracing; t != nil {
		engine = fmt.Sprintf("%s, %d photons, seed %d", m.Engine, t.Photons, t.Seed)
	}
	blocks := []report.Block{
		{Text: "With these and the scene's files the same page comes out again, byte for byte."},
		{Words: []report.Fact{
			{Name: "program", Value: "fathomlux " + programVersion() + ", built with " + runtime.Version()},
			{Name: "engine", Value: engine},
			{Name: "light", Value: engineWords(m.Engine)},
			{Name: "grid", Value: gridWords(j)},
			{Name: "call", Value: j.look.Call},
		}},
		{Listing: &report.Listing{Name: filepath.Base(j.scene.File), Text: string(j.scene.Source())}},
	}
	for _, f := range j.scene.Files() {
		if len(f.Content) > largestListing || !utf8.Valid(f.Content) {
			blocks = append(blocks, report.Block{Text: fmt.Sprintf("%s, %d bytes, is not shown here.", f.Name, len(f.Content))})
			continue
		}
		blocks = append(blocks, report.Block{Listing: &report.Listing{Name: f.Name, Text: string(f.Content)}})
	}
	return report.Section{ID: sourceID, Title: "The scene file, and how this page was made", Blocks: blocks}
}

// engineWords say what an engine follows.
func engineWords(engine string) string {
	switch engine {
	case string(optics.Direct):
		return "on its straight, bent and mirrored ways; what bounces off floor and pale walls, or is scattered in the water, is counted but not followed"
	case string(optics.Full):
		return "on its straight, bent and mirrored ways as an exact sum, and what is bounced or scattered by photons, drawn by the seed"
	}
	return "all by photons, drawn by the seed"
}

// gridWords say on which cells the planes were computed.
func gridWords(j *job) string {
	g := j.light.Planes[0].Field.Grid
	return fmt.Sprintf("%d x %d cells of %s x %s", g.NX, g.NY, j.look.Units.Length(g.StepXM), j.look.Units.Length(g.StepYM))
}
