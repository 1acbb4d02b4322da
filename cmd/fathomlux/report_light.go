package main

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/render/report"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// figure returns a picture of the job with its words.
func (j *job) figure(name, lead, alt string) report.Block {
	return report.Block{Figure: &report.Figure{Name: name, Lead: lead, Alt: alt, Image: j.pictures[name], Scale: j.look.PixelFactor}}
}

// sceneSection says what the scene is, in words.
func (j *job) sceneSection() report.Section {
	var words []report.Fact
	for _, p := range summaryLines(j.scene) {
		f := p.(answer.Figure)
		words = append(words, report.Fact{Name: f.Title, Value: f.Words()})
	}
	blocks := []report.Block{
		{Text: "This is what was computed: the tank, its water and the modules above it, as the scene file at the end of this page describes them. " +
			"Places are x from the tank's inside left, y from its inside front and depths from the water's surface."},
		{Words: words},
	}
	if j.light.Junctions.Warm {
		blocks = append(blocks, report.Block{Text: "Light, power and volts in this list are those of cold modules, at the moment they are switched on. All that follows is in operation, " + j.light.Junctions.Words() + ", where they give and take less."})
	}
	if len(oddities(j.scene)) > 0 {
		blocks = append(blocks, report.Block{Text: "What is odd in the scene file, though it may be meant:"}, report.Block{List: faultLines(j.scene)})
	}
	if len(j.missing) > 0 {
		blocks = append(blocks, report.Block{Text: "What could not be computed, and why:"}, report.Block{List: j.missing})
	}
	return report.Section{ID: "scene", Title: "The tank and its light", Blocks: blocks}
}

func faultLines(sc *scene.Scene) []string {
	var lines []string
	for _, f := range oddities(sc) {
		lines = append(lines, f.Error())
	}
	return lines
}

// lightSection shows where the light lands.
func (j *job) lightSection() report.Section {
	rows := planeRows(j.light, j.look.Units)
	q := j.light.Goal.Shown
	rows[0] = []string{"plane", "depth, " + j.look.Units.Name(), "mean, " + q.Unit(), "lowest, " + q.Unit(), "highest, " + q.Unit(), "min/mean", "mean, " + q.Other().Unit(), "mean DLI, " + dliUnit, "dark share of the area"}
	blocks := []report.Block{
		{Text: "How much light reaches which depth, and how evenly. Illuminance (lx) is what a light meter reads that lies level; PPFD counts the photons that plants and corals use; " +
			"min/mean is the darkest place over the mean, 1 being perfectly even. The words at the end of this page say more."},
		{Table: report.TableOf("Light on level planes", rows, true)},
		{List: j.lightLines()},
	}
	for i := range j.light.Planes {
		blocks = append(blocks, j.planeBlocks(&j.light.Planes[i])...)
	}
	blocks = append(blocks, report.Block{Heading: "Through the water"})
	for i := range j.light.Sections {
		blocks = append(blocks, j.sectionBlock(&j.light.Sections[i]))
	}
	blocks = append(blocks, j.kindBlocks()...)
	blocks = append(blocks, j.booksBlocks()...)
	return j.closed(report.Section{ID: "light", Title: "Where the light lands", Blocks: blocks})
}

// lightLines are the sentences about goal, junctions and what the engine leaves out.
func (j *job) lightLines() []string {
	m := j.light
	var lines []string
	switch {
	case !m.Goal.Asked:
		lines = append(lines, "The scene sets no goal.")
	case m.Goal.Met:
		lines = append(lines, "The goal is met: "+goalText(j.scene.Goal)+".")
	default:
		lines = append(lines, "The goal is not met: "+strings.Join(m.Goal.Missing, "; ")+".")
	}
	if m.Maintenance < 1 {
		p := j.goalPlane()
		lines = append(lines, fmt.Sprintf("Pictures and figures show the light when new; the goal is judged with %.3g of it, a mean of %s.",
			m.Maintenance, bothMeans(p.Shown, p.Illuminance.Mean*m.Maintenance, p.PPFD.Mean*m.Maintenance)))
	}
	if m.Junctions.Warm {
		lines = append(lines, fmt.Sprintf("The light is that of warm modules, %s, which leaves %.1f %% of the light of cold ones.", m.Junctions.Words(), 100*m.Junctions.RelativeFlux))
	} else {
		lines = append(lines, "The light is that of cold modules, as in the parts' tables.")
	}
	for _, w := range m.Warnings {
		lines = append(lines, capital(w)+".")
	}
	return lines
}

// planeBlocks show one plane.
func (j *job) planeBlocks(p *result.Plane) []report.Block {
	name := fileName(p.Name)
	depth := j.look.Units.Length(p.DepthM) + " under the surface"
	at := map[string]string{"surface": "just under the surface", "mid": "at half the depth, " + depth, "floor": "on the floor, " + depth}[p.Name]
	if at == "" {
		at = depth
	}
	dark := "No place is below the limit for dark corners."
	if n := len(p.DarkCorners); n > 0 {
		dark = fmt.Sprintf("Dashed frames with letters mark the dark corners, which are darker than %s.", lightText(p.Shown, p.DarkLimit))
	}
	names := map[result.Quantity]string{result.Illuminance: name + ".png", result.PPFD: name + "-ppfd.png"}
	blocks := []report.Block{
		{Heading: capital(j.planeWords(p))},
		j.figure(names[p.Shown], "The tank from above, front edge at the bottom, with the light "+at+": the lighter the colour, the more light, by the scale below the plan. Lines join places of equal light, in "+p.Shown.Unit()+"; numbered squares are the modules on their rail. "+dark,
			planAlt(p, p.Shown, at)+j.darkWords(p)),
	}
	if other := p.Shown.Other(); j.pictures[names[other]] != nil {
		blocks = append(blocks, j.figure(names[other], "The same plane in the other quantity: "+other.Name()+" in "+other.Unit()+".", planAlt(p, other, at)))
	}
	if len(p.DarkCorners) > 0 {
		blocks = append(blocks, report.Block{Table: j.darkTable(p)})
	}
	return blocks
}

// planAlt says what a plan shows for whoever cannot see it.
func planAlt(p *result.Plane, q result.Quantity, at string) string {
	s := p.Light(q)
	return fmt.Sprintf("Plan of the tank with the %s %s: mean %s, lowest %s, highest %s, min/mean %s.", q.Name(), at, lightText(q, s.Mean), lightText(q, s.Min), lightText(q, s.Max), unit.Ratio(s.MinOverMean))
}

// darkWords name the dark corners for whoever cannot see the plan.
func (j *job) darkWords(p *result.Plane) string {
	var names []string
	for _, d := range p.DarkCorners {
		names = append(names, d.Place(j.look.Units.Span))
	}
	if len(names) == 0 {
		return " No dark corners."
	}
	return " Dark: " + strings.Join(names, ", ") + "."
}

// darkTable lists the dark corners of a plane.
func (j *job) darkTable(p *result.Plane) *report.Table {
	u := j.look.Units
	t := &report.Table{Caption: fmt.Sprintf("Dark corners, %s: below %s", j.planeWords(p), lightText(p.Shown, p.DarkLimit)), Sorts: len(p.DarkCorners) > 1,
		Head: []string{"where", "x", "y", "share of the area", "lowest", "lowest at"}}
	for _, d := range p.DarkCorners {
		t.Rows = append(t.Rows, []string{d.Place(u.Span), u.Span(d.FromXM, d.ToXM), u.Span(d.FromYM, d.ToYM), fmt.Sprintf("%.1f %%", 100*d.AreaShare), lightText(p.Shown, d.Lowest),
			fmt.Sprintf("x %s, y %s", u.Length(d.LowestXM), u.Length(d.LowestYM))})
	}
	return t
}

// sectionBlock shows a slice through the water.
func (j *job) sectionBlock(s *result.Section) report.Block {
	at := j.look.Units.Length(s.AtM)
	q := j.light.Goal.Shown
	most, least := highest(s.Light(q))
	lead, name := "The tank cut along its length at y = "+at+", seen from the front", "section-along.png"
	if s.Axis == result.AcrossY {
		lead, name = "The tank cut across at x = "+at+", seen from the left, with the front on the left side", "section-across.png"
	}
	return j.figure(name, lead+": how the light of each level plane fades with depth, on one scale from the surface to the floor. Thin straight lines are the edges of the beams, which bend at the surface.",
		fmt.Sprintf("%s. The %s runs from %s to %s within the cut.", lead, q.Name(), lightText(q, least), lightText(q, most)))
}

// highest returns the highest and the lowest of values, 0 of none.
func highest(values []float64) (most, least float64) {
	if len(values) == 0 {
		return 0, 0
	}
	most, least = math.Inf(-1), math.Inf(1)
	for _, v := range values {
		most, least = max(most, v), min(least, v)
	}
	return most, least
}

// kindBlocks show how kinds of light share a plane; none where all modules are of one kind.
func (j *job) kindBlocks() []report.Block {
	m := j.light
	if len(m.Kinds) < 2 {
		return nil
	}
	t := &report.Table{Caption: "Kinds of light on the plane " + m.KindsPlane, Sorts: true, Head: []string{"spectrum", "modules", "mean, lx", "mean PPFD, " + ppfdUnit, "least share of the photons", "largest share"}}
	var shares []string
	for _, k := range m.Kinds {
		t.Rows = append(t.Rows, []string{k.Name, fmt.Sprint(k.Modules), lightFigure(result.Illuminance, k.Illuminance.Mean), lightFigure(result.PPFD, k.PPFD.Mean), fmt.Sprintf("%.0f %%", 100*k.Shares.Min), fmt.Sprintf("%.0f %%", 100*k.Shares.Max)})
		shares = append(shares, fmt.Sprintf("%s %.0f to %.0f %%", k.Name, 100*k.Shares.Min, 100*k.Shares.Max))
	}
	words := strings.Join(shares, ", ")
	return []report.Block{
		{Heading: "Kinds of light"},
		{Table: t},
		j.figure("kinds.png", "The light of each kind of module alone, on one common scale: where one of them fades before the others, the colour of the light changes.", "Plans of the PPFD of each kind of module. Shares of the photons: "+words+"."),
		j.figure("shares.png", "The share of each kind in all photons, from 0 to 100 %: an even colour means an even mixture, patches are seen as patches of coloured light.", "Plans of the share of the photons by kind: "+words+"."),
	}
}

// booksBlocks say where the lumens end.
func (j *job) booksBlocks() []report.Block {
	b := j.light.Books
	t := &report.Table{Caption: fmt.Sprintf("Where the %.0f lm of the dies end", b.Emitted), Sorts: true, Head: []string{"end", "flux, lm", "share of the dies' flux"}}
	for _, e := range bookEntries(b) {
		t.Rows = append(t.Rows, []string{e.name, fmt.Sprintf("%.0f", e.lm), fmt.Sprintf("%.1f %%", 100*e.lm/b.Emitted)})
	}
	blocks := []report.Block{
		{Heading: "Where the lumens end"},
		{Text: "Every lumen that the modules give ends somewhere; what does not reach the floor shows where light is lost. Spill is light that never meets the water. Ends below 0.05 % are left out."},
	}
	if _, ok := j.pictures["books.png"]; ok {
		blocks = append(blocks, j.figure("books.png", "Light falls from the modules to the floor; what is lost on the way leaves to the right. Widths are to scale.",
			fmt.Sprintf("A stream of %.0f lm that narrows on its way; %.0f lm end on the floor. The table below has every figure.", b.Emitted, b.Floor)))
	}
	return append(blocks, report.Block{Table: t})
}

// choiceSection holds optics and variables against each other, as asked for.
func (j *job) choiceSection() report.Section {
	s := report.Section{ID: "choice", Title: "The choice"}
	if c := j.compared; c != nil {
		t := &report.Table{Caption: "Optics on the plane " + c.List[0].Plane.Name, Sorts: true,
			Head: []string{"optic", "mean, " + c.Shown.Unit(), "min/mean", "darkest, " + c.Shown.Unit(), "where", "mean, " + c.Shown.Other().Unit(), "spill, lm", "into the water, lm/W", "power, W"}}
		for _, one := range c.List {
			t.Rows = append(t.Rows, append([]string{one.Name}, compareFigures(c.Shown, one, j.look.Units)...))
		}
		s.Blocks = append(s.Blocks, report.Block{Heading: "Which optic"},
			j.figure("compare.png", "The same tank with each optic in turn, all on one colour scale, so that colours can be compared from plan to plan. Below, the light along the tank as curves, then the figures; filled dots mark what meets the goal.", "Contact sheet of "+several(len(c.List), "optic")+". "+plainThousands(c.Verdict)),
			report.Block{Text: plainThousands(c.Verdict)}, report.Block{Table: t})
	}
	if w := j.swept; w != nil {
		rows := frontierTable(w, j.look.Units)
		rows[0] = []string{"candidate", "mean, " + w.Shown.Unit(), "min/mean", "mean, " + w.Shown.Other().Unit(), "power, W", "goal"}
		for _, row := range rows[1:] {
			if last := len(row) - 1; row[last] == "-" && j.scene.Goal.Set() {
				row[last] = "not met"
			}
		}
		s.Blocks = append(s.Blocks, report.Block{Heading: "What the variables do"})
		s.Blocks = append(s.Blocks,
			j.figure("design-chart.png", "Each dot is one candidate: the farther right, the more light; the higher, the more even. The stepped line joins those that no other beats in both; dashed lines are the goal, where the scene sets one.", "Chart of mean light against min/mean. "+plainThousands(w.Verdict)))
		if _, ok := j.pictures["two-variables.png"]; ok {
			s.Blocks = append(s.Blocks, j.figure("two-variables.png", "Evenness (min/mean) over both variables: the lighter the colour, the more even. Marks show the scene as it is and the best candidate.", "Map of min/mean over two variables. "+plainThousands(w.Verdict)))
		}
		s.Blocks = append(s.Blocks, report.Block{Text: plainThousands(strings.TrimSpace(w.Verdict + " " + w.Bounced.Words()))}, report.Block{Table: report.TableOf(capital(frontierHead(w))+", and the scene as it is", rows, true)})
	}
	return s
}
