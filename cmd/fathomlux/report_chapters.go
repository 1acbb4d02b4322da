package main

import (
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode/utf8"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/render/report"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// picture returns a picture of the job with its words; nothing where there is none.
func (j *job) picture(name, lead, alt string) any {
	i := slices.IndexFunc(j.files, func(f output.File) bool { return f.Name == name })
	if i < 0 {
		return nil
	}
	return report.Picture{Name: name, Lead: lead, Alt: alt, Image: j.files[i].Data, Scale: j.look.PixelFactor,
		Lines: slices.ContainsFunc(lineDrawings, func(one string) bool { return strings.HasPrefix(name, one) })}
}

// lineDrawings are how the names of pictures begin whose colours stand for no amount of light.
var lineDrawings = []string{"wiring", "heat", "day", "design-chart", "balance"}

// otherPlanes show the planes that the goal's plan on the first page does not.
func (j *job) otherPlanes() (parts []any) {
	first := optics.GoalPlane(j.scene, j.light.Planes)
	for i := range j.light.Planes {
		p := &j.light.Planes[i]
		shown, other := j.planPicture(p, p.Shown), j.planPicture(p, p.Shown.Other())
		switch {
		case p == first:
			parts = append(parts, other)
		case other == nil:
			parts = append(parts, shown)
		default:
			parts = append(parts, report.Beside{{shown}, {other}})
		}
	}
	for i := range j.light.Planes {
		if p := &j.light.Planes[i]; p != first {
			parts = append(parts, darkTable(p, j.look.Units))
		}
	}
	return parts
}

func (j *job) sceneParts() []any {
	parts := []any{"Places are given as x from the inside of the left pane, y from the inside of the front pane, and " +
		"depth from the water surface.", report.Words(answer.On(summary(j.scene).Parts, answer.Page))}
	if j.light.Junctions.Warm {
		parts = append(parts, "Flux, power and voltages in this list are rated values, as at the moment of switching on. "+
			"Everything below is for operation, with "+j.light.Junctions.Words()+", where flux and power are lower.")
	}
	if odd := finding.Lines(warningsOf(j.scene), finding.Note, j.look.Units); len(odd) > 0 {
		parts = append(parts, "What is unusual in the scene file, though it may be intended:", odd)
	}
	if len(j.missing) > 0 {
		parts = append(parts, "What could not be computed, and why:", j.missing)
	}
	return parts
}

func (j *job) lightParts() []any {
	parts := []any{planeTable(j.light, j.scene, j.look), shownParts(j.light.Goal, j.look.Units),
		answer.Lines{List: j.goalLines()}, darkTable(optics.GoalPlane(j.scene, j.light.Planes), j.look.Units)}
	var beside report.Beside
	for i := range j.light.Sections {
		if s := &j.light.Sections[i]; s.Axis == result.AcrossY {
			beside = append(beside, []any{j.sectionPicture(s)})
		} else {
			parts = append(parts, j.sectionPicture(s))
		}
	}
	return append(append(parts, append(beside, j.balance())), j.kindParts()...)
}

// goalLines are the sentences about what weakens the figures.
func (j *job) goalLines() (lines []string) {
	m := j.light
	if m.Maintenance < 1 {
		lines = append(lines, fmt.Sprintf(
			"pictures and figures show the light when new; the goal is judged with %.3g times that", m.Maintenance))
	}
	return append(lines, finding.Lines(m.Warnings, finding.Note, j.look.Units)...)
}

// planPicture shows one plane in one quantity; nothing where there is no such picture.
func (j *job) planPicture(p *result.Plane, q result.Quantity) any {
	name, at := render.PlaneFileName(p.Name), render.PlaneWords(p, j.look.Units)
	if q == result.PPFD {
		name += "-ppfd"
	}
	if q != p.Shown {
		return j.picture(name+".png", "The same plane as "+q.Name()+".", planAlt(p, q, at))
	}
	lead, named := unit.Capital(at)+", from above, the front at the bottom.", "No dark corners."
	if len(p.DarkCorners) > 0 {
		places := each(p.DarkCorners, func(d result.DarkCorner) string { return d.Place(j.look.Units) })
		named = "Dark: " + strings.Join(places, ", ") + "."
		lead += fmt.Sprintf(" Dashed frames are dark corners, below %s.", lightText(q, p.DarkLimit))
	}
	return j.picture(name+".png", lead, planAlt(p, q, at)+" "+named)
}

// planAlt says what a plan shows for whoever cannot see it.
func planAlt(p *result.Plane, q result.Quantity, at string) string {
	s := p.Light(q)
	return fmt.Sprintf("Plan of the %s, %s: mean %s, lowest %s, highest %s, U0 (min/mean) %s.", q.Name(), at,
		lightText(q, s.Mean), lightText(q, s.Min), lightText(q, s.Max), unit.Ratio(s.MinOverMean))
}

func (j *job) sectionPicture(s *result.Section) any {
	at := j.look.Units.Length(s.AtM)
	q := j.light.Goal.Shown
	most, least := math.Inf(-1), math.Inf(1)
	for _, v := range s.Light(q) {
		most, least = max(most, v), min(least, v)
	}
	lead, name := "Cut along the tank at y = "+at+", seen from the front", "section-along.png"
	if s.Axis == result.AcrossY {
		lead, name = "Cut across at x = "+at+", seen from the left, the front on the left", "section-across.png"
	}
	return j.picture(name, lead+". Thin straight lines are the edges of the beams.",
		fmt.Sprintf("%s. The %s runs from %s to %s within the cut.", lead, q.Name(), lightText(q, least),
			lightText(q, most)))
}

// kindParts show how spectra share a plane; none where all modules have the same.
func (j *job) kindParts() []any {
	t, colours := kindTable(j.light), colourTable(j.light, j.look.Units)
	if len(t.Rows) < 2 {
		return []any{colours}
	}
	shares := each(t.Cells(answer.Page), func(cells []string) string {
		return fmt.Sprintf("%s %s to %s", cells[0], cells[4], cells[5])
	})
	words := strings.Join(shares, ", ")
	return []any{answer.Group{Title: "Light by spectrum"}, t,
		j.picture("kinds.png", "The light of the modules of each spectrum alone, on one common scale: where one of them "+
			"falls off before the others, the colour of the light changes.",
			"Plans of the PPFD by spectrum. Shares of the photons: "+words+"."),
		j.picture("shares.png", "The share of each spectrum in all photons, from 0 to 100 %: an even colour means an even "+
			"mixture; patches here are patches of coloured light in the tank.",
			"Plans of the share of the photons by spectrum: "+words+"."), colours}
}

func (j *job) balance() []any {
	t := balanceTable(j.light)
	ends := each(t.Cells(answer.Page), func(cells []string) string {
		return fmt.Sprintf("%s %s %s (%s %%)", cells[0], cells[1], t.Columns[1].Unit, cells[2])
	})
	return []any{answer.Group{Title: "Luminous flux balance"}, "Where all the light of the LEDs ends up, and where it " +
		"is lost on the way to the floor. Spill is light that never meets the water. Shares below 0.05 % are left out.",
		j.picture("balance.png", "Light runs from the modules to the floor; what is lost on the way leaves to the right. "+
			"Widths are to scale.", "A flow diagram of "+emittedText(j.light)+": "+strings.Join(ends, ", ")+".")}
}

// dayParts sum up the day; none where the scene has no day.
func (j *job) dayParts() []any {
	if j.day == nil {
		return nil
	}
	name := "dli-" + render.PlaneFileName(j.scene.Goal.Plane.Name) + ".png"
	return []any{"The channels follow the programs of the scene by the clock. The command day writes the levels for " +
		"each minute, for a controller.", j.picture("day.png", "On the left the level of each channel, on the right the "+
		"mean PPFD that each gives on the goal's plane, and all together.", "Chart of levels and light by the clock. "+
		j.day.brief[0]),
		j.picture(name, "The daily light integral of the goal's plane from above: PPFD summed over the whole day.",
			"Plan of the daily light integral. "+j.day.brief[0]), j.day.parts}
}

// choiceParts compare optics and values; none where that was not asked for.
func (j *job) choiceParts() (parts []any) {
	if c := j.compared; c != nil {
		parts = append(parts, answer.Group{Title: "Optics compared"}, j.picture("compare.png", "The same tank with each "+
			"optic in turn, all on one colour scale. Below them, the light along the tank as curves, then the figures; filled "+
			"dots mark what meets the goal.",
			"Contact sheet of "+unit.Several(len(c.scenes), "optic")+". "+c.brief[0]), c.parts)
	}
	if w := j.swept; w != nil {
		parts = append(parts, answer.Group{Title: "Effect of the variables"}, j.picture("design-chart.png", "Each dot is "+
			"one candidate: the farther right, the more light; the higher, the more even. The stepped line joins those that no "+
			"other beats in both; dashed lines are the goal, if one is set.",
			"Chart of mean light against U0 (min/mean). "+w.brief[0]),
			j.picture("two-variables.png", "Uniformity U0 (min/mean) over both variables: the lighter the colour, the more "+
				"even. Marks show the scene as it is and the best candidate.",
				"Map of U0 (min/mean) over two variables. "+w.brief[0]), w.parts)
	}
	return parts
}

func (j *job) wiringParts() []any {
	a := j.wired
	var lines []string
	for i := range a.groups {
		lines = append(lines, stringLines(&a.groups[i])...)
	}
	var pages []any
	for i := range a.groups {
		g := &a.groups[i]
		pages = append(pages, j.picture(fmt.Sprintf("wiring-%d.png", i+1),
			"Driver "+g.Name+" by itself, from the front and, "+
				"as you solder, from the back, with the list of connections.", "Wiring diagram of driver "+g.Name+". "+
				strings.Join(stringLines(g), ". ")+"."))
	}
	parts := []any{"A string is a number of modules in series; a driver feeds its strings in parallel with a constant " +
		"current. Voltages are for " + a.junctions + ".",
		j.picture("wiring.svg", "How to connect the modules: the driver on one side, and each module as a diode in "+
			"its place along the rail, pointing with the current. Lines join only at dots.",
			"Wiring diagram. "+strings.Join(lines, ". ")+"."), pages,
		"All ways to divide the modules into strings of equal length follow. Warm is in operation, cold is at switch-on; " +
			"the limits for bare live parts are 30 V in wet places and 60 V in dry ones.", a.circuits()}
	if len(a.notes) > 0 {
		parts = append(parts, answer.Group{Title: "Notes on the wiring"}, finding.Lines(a.notes, finding.Note, j.look.Units))
	}
	return parts
}

func (j *job) heatParts() []any {
	a := *j.warm
	parts := []any{a.verdict(), j.picture("heat.png", "Each line is the temperature along a rail; each dot is the "+
		"junction of a module, its hottest part, on a stem from its rail. Dashed lines are the limits, and the air.",
		fmt.Sprintf("Chart of the temperature along the rails. %s The hottest place of a rail reaches %.0f °C in a room "+
			"of %.0f °C.", a.verdict(), a.op.Rails[a.op.HottestRail].HottestRailC, a.op.AirC)), a.parts()}
	if notes := a.notes(); len(notes) > 0 {
		parts = append(parts, "Limits of the computation:",
			answer.Lines{List: finding.Lines(notes, finding.Note, j.look.Units)})
	}
	return parts
}

func (j *job) costParts() []any {
	bill := j.bill()
	return []any{"All parts that the scene takes, with spares. \"Each\" is the price of one piece (pcs) or metre (m); a " +
		"dash means that no price is known.", billTable(bill),
		answer.Lines{List: []string{totalText(bill), spareText(j.share)}}, j.wired.running()}
}

func (j *job) drillParts() []any {
	parts := []any{"Distances from each rail's left end and from its front edge, all measured from one end so that " +
		"errors do not add up; inches are rounded to 1/32 in, with the error of that in mm. The full-size template " +
		"is a PDF of its own, written by the command drill; this page is not to scale."}
	for _, d := range j.drilled {
		parts = append(parts, d.answer(j.units), answer.Lines{List: finding.Lines(d.Warnings, finding.Warning, j.units)})
	}
	return parts
}

func (j *job) buildParts() []any {
	var steps report.Steps
	for _, s := range buildSteps(j.wired) {
		steps = append(steps, report.Step{What: s.what, Cautions: j.once(j.at(s.place))})
	}
	parts := []any{"The order of work is common practice, no published source. Tick each step before the next. " +
		unit.Capital(codesDecide) + ".", steps}
	for i := range j.wired.groups {
		parts = append(parts, cardParts(&j.wired.groups[i]))
	}
	return parts
}

func (*job) wordsParts() []any {
	return []any{report.Words(told(
		"illuminance, lx", "light that falls on a level plane, weighted as the eye sees it; one lux is one lumen per "+
			"square metre",
		"flux, lm", "all light that a source emits, weighted as the eye sees it",
		"PPFD, "+ppfdUnit, "photons from 400 to 700 nm that fall on a level plane per second: what plants and corals use",
		"DLI, "+dliUnit, "PPFD summed over the hours of light of a day",
		"uniformity U0", "the lowest value of a plane over its mean (min/mean): 1 is perfectly even, 0 means that some "+
			"place gets no light",
		"diffuse", "of a floor: the share of the light that it reflects in all directions; 0.08 is 8 %",
		"film", "behind a pane with a gap of air: the pane goes on mirroring, and the film reflects a share of the rest",
		"paint", "on a pane without a gap of air: it ends the mirroring of the pane, and reflects a share of all light",
		"module, optic", "a board with one or more LED chips (dies), and the lens over it; names such as quad-neutral and "+
			"round-40 are those of parts",
		"plane", "a horizontal plane in the water, at one depth",
		"dark corner", "a connected patch of a plane that is darker than a share of the mean, or than the goal's "+
			"uniformity allows",
		"beam angle", "the full angle between the directions of half the centre-beam intensity of an optic",
		"spill", "light that leaves the modules and never meets the water",
		"string", "modules in series, through which the same current flows",
		"driver", "the supply that turns mains into a constant current",
		"junction", "the layer of a die in which light and heat are produced; its temperature decides how much light the "+
			"die gives and how long it lasts"))}
}

// largestListing is the most that a file beside the scene may have to be shown on the page, in bytes.
const largestListing = 64 << 10

// sourceID is the section that holds texts as they were written.
const sourceID = "source"

func (j *job) sourceParts() []any {
	m := j.light
	engine := m.Engine + ", deterministic: no random numbers, so no seed"
	if t := m.Tracing; t != nil {
		engine = fmt.Sprintf("%s, %d photons, seed %d", m.Engine, t.Photons, t.Seed)
	}
	g := m.Planes[0].Field.Grid
	parts := []any{"From these and the scene's files the same page can be made again, byte for byte.",
		report.Words(told(
			"program", "fathomlux "+programVersion()+", built with "+runtime.Version(),
			"engine", engine,
			"light", engineWords[m.Engine],
			"grid", fmt.Sprintf("%d x %d cells of %s x %s", g.NX, g.NY, j.look.Units.Length(g.StepXM),
				j.look.Units.Length(g.StepYM)),
			"command", j.look.Call)), mapFigures(m, j.look),
		report.Listing{Name: filepath.Base(j.scene.File), Text: string(j.scene.Source())}}
	for _, f := range j.scene.Files() {
		if len(f.Content) > largestListing || !utf8.Valid(f.Content) {
			parts = append(parts, fmt.Sprintf("%s, %d bytes, is not shown here.", f.Name, len(f.Content)))
			continue
		}
		parts = append(parts, report.Listing{Name: f.Name, Text: string(f.Content)})
	}
	return parts
}

// told are figures for people alone, written as titles and words in turn.
func told(pairs ...string) (list answer.Answer) {
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, answer.Figure{Title: pairs[i], Value: pairs[i+1]})
	}
	return list
}

// engineWords say what an engine follows.
var engineWords = map[string]string{
	string(optics.Straight): "only light that is refracted and mirrored; what the floor and pale walls reflect and the " +
		"water scatters is counted but not followed",
	string(optics.Full): "refracted and mirrored light as an exact sum; diffusely reflected and scattered light by " +
		"tracing photons, with the seed",
	string(optics.Traced): "all light by tracing photons, with the seed",
}
