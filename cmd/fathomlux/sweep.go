package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// sweepOptions are the options of the command sweep, as the caller wrote them.
type sweepOptions struct {
	common
	scene       string
	vary        []string
	step        string
	requireGoal bool
	cold        bool
}

func newSweepCommand(s streams, run func(context.Context, streams, sweepOptions) error) *cobra.Command {
	var o sweepOptions
	c := &cobra.Command{
		Use:   "sweep SCENE --vary VARIABLE=FROM:TO:STEP",
		Short: "show what spacing, beam angle, height, count, current do to the light",
		Long: "Computes the light on the goal's plane (the floor where there is no goal) for all values of one to three variables,\n" +
			"and draws mean against min/mean with the goal and the frontier: the candidates that no other beats in both.\n" +
			"The best is chosen as by the command compare.\n\n" +
			variablesText() + "\nA rail's name and a dot before the variable change that rail alone: --vary front.y=80mm:140mm:10mm.\n" +
			"Ctrl-C stops; what is done by then is drawn and kept. A second Ctrl-C ends at once.",
		Example: "  fathomlux sweep scene.yaml --vary spacing=120mm:260mm:20mm\n  fathomlux sweep scene.yaml --vary beam=25deg,40deg,60deg --vary height=100mm:250mm:10mm",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.bind(c)
	o.bindFormat(c)
	bindCold(c, &o.cold)
	f := c.Flags()
	f.StringArrayVar(&o.vary, "vary", nil, "variable with its range or list, such as spacing=120mm:260mm:20mm; up to three times")
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"10 mm\" (default about 6000 cells)")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where no candidate meets the goal")
	return c
}

// variablesText lists what may be varied.
func variablesText() string {
	var b strings.Builder
	b.WriteString("Variables:\n")
	for _, v := range edit.Variables() {
		fmt.Fprintf(&b, "  %-8s  %s\n", v.Name, v.About)
	}
	return b.String()
}

func runSweep(ctx context.Context, s streams, o sweepOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	wish := study.SweepOptions{Workers: o.cores(), Units: o.system(), Cold: o.cold}
	if wish.Axes, err = sweepAxes(o.vary, sc); err != nil {
		return err
	}
	if wish.StepM, err = parseStep(o.step, sc.Tank); err != nil {
		return err
	}
	bar := progress(s, o.common, "candidates")
	wish.Progress = func(done, total int) {
		keepsWhatIsDone(ctx, done > 0)
		bar.set(done, total)
	}
	answer, err := study.Sweep(ctx, sc, wish)
	bar.close()
	if err != nil {
		return err
	}
	if ctx.Err() != nil && done(answer) == 0 {
		return ctx.Err() // there is nothing to keep
	}
	ctx = context.WithoutCancel(ctx) // what is done is drawn and written even after an interruption
	files, err := sweepFiles(ctx, answer, sc, look, o.cores())
	if err != nil {
		return err
	}
	dir := o.dir(o.scene)
	if err := o.deliver(ctx, s, dir, files, func(s streams) error { return printSweep(s, o, answer, sc, dir, files) }); err != nil {
		return err
	}
	if !answer.Complete {
		return fmt.Errorf("interrupted after %d of %d candidates; what was done is kept", done(answer), len(answer.Candidates))
	}
	if o.requireGoal && (answer.Best < 0 || !answer.Candidates[answer.Best].Met) {
		return fmt.Errorf("%w by any candidate", errGoalNotMet)
	}
	return nil
}

// parseRanges reads the --vary flags; rails must exist in the scene.
func parseRanges(texts []string, sc *scene.Scene) ([]edit.Range, error) {
	if len(texts) == 0 {
		return nil, errors.New("--vary is missing; a right call is: fathomlux sweep scene.yaml --vary spacing=120mm:260mm:20mm")
	}
	var list []edit.Range
	seen := map[string]bool{}
	for _, text := range texts {
		r, err := edit.ParseRange(text)
		if err != nil {
			return nil, fmt.Errorf("--vary: %w", err)
		}
		if seen[r.Name()] {
			return nil, fmt.Errorf("--vary: %s is given twice", r.Name())
		}
		seen[r.Name()] = true
		if r.Rail != "" {
			if _, err := sc.Rail(r.Rail); err != nil {
				return nil, fmt.Errorf("--vary: %w", err)
			}
		}
		list = append(list, r)
	}
	return list, nil
}

// sweepAxes reads the --vary flags of a sweep.
func sweepAxes(texts []string, sc *scene.Scene) ([]edit.Range, error) {
	list, err := parseRanges(texts, sc)
	if err == nil {
		if err = study.CheckAxes(list); err != nil {
			err = fmt.Errorf("--vary: %w", err)
		}
	}
	return list, err
}

func done(s *result.Sweep) int {
	n := 0
	for _, c := range s.Candidates {
		if c.Done || c.Refused != "" {
			n++
		}
	}
	return n
}

// sweepFiles draws the charts and writes the table.
func sweepFiles(ctx context.Context, answer *result.Sweep, sc *scene.Scene, look render.Look, workers int) ([]output.File, error) {
	names := make([]string, len(answer.Candidates))
	for i, c := range answer.Candidates {
		names[i] = study.CandidateName(answer.Axes, c, look.Units)
	}
	pictures, err := render.Sweep(ctx, answer, sc, look, names, workers)
	if err != nil {
		return nil, err
	}
	var table bytes.Buffer
	writeSweepCSV(&table, answer)
	files := []output.File{bytesFile("sweep.csv", table.Bytes())}
	for _, p := range pictures {
		files = append(files, bytesFile(p.Name, p.Data))
	}
	return files, nil
}

// writeSweepCSV writes one line a candidate: its values in the axes' units, then what counts of its light.
func writeSweepCSV(w io.Writer, s *result.Sweep) {
	for _, a := range s.Axes {
		fmt.Fprintf(w, "%s,", csvWord(axisKey(a)))
	}
	fmt.Fprintln(w, "mean_lx,min_lx,max_lx,min_over_mean,mean_ppfd_umol_m2_s,min_over_mean_ppfd,dli_mol_m2_day,power_w,hottest_junction_c,goal_met,frontier,why_not")
	front := map[int]bool{}
	for _, i := range s.Frontier {
		front[i] = true
	}
	for i, c := range s.Candidates {
		if !c.Done && c.Refused == "" {
			continue
		}
		for k, a := range s.Axes {
			fmt.Fprintf(w, "%s,", g7(c.Values[k]*a.Factor))
		}
		fmt.Fprintf(w, "%s,%s,%s,%s,%s,%s,%s,%s,%s,%t,%t,%s\n", g7(c.Illuminance.Mean), g7(c.Illuminance.Min), g7(c.Illuminance.Max), g7(c.Illuminance.MinOverMean),
			g7(c.PPFD.Mean), g7(c.PPFD.MinOverMean), g7(c.DLI), g7(c.PowerW), hottest(c), c.Met, front[i], csvWord(c.Refused+c.Misfit))
	}
}

// hottest writes the hottest junction of a candidate, nothing where it is cold.
func hottest(c result.Candidate) string {
	if !c.Junctions.Warm {
		return ""
	}
	return g7(c.Junctions.HighestC)
}

// axisKey is an axis' name as a column or key: with its unit.
func axisKey(a result.Axis) string {
	if a.Unit == "" {
		return a.Name
	}
	return a.Name + "_" + strings.ToLower(a.Unit)
}

func g7(v float64) string { return strconv.FormatFloat(v, 'g', 7, 64) }

// csvWord quotes a text for CSV where it needs it, and keeps spreadsheets from running it as a formula.
func csvWord(text string) string {
	if text != "" && strings.ContainsAny(text[:1], "=+-@") {
		text = "'" + text
	}
	if strings.ContainsAny(text, ",\"\n") {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}

// sweepJSON is the answer of sweep as JSON.
type sweepJSON struct {
	Scene      string          `json:"scene"`
	Engine     string          `json:"engine"`
	Out        string          `json:"out"`
	Plane      string          `json:"plane"`
	Complete   bool            `json:"complete"`
	Quantity   string          `json:"quantity"` // that the goal and the frontier count: "illuminance" or "PPFD"
	Own        candidateJSON   `json:"own"`
	Best       *int            `json:"best"` // null where none can be built
	Frontier   []int           `json:"frontier"`
	Candidates []candidateJSON `json:"candidates"`
	Verdict    string          `json:"verdict"`
	Bounced    bouncedJSON     `json:"bounced"`
}

// bouncedJSON is the light that sums of straight light leave out.
type bouncedJSON struct {
	Share float64 `json:"share"` // of the light that lands on floor, walls and obstacles
	About string  `json:"about"` // in words; empty where nothing is left out
}

func bouncedOf(b result.Bounced) bouncedJSON {
	return bouncedJSON{Share: roundTo(float64(b), 1e-6), About: b.Words()}
}

// candidateJSON is one candidate; its values are keyed by the axes' names with their units.
type candidateJSON struct {
	Values      map[string]float64 `json:"values"`
	MeanLx      float64            `json:"mean_lx"`
	MinLx       float64            `json:"min_lx"`
	MaxLx       float64            `json:"max_lx"`
	MinOverMean float64            `json:"min_over_mean"`
	MeanPPFD    float64            `json:"mean_ppfd_umol_m2_s"`
	MinPPFD     float64            `json:"min_ppfd_umol_m2_s"`
	MaxPPFD     float64            `json:"max_ppfd_umol_m2_s"`
	EvenPPFD    float64            `json:"min_over_mean_ppfd"`
	DLI         float64            `json:"dli_mol_m2_day"`
	PowerW      float64            `json:"power_w"`
	HottestC    *float64           `json:"hottest_junction_c"` // null where cold
	Met         bool               `json:"goal_met"`
	WhyNot      string             `json:"why_not"`
}

func candidateOf(axes []result.Axis, c result.Candidate) candidateJSON {
	one := candidateJSON{Values: map[string]float64{}, MeanLx: c.Illuminance.Mean, MinLx: c.Illuminance.Min, MaxLx: c.Illuminance.Max, MinOverMean: c.Illuminance.MinOverMean,
		MeanPPFD: c.PPFD.Mean, MinPPFD: c.PPFD.Min, MaxPPFD: c.PPFD.Max, EvenPPFD: c.PPFD.MinOverMean, DLI: c.DLI, PowerW: c.PowerW, Met: c.Met, WhyNot: c.Refused + c.Misfit}
	if c.Junctions.Warm {
		one.HottestC = &c.Junctions.HighestC
	}
	for i, a := range axes {
		one.Values[axisKey(a)] = roundTo(c.Values[i]*a.Factor, 1e-6)
	}
	return one
}

// printSweep prints the answer: JSON, the verdict alone, or the frontier as a table with the verdict under it.
func printSweep(s streams, o sweepOptions, answer *result.Sweep, sc *scene.Scene, dir string, files []output.File) error {
	if o.json {
		out := sweepJSON{Scene: sc.File, Engine: "direct", Out: dir, Plane: answer.Plane, Complete: answer.Complete, Quantity: answer.Shown.Name(), Own: candidateOf(answer.Axes, answer.Own),
			Frontier: append([]int{}, answer.Frontier...), Verdict: answer.Verdict, Bounced: bouncedOf(answer.Bounced), Candidates: []candidateJSON{}}
		if answer.Best >= 0 {
			out.Best = &answer.Best
		}
		for _, c := range answer.Candidates {
			out.Candidates = append(out.Candidates, candidateOf(answer.Axes, c))
		}
		e := json.NewEncoder(s.Out)
		e.SetIndent("", " ")
		e.SetEscapeHTML(false)
		return e.Encode(out)
	}
	var b strings.Builder
	if !o.quiet {
		fmt.Fprintf(&b, "%s: %s:\n", titleOr(answer.Title), frontierHead(answer))
		writeTable(&b, frontierTable(answer, o.system()))
	}
	writeVerdict(&b, answer.Verdict, answer.Bounced)
	if !o.quiet {
		writeWrote(&b, dir, files)
		writeCautions(&b, "sweep", sc)
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// writeVerdict writes a verdict of straight light alone, and beside it what is missing.
func writeVerdict(w io.Writer, verdict string, missing result.Bounced) {
	fmt.Fprintln(w, strings.TrimSpace(verdict+" "+missing.Words()))
}

// frontierRows is about how many lines of the frontier are printed; the rest stands in sweep.csv.
const frontierRows = 12

// frontierShown are the candidates of the frontier that are printed, evenly from its first to its last: all where they are few.
func frontierShown(s *result.Sweep) []int {
	n := len(s.Frontier)
	if n <= frontierRows {
		return s.Frontier
	}
	var list []int
	for k := range frontierRows {
		list = append(list, s.Frontier[k*(n-1)/(frontierRows-1)])
	}
	return list
}

// frontierHead says what the table of the frontier holds, and how much of it.
func frontierHead(s *result.Sweep) string {
	words := fmt.Sprintf("%d candidates; the frontier, by rising mean", len(s.Candidates))
	if shown := len(frontierShown(s)); shown < len(s.Frontier) {
		words += fmt.Sprintf(", %d of its %d", shown, len(s.Frontier))
	}
	return words
}

// frontierTable are the cells of the frontier and of the scene's own point under their head.
func frontierTable(s *result.Sweep, u unit.System) [][]string {
	q := s.Shown
	rows := [][]string{{"candidate", meanHead(q), "min/mean", meanHead(q.Other()), "W", "goal"}}
	add := func(name string, c result.Candidate) {
		goal := "-"
		if c.Met {
			goal = "met"
		}
		rows = append(rows, []string{name, lightFigure(q, c.Light(q).Mean), unit.Ratio(c.Light(q).MinOverMean), lightFigure(q.Other(), c.Light(q.Other()).Mean), unit.Figure(c.PowerW, 1), goal})
	}
	for _, i := range frontierShown(s) {
		c := s.Candidates[i]
		add(study.CandidateName(s.Axes, c, u), c)
	}
	add("the scene as it is", s.Own)
	return rows
}

// writeWrote says where the files are.
func writeWrote(w io.Writer, dir string, files []output.File) {
	fmt.Fprintln(w, wroteLines(dir, files).List[0])
}

// wroteLines says where the files are.
func wroteLines(dir string, files []output.File) answer.Lines {
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return answer.Lines{List: []string{"wrote to " + dir + ": " + strings.Join(names, ", ")}}
}
