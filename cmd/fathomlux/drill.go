package main

import (
	"cmp"
	"context"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/render/drill"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/drilling"
	"fathomlux/scene/finding"
	"fathomlux/scene/hanging"
	"fathomlux/scene/unit"
)

type drillOptions struct {
	common
	paper, rail string
	noWireHoles bool
}

func newDrillCommand(s streams) *cobra.Command {
	var o drillOptions
	c := &cobra.Command{
		Use:   "drill SCENE",
		Short: "show where to drill each rail: a full-size template and a table",
		Long: `Writes a full-size template for each rail (PDF, on overlapping pages of A4 or Letter, and SVG in one piece)
and a table (CSV) of the distances from the rail's left end, in mm and to the nearest 1/32 in.

The template shows the face that carries the modules, facing up, with the left end on the left: the front edge is then
on the far side. A part's holes are measured from the centre of the board, along to the right and across to the back.
Each module gets a wire hole of 6 mm (common practice) beside it, unless --no-wire-holes is given. The profile decides
what is drilled for the screws: a tap drill in thick metal, a clearance hole for a nut behind a thin wall, nothing over
a slot that takes slot nuts. Hanger holes are where the scene has them (rails.hangers), or where the rail sags least;
mass, load of each hanger and sag are shown.`,
		Example: "fathomlux drill scene.yaml\nfathomlux drill scene.yaml --paper letter --rail main --no-wire-holes",
	}
	o.bindOut(c)
	f := c.Flags()
	choose(f, &o.paper, "paper", "paper of the PDF", "a4", "letter")
	f.StringVar(&o.rail, "rail", "", "name of the rail (default all rails)")
	f.BoolVar(&o.noWireHoles, "no-wire-holes", false, "leave out the holes for wires")
	f.Lookup("quiet").Usage = "print only the warnings"
	return command(s, c, &o.given, o.run)
}

// drilled is one rail with its places, and the name of its files without their endings.
type drilled struct {
	drilling.Layout
	number int // of the rail among the scene's, from 1
	name   string
}

// run reads the scene, draws all templates, writes all files at once and prints the tables.
func (o *drillOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	paper, err := drill.PaperNamed(o.paper)
	if err != nil {
		return fmt.Errorf("--paper: %w", err)
	}
	list, err := drillPlans(sc, o.rail, o.noWireHoles)
	if err != nil {
		return err
	}
	files, err := o.files(sc, list, paper)
	if err != nil {
		return err
	}
	rails, found := answer.Groups{Key: "rails"}, []finding.Finding{}
	for _, d := range list {
		rails.List, found = append(rails.List, d.answer(o.system())), append(found, d.Warnings...)
	}
	return o.hand(ctx, s, outcome{command: "drill", scenes: []*scene.Scene{sc},
		parts: answer.Answer{answer.Figure{Key: "paper", Value: o.paper}, rails}, found: found,
		quiet: foundParts(append(found, warningsOf(sc)...), o.system()), files: files})
}

// drillPlans lays out the rail of a name, or all of them where that is empty.
func drillPlans(sc *scene.Scene, rail string, noWireHoles bool) (list []drilled, err error) {
	if rail != "" {
		if _, err := sc.Rail(rail); err != nil {
			return nil, fmt.Errorf("--rail: %w", err)
		}
	}
	taken := map[string]bool{}
	for i, r := range sc.Rails {
		name := "drill-" + safeName(r.Name, taken) // of all rails, so that a file's name does not depend on --rail
		if rail != "" && r.Name != rail {
			continue
		}
		layout, err := drilling.Make(r, !noWireHoles)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", sc.File, err)
		}
		for k, f := range layout.Warnings {
			layout.Warnings[k] = f.At(finding.Place{File: sc.File, Path: modulesPath(i)})
		}
		list = append(list, drilled{layout, i + 1, name})
	}
	return list, nil
}

func modulesPath(rail int) string { return fmt.Sprintf("rails[%d].modules", rail) }

// safeName turns a name into one that any file system takes: lower-case letters a to z, digits and hyphens. A name that
// is taken, or that has none of these, gets a number.
func safeName(name string, taken map[string]bool) string {
	base := strings.Trim(regexp.MustCompile(`[^a-z0-9]+`).ReplaceAllString(strings.ToLower(name), "-"), "-")
	base = cmp.Or(base, "rail")
	base = strings.TrimRight(base[:min(len(base), 60)], "-")
	safe := base
	for n := 2; taken[safe]; n++ {
		safe = base + "-" + strconv.Itoa(n)
	}
	taken[safe] = true
	return safe
}

// files draws the templates and writes the tables, in memory. A template warns of what the scene says of its rail too.
func (o *drillOptions) files(sc *scene.Scene, list []drilled, paper drill.Paper) (files []output.File, err error) {
	for _, d := range list {
		about := slices.DeleteFunc(warningsOf(sc), func(f finding.Finding) bool {
			return !strings.HasPrefix(f.Place.Path, modulesPath(d.number-1))
		})
		t := drill.Template{Rail: d.Layout, Number: d.number, Of: len(sc.Rails), Title: titleOr(sc.Title), Call: o.call,
			Version: programVersion(), Cautions: situation{scene: sc}.at("template")}
		for _, f := range append(about, d.Warnings...) {
			t.Warnings = append(t.Warnings, f.Words(unit.Metric))
		}
		pdf, svg, err := drill.Draw(t, paper)
		if err != nil {
			return nil, err
		}
		files = append(files, output.File{Name: d.name + ".pdf", Data: pdf}, output.File{Name: d.name + ".svg", Data: svg},
			csvFile(d.name+".csv", drillTable(d.Layout)))
	}
	return files, nil
}

// answer is one rail.
func (d drilled) answer(u unit.System) answer.Group {
	return answer.Group{
		Title: "rail " + d.Name + ": " + d.Profile + ", " + drilling.Millimetres(d.LengthM) +
			" mm long; distances from the left end and from the front edge",
		Parts: append(append(fields("name", d.Name, "profile", d.Profile, "length_mm", millimetres(d.LengthM),
			"width_mm", millimetres(d.WidthM), "pdf", d.name+".pdf", "svg", d.name+".svg", "csv", d.name+".csv"),
			drillTable(d.Layout)), hangParts(d.Hang, u)...),
	}
}

// drillTable is a rail's table of distances from its left end and its front edge.
func drillTable(p drilling.Layout) answer.Table {
	t := answer.Table{Key: "rows", Title: "Rail " + p.Name + ", " + p.Profile, Columns: []answer.Column{
		{Key: "mark", Title: "mark"}, {Key: "module", Title: "module"}, col("from_left_mm", "from left", "mm", 1),
		col("from_left_in", "from left", "in", 0), col("from_left_in_error_mm", "rounding", "mm", 2),
		col("from_front_mm", "from front", "mm", 1), col("from_front_in", "from front", "in", 0),
		col("from_front_in_error_mm", "rounding", "mm", 2), col("diameter_mm", "hole", "mm", 2),
		{Key: "thread", Title: "screw"}, {Key: "held_by", Title: "held by"}, {Key: "note", Title: "note"}}}
	for _, r := range p.Rows() {
		row := append([]any{string(r.Kind), optional(r.Module, r.Module > 0)}, lengthCells(r.FromLeftM, true)...)
		row = append(row, lengthCells(r.FromFrontM, r.Module > 0 || r.Kind == drilling.Hanger)...)
		t.Rows = append(t.Rows, append(row, optional(millimetres(r.DiameterM), r.DiameterM > 0), r.Thread, string(r.Hold),
			r.Note))
	}
	return t
}

// lengthCells are a length in mm and to the nearest 1/32 in, and by how many mm that is off; nothing where there is no
// length.
func lengthCells(m float64, known bool) []any {
	if !known {
		return []any{nil, nil, nil}
	}
	inches, errorM := drilling.Inches(m)
	return []any{millimetres(m), inches, millimetres(errorM)}
}

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
	places := each(h.Hangers, func(one hanging.Hanger) string {
		return fmt.Sprintf("%s N at %s", unit.Figure(one.LoadN, 1), u.Length(one.AtM))
	})
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
