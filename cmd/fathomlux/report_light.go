package main

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/report"
	"fathomlux/scene/unit"
)

// figure returns a picture of the job with its words.
func (j *job) figure(name, lead, alt string) report.Block {
	return report.Block{Figure: &report.Figure{Name: name, Lead: lead, Alt: alt, Image: j.pictures[name],
		Scale: j.look.PixelFactor}}
}

// sceneSection says what the scene is, in words.
func (j *job) sceneSection() report.Section {
	blocks := []report.Block{
		{Text: "This is what was computed: the tank, its water and the modules above it, as the scene file at the end of " +
			"this page describes them. Places are given as x from the tank's inside left, y from its inside front, and " +
			"depths from the water's surface."},
		{Words: report.FactsOf(summaryLines(j.scene))},
	}
	if j.light.Junctions.Warm {
		blocks = append(blocks, report.Block{Text: "Flux, power and voltages in this list are rated values, as at the " +
			"moment of switching on. All that follows is in operation, with " + j.light.Junctions.Words() +
			", where flux and power are lower."})
	}
	var odd []string
	for _, f := range warningsOf(j.scene) {
		odd = append(odd, f.Error())
	}
	told := func(lead string, list []string) {
		if len(list) > 0 {
			blocks = append(blocks, report.Block{Text: lead}, report.Block{List: list})
		}
	}
	told("What is odd in the scene file, though it may be meant:", odd)
	told("What could not be computed, and why:", j.missing)
	return report.Section{ID: "scene", Title: "The tank and its light", Blocks: blocks}
}

// lightSection shows where the light lands.
func (j *job) lightSection() report.Section {
	blocks := []report.Block{{Text: "How much light reaches which depth, and how evenly. Illuminance (lx) is what a " +
		"level light meter reads; PPFD counts the photons that plants and corals use; U0 is the darkest place over the " +
		"mean (min/mean), 1 being perfectly even. The words at the end of this page say more."}}
	parts := answer.Answer{planeTable(j.light, j.scene, j.look), answer.Lines{List: j.goalLines()}}
	blocks = append(blocks, report.BlocksOf(append(parts, mapFigures(j.light)...))...)
	for i := range j.light.Planes {
		blocks = append(blocks, j.planeBlocks(&j.light.Planes[i])...)
	}
	blocks = append(blocks, report.Block{Heading: "Through the water"})
	for i := range j.light.Sections {
		blocks = append(blocks, j.sectionBlock(&j.light.Sections[i]))
	}
	blocks = append(append(blocks, j.kindBlocks()...), j.balanceBlocks()...)
	return j.closed(report.Section{ID: "light", Title: "Where the light lands", Blocks: blocks})
}

// goalLines are the sentences about the goal, and about what weakens the figures.
func (j *job) goalLines() (lines []string) {
	m := j.light
	switch {
	case !m.Goal.Asked:
		lines = append(lines, "the scene sets no goal")
	case m.Goal.Met:
		lines = append(lines, "the goal is met: "+goalText(j.scene.Goal))
	default:
		lines = append(lines, "the goal is not met: "+strings.Join(m.Goal.Missing(), "; "))
	}
	if m.Maintenance < 1 {
		lines = append(lines, fmt.Sprintf("pictures and figures show the light when new; the goal is judged with %.3g of it",
			m.Maintenance))
	}
	if warning := m.Junctions.Warning(); warning != "" {
		lines = append(lines, warning)
	}
	return append(lines, m.Warnings...)
}

// planeBlocks show one plane.
func (j *job) planeBlocks(p *result.Plane) []report.Block {
	name, at := render.PlaneFileName(p.Name), render.PlaneWords(p, j.look.Units)
	dark, named := "No place is below the limit for dark corners.", "No dark corners."
	if len(p.DarkCorners) > 0 {
		var places []string
		for _, d := range p.DarkCorners {
			places = append(places, d.Place(j.look.Units.Span))
		}
		named = "Dark: " + strings.Join(places, ", ") + "."
		dark = fmt.Sprintf("Dashed frames with letters mark the dark corners, which are darker than %s.",
			lightText(p.Shown, p.DarkLimit))
	}
	names := map[result.Quantity]string{result.Illuminance: name + ".png", result.PPFD: name + "-ppfd.png"}
	blocks := []report.Block{{Heading: capital(at)}, j.figure(names[p.Shown], "The tank from above, front edge at the "+
		"bottom, with the light on this plane: the lighter the colour, the more light, by the scale below the plan. Lines "+
		"join places of equal light, in "+p.Shown.Unit()+"; numbered squares are the modules on their rail. "+dark,
		planAlt(p, p.Shown, at)+" "+named)}
	if other := p.Shown.Other(); j.pictures[names[other]] != nil {
		blocks = append(blocks, j.figure(names[other], "The same plane in the other quantity: "+other.Name()+" in "+
			other.Unit()+".", planAlt(p, other, at)))
	}
	return append(blocks, report.BlocksOf(answer.Answer{darkTable(p, j.look.Units)})...)
}

// planAlt says what a plan shows for whoever cannot see it.
func planAlt(p *result.Plane, q result.Quantity, at string) string {
	s := p.Light(q)
	return fmt.Sprintf("Plan of the %s, %s: mean %s, lowest %s, highest %s, U0 (min/mean) %s.", q.Name(), at,
		lightText(q, s.Mean), lightText(q, s.Min), lightText(q, s.Max), unit.Ratio(s.MinOverMean))
}

// sectionBlock shows a slice through the water.
func (j *job) sectionBlock(s *result.Section) report.Block {
	at := j.look.Units.Length(s.AtM)
	q := j.light.Goal.Shown
	most, least := math.Inf(-1), math.Inf(1)
	for _, v := range s.Light(q) {
		most, least = max(most, v), min(least, v)
	}
	lead, name := "The tank cut along its length at y = "+at+", seen from the front", "section-along.png"
	if s.Axis == result.AcrossY {
		lead, name = "The tank cut across at x = "+at+", seen from the left, with the front on the left side",
			"section-across.png"
	}
	return j.figure(name, lead+": how the light of each level plane fades with depth, on one scale from the surface to "+
		"the floor. Thin straight lines are the edges of the beams, which bend at the surface.",
		fmt.Sprintf("%s. The %s runs from %s to %s within the cut.", lead, q.Name(), lightText(q, least),
			lightText(q, most)))
}

// kindBlocks show how spectra share a plane; none where all modules have the same.
func (j *job) kindBlocks() []report.Block {
	t := kindTable(j.light)
	if len(t.Rows) < 2 {
		return nil
	}
	var shares []string
	for _, cells := range t.Cells(answer.Page) {
		shares = append(shares, fmt.Sprintf("%s %s to %s", cells[0], cells[4], cells[5]))
	}
	words := strings.Join(shares, ", ")
	return append(append([]report.Block{{Heading: "Light by spectrum"}}, report.BlocksOf(answer.Answer{t})...),
		j.figure("kinds.png", "The light of the modules of each spectrum alone, on one common scale: where one of them "+
			"fades before the others, the colour of the light changes.",
			"Plans of the PPFD by spectrum. Shares of the photons: "+words+"."),
		j.figure("shares.png", "The share of each spectrum in all photons, from 0 to 100 %: an even colour means an even "+
			"mixture, patches are seen as patches of coloured light.",
			"Plans of the share of the photons by spectrum: "+words+"."))
}

// balanceBlocks say where the lumens end.
func (j *job) balanceBlocks() []report.Block {
	b := j.light.Balance
	blocks := []report.Block{{Heading: "Luminous flux balance"}, {Text: "All light that the LEDs emit ends somewhere; " +
		"what does not reach the floor shows where it is lost. Spill is light that never meets the water. Ends below 0.05 " +
		"% are left out."}}
	if _, ok := j.pictures["balance.png"]; ok {
		blocks = append(blocks, j.figure("balance.png", "Light runs from the modules to the floor; what is lost on the way "+
			"leaves to the right. Widths are to scale.", fmt.Sprintf("A stream of %.0f lm that narrows on its way; %.0f lm "+
			"end on the floor. The table below has every figure.", b.Emitted, b.Floor)))
	}
	return append(blocks, report.BlocksOf(answer.Answer{balanceTable(b)})...)
}

// choiceSection compares optics and values, as asked for.
func (j *job) choiceSection() report.Section {
	s := report.Section{ID: "choice", Title: "The choice"}
	if c := j.compared; c != nil {
		s.Blocks = append(s.Blocks, report.Block{Heading: "Which optic"}, j.figure("compare.png", "The same tank with each "+
			"optic in turn, all on one colour scale, so that colours can be compared from plan to plan. Below, the light "+
			"along the tank as curves, then the figures; filled dots mark what meets the goal.",
			"Contact sheet of "+several(len(c.scenes), "optic")+". "+c.brief[0]))
		s.Blocks = append(s.Blocks, report.BlocksOf(c.parts)...)
	}
	if w := j.swept; w != nil {
		s.Blocks = append(s.Blocks, report.Block{Heading: "What the variables do"}, j.figure("design-chart.png", "Each dot "+
			"is one candidate: the farther right, the more light; the higher, the more even. The stepped line joins those that "+
			"no other beats in both; dashed lines are the goal, where the scene sets one.",
			"Chart of mean light against U0 (min/mean). "+w.brief[0]))
		if _, ok := j.pictures["two-variables.png"]; ok {
			s.Blocks = append(s.Blocks, j.figure("two-variables.png", "Uniformity U0 (min/mean) over both variables: the "+
				"lighter the colour, the more even. Marks show the scene as it is and the best candidate.",
				"Map of U0 (min/mean) over two variables. "+w.brief[0]))
		}
		s.Blocks = append(s.Blocks, report.BlocksOf(w.parts)...)
	}
	return j.closed(s)
}
