package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// compareOptions are the options of the command compare, as the caller wrote them.
type compareOptions struct {
	lightOptions
	optics string
}

func newCompareCommand(s streams) *cobra.Command {
	var o compareOptions
	c := &cobra.Command{
		Use:   "compare SCENE... [--optic A,B,C]",
		Short: "compare several optics, or several scenes",
		Long: `Computes the light on the goal's plane for one scene with each of several optics on all its modules, or for
several scenes, and draws one sheet: plans on a common scale, profiles along the tank, and a table.

The best is, of those that can be built and meet the goal, the one with the least power (within 1 %) and then the
highest minimum; where none meets the goal, the one that misses the least share of it; without a goal, the one with the
highest minimum per watt.`,
		Example: "fathomlux compare scene.yaml --optic round-25,round-40,round-60\n" +
			"fathomlux compare first.yaml second.yaml",
	}
	o.bind(c, "by the tank's size")
	o.engineOptions.bind(c)
	bindOptics(c, &o.optics, "to compare with the scene's own")
	return command(s, c, &o.given, o.run)
}

// bindOptics adds the flag that names optics.
func bindOptics(c *cobra.Command, optics *string, what string) {
	c.Flags().StringVar(optics, "optic", "", "names of optics "+what+", separated by commas")
}

// run compares and hands the answer over.
func (o *compareOptions) run(ctx context.Context, s streams) error {
	list, err := o.contenders()
	if err != nil {
		return err
	}
	out, err := o.compare(ctx, list)
	if err != nil {
		return err
	}
	return o.hand(ctx, s, out)
}

// compare computes and draws contenders.
func (o *compareOptions) compare(ctx context.Context, list []study.Contender) (out outcome, err error) {
	request, look, err := o.resolve(list[0].Scene.Tank)
	if err != nil {
		return out, err
	}
	compared, err := study.Compare(ctx, list, request)
	if err != nil {
		return out, err
	}
	out = outcome{command: "compare", title: comparisonTitle(compared), notes: differences(compared.List)}
	for _, c := range list {
		out.scenes = append(out.scenes, c.Scene)
	}
	out.parts, out.brief = comparisonParts(compared, look.Units)
	if !compared.List[compared.Best].Map.Goal.Met {
		out.unmet = " by any of them"
	}
	out.files, err = compareFiles(ctx, compared, look)
	return out, err
}

// contenders reads the scenes, all faults of all files at once, and puts the optics on.
func (o *compareOptions) contenders() ([]study.Contender, error) {
	var list []study.Contender
	var errs []error
	for _, file := range o.args {
		sc, err := scene.Read(file)
		errs = append(errs, err)
		if err == nil {
			name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
			list = append(list, study.Contender{Name: name, Scene: sc})
		}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	if o.optics == "" {
		return list, nil
	}
	if len(list) > 1 {
		return nil, errors.New("--optic goes with one scene; compare several scenes without it")
	}
	return opticContenders(list[0].Scene, o.optics)
}

// opticContenders are a scene as it is, and with each of the optics that a text names.
func opticContenders(sc *scene.Scene, names string) ([]study.Contender, error) {
	list := []study.Contender{{Name: "as it is (" + ownOptics(sc) + ")", Scene: sc}}
	chosen, err := parseOptics(names, sc)
	if err != nil {
		return nil, err
	}
	for _, optic := range chosen {
		if optic.Name != ownOptics(sc) {
			list = append(list, study.Contender{Name: optic.Name, Scene: study.WithOptic(sc, optic)})
		}
	}
	return list, nil
}

// ownOptics names the optics that a scene uses, each once.
func ownOptics(sc *scene.Scene) string {
	var names []string
	for _, m := range modulesOf(sc) {
		if !slices.Contains(names, m.Optic.Name) {
			names = append(names, m.Optic.Name)
		}
	}
	return strings.Join(names, ", ")
}

// parseOptics looks up names with commas between in the scene's library.
func parseOptics(text string, sc *scene.Scene) ([]parts.Optic, error) {
	var list []parts.Optic
	for _, name := range strings.Split(text, ",") {
		name = strings.TrimSpace(name)
		optic, ok := sc.Catalogue.Optics[name]
		if !ok {
			if near := document.Suggest(name, parts.Names(sc.Catalogue.Optics)); near != "" {
				return nil, fmt.Errorf("--optic: unknown optic %.60q; did you mean %q?", name, near)
			}
			return nil, fmt.Errorf("--optic: unknown optic %.60q; there are %s", name,
				strings.Join(parts.Names(sc.Catalogue.Optics), ", "))
		}
		list = append(list, optic)
	}
	return list, nil
}

// differences say in what the contenders are not judged alike: by their planes, by their goals.
func differences(list []study.Compared) []string {
	planes, goals := make([]string, len(list)), make([]string, len(list))
	for i, c := range list {
		planes[i], goals[i] = c.Plane.Name, "none"
		if c.Scene.Goal.Set() {
			goals[i] = goalFigures(c.Scene.Goal)
		}
	}
	var lines []string
	say := func(lead string, each []string) {
		if len(slices.Compact(slices.Clone(each))) < 2 {
			return
		}
		named := make([]string, len(list))
		for i, c := range list {
			named[i] = c.Name + " " + each[i]
		}
		lines = append(lines, lead+": "+strings.Join(named, "; "))
	}
	say("each is judged by its own plane", planes)
	say("each is judged by its own goal", goals)
	return lines
}

// comparisonTitle is the title of the scene, or how many there are.
func comparisonTitle(c *study.Comparison) string {
	if first := c.List[0].Scene; c.List[len(c.List)-1].Scene.File == first.File {
		return titleOr(first.Title)
	}
	return several(len(c.List), "scene") + " compared"
}

// comparisonTable are all contenders.
func comparisonTable(c *study.Comparison, u unit.System) answer.Table {
	var records []answer.Answer
	for _, one := range c.List {
		records = append(records, contenderFigures(c.Shown, one, u))
	}
	t := answer.Rows("list", "Plane "+c.List[0].Plane.Name, records...)
	t.Sorts = true
	return t
}

// comparisonParts are the figures of a comparison, and its verdict.
func comparisonParts(c *study.Comparison, u unit.System) (parts answer.Answer, brief []string) {
	verdict, brief := bouncedParts(c.Verdict, c.Bounced)
	return append(append(answer.Answer{comparisonTable(c, u)}, fields("engine", c.List[0].Map.Engine, "quantity",
		c.Shown.Name(), "best", c.Best)...), verdict...), brief
}

// compareFiles draws the sheet and writes the table.
func compareFiles(ctx context.Context, c *study.Comparison, look render.Look) ([]output.File, error) {
	sheet := sheetOf(c, look.Units)
	sheet.Title, sheet.Verdict = comparisonTitle(c), c.Verdict
	for _, line := range differences(c.List) {
		sheet.Notes = append(sheet.Notes, capital(line)+".")
	}
	pictures, err := render.Compare(ctx, "compare", sheet, look)
	return append([]output.File{csvFile("compare.csv", comparisonTable(c, look.Units))}, pictureFiles(pictures)...), err
}

// sheetOf is what a sheet shows of contenders: their plans, and their figures but for the name and the goal, which it
// marks by itself.
func sheetOf(c *study.Comparison, u unit.System) render.Comparison {
	t := comparisonTable(c, u)
	head := t.Head(answer.Text)
	last := len(head) - 1
	sheet := render.Comparison{Columns: head[1:last], Shown: c.Shown, Engine: c.List[0].Map.Engine,
		Junctions: c.Junctions}
	for i, cells := range t.Cells(answer.Text) {
		one := c.List[i]
		sheet.List = append(sheet.List, render.Shown{Name: one.Name, Scene: one.Scene, Plane: one.Plane,
			Goal: one.Map.Goal, Met: one.Map.Goal.Met, Figures: cells[1:last], Note: one.Unbuildable})
	}
	return sheet
}
