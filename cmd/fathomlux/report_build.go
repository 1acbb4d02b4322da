package main

import (
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"unicode/utf8"

	"fathomlux/optics"
	"fathomlux/render/answer"
	"fathomlux/render/report"
	"fathomlux/scene"
)

// notKnown is a section that could not be computed.
func (j *job) notKnown(id, title, why string) report.Section {
	return j.closed(report.Section{ID: id, Title: title, Blocks: []report.Block{{Text: why}}})
}

// cautionPlaces are the commands, or steps of the build sheet, whose cautions a section shows.
var cautionPlaces = map[string]string{"light": "map", "wiring": "wire", "heat": "heat", "drilling": "drill",
	"build": buildPlaces}

// closed ends a section with its cautions; those of the build sheet stand at its steps.
func (j *job) closed(s report.Section) report.Section {
	if s.ID != "build" {
		s.Blocks = append(s.Blocks, report.Block{Cautions: long(j.sayings(s.ID))})
	}
	return s
}

// sayings are the cautions of a section; those of the choice are of all that was compared.
func (j *job) sayings(id string) (list []saying) {
	if id != "choice" {
		return j.situation().sayings(cautionPlaces[id])
	}
	var scenes []*scene.Scene
	for _, out := range []*outcome{j.compared, j.swept} {
		if out != nil {
			scenes = append(scenes, out.scenes...)
		}
	}
	return sceneSayings("sweep", scenes...)
}

// situation is what the job's cautions are judged by.
func (j *job) situation() situation {
	f := situation{scene: j.scene, wired: j.wired, tooHot: j.tooHot}
	if j.warm != nil {
		f.op = j.warm.op
	}
	return f
}

// noWiring says why there is no wiring.
const noWiring = "The scene could not be wired; the section about the tank says why."

// wiringSection says how to wire and feed the modules.
func (j *job) wiringSection() report.Section {
	const id, title = "wiring", "Wiring and driver"
	if j.wired == nil {
		return j.notKnown(id, title, noWiring)
	}
	a := j.wired
	blocks := []report.Block{{Text: "Strings are modules one after the other; the strings are fed side by side by " +
		"a driver that gives a constant current. Voltages hold for " + a.junctions + "."}}
	groups := answer.Groups{}
	var strings []string
	for i := range a.groups {
		strings = append(strings, stringLines(a.scene, &a.groups[i])...)
		groups.List = append(groups.List, a.group(&a.groups[i]))
	}
	if _, ok := j.pictures["wiring.svg"]; ok {
		blocks = append(blocks, j.figure("wiring.svg",
			"What is to be connected with what: the driver on one side, and each module as a diode in its place "+
				"along the rail, pointing with the current. Lines join only at dots.",
			"Wiring diagram. "+joinSentences(strings)))
	}
	blocks = append(blocks,
		report.Block{Text: "All ways to divide the modules into strings of equal length follow. Warm is in " +
			"operation, cold is when switched on; the limits for bare live parts are 30 V in wet places and 60 V " +
			"in dry ones."})
	blocks = append(blocks, report.BlocksOf(answer.Answer{groups})...)
	if len(a.notes) > 0 {
		blocks = append(blocks, report.Block{Heading: "Notes on the wiring"}, report.Block{List: a.notes})
	}
	return j.closed(report.Section{ID: id, Title: title, Blocks: blocks})
}

func joinSentences(list []string) string { return strings.Join(list, ". ") + "." }

// heatSection says how warm it gets.
func (j *job) heatSection() report.Section {
	const id, title = "heat", "Heat"
	if j.warm == nil {
		return j.notKnown(id, title,
			"The heat finds no balance, or could not be computed; the section about the tank says why.")
	}
	a := *j.warm
	blocks := []report.Block{
		{Text: a.verdict()},
		j.figure("heat.png",
			"Each line is the temperature along a rail; each dot is the junction of a module, the hottest place "+
				"in it, on a stem from its rail. Dashed lines are the limits, and the air.",
			fmt.Sprintf("Chart of the temperature along the rails. %s The hottest place of a rail reaches %.0f °C "+
				"in a room of %.0f °C.", a.verdict(), a.op.Rails[a.op.HottestRail].HottestRailC, a.op.AirC)),
	}
	blocks = append(blocks, report.BlocksOf(a.parts())...)
	if notes := a.notes(); len(notes) > 0 {
		blocks = append(blocks, report.Block{Text: "How far to trust this:"})
		blocks = append(blocks, report.BlocksOf(answer.Answer{answer.Lines{List: notes}})...)
	}
	return j.closed(report.Section{ID: id, Title: title, Blocks: blocks})
}

// costSection says what to buy and what a year costs.
func (j *job) costSection() report.Section {
	const id, title = "cost", "What to buy, and what it costs to run"
	if j.wired == nil {
		return j.notKnown(id, title, noWiring)
	}
	bill := j.bill()
	blocks := []report.Block{{Text: "All parts that the scene takes, with spares. A dash means that no price is " +
		"known; pieces are counted unless metres (m) are named. Each is the price of one piece or metre."}}
	return report.Section{ID: id, Title: title, Blocks: append(blocks, report.BlocksOf(answer.Answer{billTable(bill),
		answer.Lines{List: []string{totalText(bill), spareText(j.share)}}, j.wired.running()})...)}
}

// drillSection lists where to drill.
func (j *job) drillSection() report.Section {
	const id, title = "drilling", "Where to drill"
	if len(j.drilled) == 0 {
		return j.notKnown(id, title, "The holes could not be laid out; the section about the tank says why.")
	}
	blocks := []report.Block{{Text: "Distances from each rail's left end and from its front edge, all counted " +
		"from the one end so that errors do not add up; inches are to the nearest 1/32 in, with what the rounding " +
		"moves. The template at true size is a PDF of its own, which the command drill writes with the scene's file; " +
		"this page is not to scale."}}
	for _, d := range j.drilled {
		blocks = append(blocks, report.BlocksOf(answer.Answer{d.answer()})...)
	}
	return j.closed(report.Section{ID: id, Title: title, Blocks: blocks})
}

// buildSection is the order of work and the test card.
func (j *job) buildSection() report.Section {
	const id, title = "build", "Build sheet"
	if j.wired == nil {
		return j.notKnown(id, title, noWiring)
	}
	a := j.wired
	blocks := []report.Block{{Text: "The order of work is common practice, no published source. Tick each step " +
		"before the next. " + capital(codesDecide) + "."}}
	var steps []report.Step
	for _, s := range buildSteps(a) {
		steps = append(steps, report.Step{What: s.what, Cautions: j.situation().at(s.place)})
	}
	blocks = append(blocks, report.Block{Steps: steps})
	for i := range a.groups {
		blocks = append(blocks, report.BlocksOf(cardParts(a.scene, &a.groups[i]))...)
	}
	return report.Section{ID: id, Title: title, Blocks: blocks}
}

// wordsSection says what the words mean.
func wordsSection() report.Section {
	return report.Section{ID: "words", Title: "Words", Blocks: []report.Block{{Words: []report.Fact{
		{Name: "illuminance, lx",
			Value: "light that falls on a level plane, weighed as the eye sees it; one lux is one lumen a square " +
				"metre"},
		{Name: "flux, lm", Value: "all light that something gives, weighed as the eye sees it"},
		{Name: "PPFD, " + ppfdUnit,
			Value: "photons from 400 to 700 nm that fall on a level plane in a second: what plants and corals use"},
		{Name: "DLI, " + dliUnit, Value: "PPFD summed over the hours of light of a day"},
		{Name: "min/mean", Value: "the darkest place of a plane over its mean: 1 is perfectly even, 0 means that " +
			"a place is dark"},
		{Name: "diffuse", Value: "of a wall or floor: it sends a share of the light back in all directions, such " +
			"as 8 % where 0.08 is said"},
		{Name: "module, optic",
			Value: "a board with one or more LED chips, the dies; and the lens over it. Names such as " +
				"quad-neutral and round-40 are those of parts"},
		{Name: "plane", Value: "a level sheet through the water at one depth"},
		{Name: "dark corner",
			Value: "a connected patch of a plane that is darker than a share of the mean, or than the goal's " +
				"uniformity allows"},
		{Name: "beam angle",
			Value: "the full angle between the directions in which an optic gives half of its centre-beam intensity"},
		{Name: "spill", Value: "light that leaves the modules and never meets the water"},
		{Name: "string", Value: "modules one after the other, through which the same current flows"},
		{Name: "driver", Value: "the supply that turns mains into a constant current"},
		{Name: "junction", Value: "the place in a die where light and heat arise; its temperature sets how much " +
			"light it gives and how long it lasts"},
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
			blocks = append(blocks, report.Block{Text: fmt.Sprintf("%s, %d bytes, is not shown here.", f.Name,
				len(f.Content))})
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
		return "on its straight, bent and mirrored ways; what bounces off floor and pale walls, or is scattered " +
			"in the water, is counted but not followed"
	case string(optics.Full):
		return "on its straight, bent and mirrored ways as an exact sum, and what is bounced or scattered by " +
			"photons, drawn by the seed"
	}
	return "all by photons, drawn by the seed"
}

// gridWords say on which cells the planes were computed.
func gridWords(j *job) string {
	g := j.light.Planes[0].Field.Grid
	return fmt.Sprintf("%d x %d cells of %s x %s", g.NX, g.NY, j.look.Units.Length(g.StepXM),
		j.look.Units.Length(g.StepYM))
}
