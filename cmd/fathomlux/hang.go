package main

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/drilling"
	"fathomlux/scene/hanging"
	"fathomlux/scene/unit"
)

// layouts lay out the rails of a scene, with holes for wires; none of one with more holes than are allowed, which the
// command drill refuses.
func layouts(sc *scene.Scene) (list []drilling.Layout) {
	for _, r := range sc.Rails {
		if layout, err := drilling.Make(r, true); err == nil {
			list = append(list, layout)
		}
	}
	return list
}

// hangParts say what a rail weighs, what each hanger bears, and how far the bar sags.
func hangParts(h hanging.Hang, u unit.System) answer.Answer {
	t := answer.Table{Key: "hangers", Title: "Where the rail hangs", Columns: []answer.Column{
		lengthFigure("from_left_mm", "hanger, from left", u, 1), col("load_n", "bears", "N", 1)}}
	for _, one := range h.Hangers {
		t.Rows = append(t.Rows, []any{millimetres(one.AtM), roundTo(one.LoadN, 1e-4)})
	}
	return answer.Answer{answer.Group{Key: "hang", Parts: answer.Answer{
		finer(t),
		amount("must_bear_n", "each hanger, and what holds it, must bear", "N", 0, roundTo(h.HangerN(), 1e-4)),
		amount("mass_kg", "mass with modules and wires", "kg", 2, roundTo(h.Kg(), 1e-6)),
		amount("bar_kg", "of it, bar", "kg", 2, roundTo(h.BarKg, 1e-6)),
		amount("sag_mm", "sag at most", "mm", 2, roundTo(1000*h.SagM, 1e-6)),
		answer.Figure{Key: "sag_from_left_mm", Value: millimetres(h.SagAtM)},
		amount("bending_safety", "metal yields at", "times the load", 0, roundTo(h.Safety, 0.1)),
		answer.Figure{Key: "section_guessed", Value: h.Guessed}}},
		answer.Lines{List: hangNotes(h), In: answer.People}}
}

// hangNotes say how far the sag can be trusted.
func hangNotes(h hanging.Hang) []string {
	if !h.Guessed {
		return nil
	}
	return []string{"the profile names no second_moment: sag and bending are those of a flat strip of the same metal, " +
		"upper bounds"}
}

// hangText says in one sentence how a rail hangs.
func hangText(h hanging.Hang, u unit.System) string {
	var places []string
	for _, one := range h.Hangers {
		places = append(places, fmt.Sprintf("%s N at %s", unit.Figure(one.LoadN, 1), u.Length(one.AtM)))
	}
	sag := "less than 0.01 mm"
	if h.SagM >= 1e-5 {
		sag = unit.Figure(1000*h.SagM, 2) + " mm at most"
	}
	return fmt.Sprintf("%s kg; %s from the left end; sags %s", unit.Figure(h.Kg(), 2), strings.Join(places, " and "), sag)
}

// mustBear says what a hanger must bear: the force, and the mass that weighs as much.
func mustBear(h hanging.Hang) string {
	return fmt.Sprintf("%s N (%s kg)", unit.Figure(h.HangerN(), 0), unit.Figure(hanging.HeldKg(h.HangerN()), 1))
}

// heaviest is the rail whose hangers have to bear most.
func heaviest(list []drilling.Layout) (h hanging.Hang) {
	for _, l := range list {
		if l.Hang.HangerN() > h.HangerN() {
			h = l.Hang
		}
	}
	return h
}

// holdsText says what is to be done for the screws and the wires of all rails.
func holdsText(list []drilling.Layout) string {
	counts, order := map[string]int{}, []string{}
	for _, l := range list {
		for _, h := range l.Holes {
			wide, words := drilling.Millimetres(h.DiameterM), ""
			switch h.Hold {
			case drilling.Tapped:
				words = "tap " + h.Thread + " into %s of " + wide + " mm"
			case drilling.NutBack:
				words = "drill %s of " + wide + " mm through the bar, for " + h.Thread + " with a nut at the back"
			case drilling.SlotNut:
				words = "no drilling for %s over a slot: use " + h.Thread + " slot nuts, pushed in from the end"
			}
			if h.Kind == drilling.Wire {
				words = "fit a rubber grommet in each of %s for wires"
			}
			if counts[words]++; counts[words] == 1 && words != "" {
				order = append(order, words)
			}
		}
	}
	for i, words := range order {
		order[i] = unit.Capital(fmt.Sprintf(words, unit.Several(counts[words], "hole"))) + "."
	}
	return strings.Join(slices.Compact(order), " ")
}

// hangingText says where and on what each rail hangs.
func hangingText(list []drilling.Layout, u unit.System) string {
	var all []string
	for _, l := range list {
		all = append(all, fmt.Sprintf("%s: %s; hangers for %s each", scene.RailWord(l.Name), hangText(l.Hang, u),
			mustBear(l.Hang)))
	}
	return strings.Join(all, ". ")
}

// saltGPerKg is the salinity from which water counts as salt: brackish and more. Chosen.
const saltGPerKg = 5

// ingressText says how water is kept out, by what the tank is. Common practice, no published source.
func ingressText(sc *scene.Scene) string {
	text := "Keep water out. Coat pads and joints with a conformal coating, but not dies or lenses; lead each cable " +
		"into a housing or hood through a cable gland, with a drip loop before it."
	if sc.Tank.Cover == nil {
		text += " The tank is open: fit a splash guard between modules and water, a clear pane with a gasket around the " +
			"rail, and enter it as tank.cover, since it absorbs light."
	} else {
		text += " The cover stops splashes, not moist air at its edges: mount the driver and all joints outside it."
	}
	if sc.Ambient.Hood != nil {
		text += " A closed hood fills with moist air: keep mains out of it, and seal what stays in it with gaskets."
	}
	if sc.Tank.Water.SalinityGPerKg >= saltGPerKg {
		text += " Salt creeps along cables, conducts and corrodes: use screws of stainless steel A4, an anodised or " +
			"painted rail and tinned wire, leave no copper bare, and wipe salt off each month with the mains off."
	}
	return text
}
