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

// modulesPath is where the modules of a rail stand in a scene file.
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
