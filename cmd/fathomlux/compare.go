package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// compareOptions are the options of the command compare, as the caller wrote them.
type compareOptions struct {
	common
	engineOptions
	scenes      []string
	optics      string
	step        string
	requireGoal bool
	cold        bool
}

func newCompareCommand(s streams, run func(context.Context, streams, compareOptions) error) *cobra.Command {
	var o compareOptions
	c := &cobra.Command{
		Use:   "compare SCENE... [--optic A,B,C]",
		Short: "hold several optics, or several scenes, against each other",
		Long: "Computes the light on the goal's plane for one scene with each of several optics on all its modules, or for several\n" +
			"scenes, and draws one sheet: plan maps on one common scale, profiles along the tank, and a table.\n" +
			"The best is, of those that can be built and meet the goal, that with the least power (within 1 %) and then the highest\n" +
			"minimum; where none meets it, that which misses the least share of it; without a goal, that with the highest minimum\n" +
			"for a watt.",
		Example: "  fathomlux compare scene.yaml --optic round-25,round-40,round-60\n  fathomlux compare first.yaml second.yaml",
		RunE: func(c *cobra.Command, args []string) error {
			o.scenes, o.call = args, callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.common.bind(c)
	o.bindFormat(c)
	o.engineOptions.bind(c)
	bindCold(c, &o.cold)
	f := c.Flags()
	f.StringVar(&o.optics, "optic", "", "names of optics with commas between; the scene's own comes first")
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"5 mm\" (default by the tank's size)")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where none meets its goal")
	return c
}

func runCompare(ctx context.Context, s streams, o compareOptions) error {
	list, err := o.contenders()
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	wish := optics.Options{Workers: o.cores(), Units: o.system(), Cold: o.cold}
	if err := o.engineOptions.resolve(&wish); err != nil {
		return err
	}
	if wish.StepM, err = parseStep(o.step, list[0].Scene.Tank); err != nil {
		return err
	}
	if len(list) > study.MaxCompared {
		return fmt.Errorf("%d scenes or optics (--optic), more than the limit of %d in one comparison; fewer serve", len(list), study.MaxCompared)
	}
	answer, err := study.Compare(ctx, list, wish)
	if err != nil {
		return err
	}
	files, err := compareFiles(ctx, answer, look)
	if err != nil {
		return err
	}
	dir := o.dir(o.scenes[0])
	if err := o.deliver(ctx, s, dir, files, func(s streams) error { return printComparison(s, o, answer, dir, files) }); err != nil {
		return err
	}
	if best := answer.List[answer.Best]; o.requireGoal && !best.Map.Goal.Met {
		return fmt.Errorf("%w by any of them", errGoalNotMet)
	}
	return nil
}

// contenders reads the scenes, all faults of all files at once, and puts the optics on.
func (o compareOptions) contenders() ([]study.Contender, error) {
	var list []study.Contender
	var errs []error
	for _, file := range o.scenes {
		sc, err := scene.Read(file)
		errs = append(errs, err)
		if err == nil {
			list = append(list, study.Contender{Name: strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)), Scene: sc})
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
	seen := map[string]bool{}
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if !seen[m.Optic.Name] {
				seen[m.Optic.Name] = true
				names = append(names, m.Optic.Name)
			}
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
			if near := document.Suggest(name, sc.Catalogue.OpticNames()); near != "" {
				return nil, fmt.Errorf("--optic: unknown optic %.60q; did you mean %q?", name, near)
			}
			return nil, fmt.Errorf("--optic: unknown optic %.60q; there are %s", name, strings.Join(sc.Catalogue.OpticNames(), ", "))
		}
		list = append(list, optic)
	}
	return list, nil
}

// compareColumns are the columns of the table on the sheet and in the terminal, in the quantity shown and with the other's mean.
func compareColumns(q result.Quantity) []string {
	return []string{meanHead(q), "min/mean", "darkest " + result.Of(q, "lx", "PPFD"), "where", meanHead(q.Other()), "spill lm", "into water lm/W", "W"}
}

// compareFigures are one contender's cells.
func compareFigures(q result.Quantity, c study.Compared, u unit.System) []string {
	where := "nowhere dark"
	if d := c.Plane.DarkCorners; len(d) > 0 {
		where = d[0].Place(u.Span)
	}
	s := c.Plane.Light(q)
	return []string{lightFigure(q, s.Mean), unit.Ratio(s.MinOverMean), lightFigure(q, s.Min), where,
		lightFigure(q.Other(), c.Plane.Light(q.Other()).Mean), fmt.Sprintf("%.0f", c.Map.Books.Spill), unit.Figure(c.EnteredPerW, 1), unit.Figure(c.PowerW, 1)}
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

// compareFiles draws the sheet and writes the table.
func compareFiles(ctx context.Context, answer *study.Comparison, look render.Look) ([]output.File, error) {
	sheet := render.Comparison{Title: titleOr(answer.List[0].Scene.Title), Columns: compareColumns(answer.Shown), Shown: answer.Shown, Verdict: answer.Verdict, Engine: answer.List[0].Map.Engine, Junctions: answer.Junctions}
	if answer.List[len(answer.List)-1].Scene.File != answer.List[0].Scene.File {
		sheet.Title = several(len(answer.List), "scene") + " compared"
	}
	for _, line := range differences(answer.List) {
		sheet.Notes = append(sheet.Notes, capital(line)+".")
	}
	var table bytes.Buffer
	fmt.Fprintln(&table, "name,mean_lx,min_over_mean,min_lx,darkest,mean_ppfd_umol_m2_s,spill_lm,into_water_lm_per_w,power_w,goal_met,min_ppfd_umol_m2_s,min_over_mean_ppfd")
	for _, c := range answer.List {
		sheet.List = append(sheet.List, render.Shown{Name: c.Name, Scene: c.Scene, Plane: c.Plane, Goal: c.Map.Goal, Met: c.Map.Goal.Met, Figures: compareFigures(answer.Shown, c, look.Units), Note: c.Misfit})
		where := ""
		if d := c.Plane.DarkCorners; len(d) > 0 {
			where = d[0].Place(unit.Metric.Span)
		}
		fmt.Fprintf(&table, "%s,%s,%s,%s,%s,%s,%s,%s,%s,%t,%s,%s\n", csvWord(c.Name), g7(c.Plane.Illuminance.Mean), g7(c.Plane.Illuminance.MinOverMean), g7(c.Plane.Illuminance.Min),
			csvWord(where), g7(c.Plane.PPFD.Mean), g7(c.Map.Books.Spill), g7(c.EnteredPerW), g7(c.PowerW), c.Map.Goal.Met, g7(c.Plane.PPFD.Min), g7(c.Plane.PPFD.MinOverMean))
	}
	pictures, err := render.Compare(ctx, "compare", sheet, look)
	if err != nil {
		return nil, err
	}
	return []output.File{bytesFile("compare.csv", table.Bytes()), bytesFile(pictures[0].Name, pictures[0].Data)}, nil
}

// comparedJSON is one contender as JSON.
type comparedJSON struct {
	Name      string        `json:"name"`
	Scene     string        `json:"scene"`
	Plane     planeJSON     `json:"plane"`
	Tracing   *tracingJSON  `json:"tracing,omitempty"`
	Flux      fluxJSON      `json:"flux_lm"`
	PowerW    float64       `json:"power_w"`
	Junctions junctionsJSON `json:"junctions"`
	IntoWater float64       `json:"into_water_lm_per_w"`
	Goal      goalMetJSON   `json:"goal"`
	WhyNot    string        `json:"why_not"`
}

// comparisonJSON is the answer of compare as JSON.
type comparisonJSON struct {
	Engine   string         `json:"engine"`
	Out      string         `json:"out"`
	Quantity string         `json:"quantity"` // of table and maps: "illuminance" or "PPFD"
	List     []comparedJSON `json:"list"`
	Best     int            `json:"best"`
	Verdict  string         `json:"verdict"`
	Bounced  bouncedJSON    `json:"bounced"`
}

// printComparison prints the answer: JSON, the verdict alone, or a table with the verdict under it.
func printComparison(s streams, o compareOptions, answer *study.Comparison, dir string, files []output.File) error {
	if o.json {
		out := comparisonJSON{Engine: answer.List[0].Map.Engine, Out: dir, Quantity: answer.Shown.Name(), Best: answer.Best, Verdict: answer.Verdict, Bounced: bouncedOf(answer.Bounced)}
		for _, c := range answer.List {
			one := comparedJSON{Name: c.Name, Scene: c.Scene.File, Plane: planeOf(c.Plane), Tracing: tracingOf(c.Map.Tracing), Flux: fluxJSON(c.Map.Books), PowerW: c.PowerW, Junctions: junctionsOf(c.Map.Junctions), IntoWater: c.EnteredPerW,
				Goal: goalMetOf(c.Map.Goal), WhyNot: c.Misfit}
			one.Plane.CSV = ""
			out.List = append(out.List, one)
		}
		e := json.NewEncoder(s.Out)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		return e.Encode(out)
	}
	var b strings.Builder
	if !o.quiet {
		rows := [][]string{append([]string{"name"}, compareColumns(answer.Shown)...)}
		for _, c := range answer.List {
			rows = append(rows, append([]string{c.Name}, compareFigures(answer.Shown, c, o.system())...))
		}
		writeTable(&b, rows)
	}
	writeVerdict(&b, answer.Verdict, answer.Bounced)
	if !o.quiet {
		writeWrote(&b, dir, files)
		for _, line := range differences(answer.List) {
			fmt.Fprintf(&b, "note: %s\n", line)
		}
		var scenes []*scene.Scene
		for _, c := range answer.List {
			scenes = append(scenes, c.Scene)
		}
		writeCautions(&b, "compare", scenes...)
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// writeCautions writes what a command says that can hurt somebody in scenes.
func writeCautions(w io.Writer, command string, scenes ...*scene.Scene) {
	for _, line := range cautions(command, scenes...) {
		fmt.Fprintf(w, "caution: %s\n", line)
	}
}
