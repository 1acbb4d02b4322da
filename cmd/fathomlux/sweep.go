package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

type sweepOptions struct {
	lightOptions
	shareOptions
	vary []string
}

func newSweepCommand(s streams) *cobra.Command {
	var o sweepOptions
	c := &cobra.Command{
		Use:   "sweep SCENE --vary VARIABLE=FROM:TO:STEP",
		Short: "show how spacing, beam angle, height, count or current change the light",
		Long: `Computes the light on the goal's plane (the floor where there is no goal) for all values of one to three
variables, and draws the mean against the uniformity U0 (min/mean) with the goal and the frontier: the candidates that
no other beats in both; for one variable also mean, dimmest place and U0 over it. ` + ruleOfChoice + ` The spill of
light is not computed here and does not count.

` + variablesText() + `
A rail's name and a dot before the variable change that rail alone: --vary front.y=80mm:140mm:10mm.
Ctrl-C stops the sweep; what is done by then is drawn and written. A second Ctrl-C ends the program at once.`,
		Example: "fathomlux sweep scene.yaml --vary spacing=120mm:260mm:20mm\n" +
			"fathomlux sweep scene.yaml --vary beam=25deg,40deg,60deg --vary height=100mm:250mm:10mm",
	}
	o.lightOptions.bind(c, "about 6000 cells")
	o.shareOptions.bind(c)
	bindVary(c, &o.vary)
	return command(s, c, &o.given, o.run)
}

func bindVary(c *cobra.Command, vary *[]string) {
	c.Flags().StringArrayVar(vary, "vary", nil,
		"variable and its range or list, such as spacing=120mm:260mm:20mm; up to three times")
}

func variablesText() string {
	var b strings.Builder
	b.WriteString("Variables:\n")
	for _, v := range edit.Variables() {
		fmt.Fprintf(&b, "  %-8s  %s\n", v.Name, v.About)
	}
	return b.String()
}

func (o *sweepOptions) run(ctx context.Context, s streams) error {
	sc, err := readScene(ctx, o.scene())
	if err != nil {
		return err
	}
	one, err := o.sharing()
	if err != nil {
		_, _, errFlags := o.request(sc)
		return errors.Join(err, errFlags)
	}
	if one.Of > 0 {
		return o.part(ctx, s, sc, one)
	}
	out, err := o.sweep(ctx, s, sc)
	if err != nil {
		return err
	}
	return o.hand(context.WithoutCancel(ctx), s, out) // what is done is written even after an interruption
}

func (o *sweepOptions) request(sc *scene.Scene) (request study.SweepOptions, look render.Look, err error) {
	light, look, err := o.resolve(sc.Tank)
	if len(o.vary) == 0 {
		return request, look, errors.Join(err, errors.New("--vary is missing; for example: "+
			"fathomlux sweep scene.yaml --vary spacing=120mm:260mm:20mm"))
	}
	axes, errVary := sweptRanges(o.vary, sc)
	err = errors.Join(err, errVary)
	return study.SweepOptions{Axes: axes, StepM: light.StepM, Workers: light.Workers, Units: o.system(), Cold: light.Cold},
		look, err
}

func (o *sweepOptions) part(ctx context.Context, s streams, sc *scene.Scene, one parallel.Share) error {
	request, _, err := o.request(sc)
	if err != nil {
		return err
	}
	bar := progress(s, o.common, "candidates")
	request.Progress = bar.set
	list, err := study.SweepShare(ctx, sc, request, one)
	bar.close()
	if err != nil {
		return err
	}
	return handShare(ctx, s, o.common, sc, one, list)
}

// sweep computes and draws all candidates, or those before an interruption.
func (o *sweepOptions) sweep(ctx context.Context, s streams, sc *scene.Scene) (out outcome, err error) {
	request, look, err := o.request(sc)
	if err != nil {
		return out, err
	}
	bar := progress(s, o.common, "candidates")
	request.Progress = func(done, total int) {
		onInterrupt(ctx).keeps.Store(done > 0)
		bar.set(done, total)
	}
	request.Shares = joined[result.Candidate](ctx)
	swept, err := study.Sweep(ctx, sc, request)
	bar.close()
	switch {
	case err != nil:
		return out, err
	case ctx.Err() != nil && swept.Reached == 0:
		return out, ctx.Err() // there is nothing to keep
	}
	all, reached, front := sweepTables(swept, o.json)
	verdict := swept.Verdict.Sentence(look.Units)
	out = outcome{command: "sweep", scenes: sweptScenes(sc, request.Axes), brief: []string{verdict}, found: firstPart(sc),
		parts: answer.Answer{answer.Lines{List: []string{front.Title + ":"}, In: answer.Text}, front,
			fields("plane", swept.Plane, "complete",
				swept.Reached == len(swept.Candidates), "quantity", swept.Shown.Name(), "own",
				candidateFigures(swept.Shown, swept.Axes, swept.Own), "best", optional(swept.Best, swept.Best >= 0),
				"frontier", append([]int{}, swept.Frontier...)), all, ruleParts(), verdictParts(verdict)}}
	if swept.Reached < len(swept.Candidates) {
		out.interim = fmt.Sprintf("interrupted after %d of %d candidates; what was done is kept", swept.Reached,
			len(swept.Candidates))
	}
	if swept.Best < 0 || !swept.Candidates[swept.Best].Goal.Met {
		out.unmet = " by any candidate"
	}
	pictures, err := render.Sweep(context.WithoutCancel(ctx), swept, sc, look, o.cores())
	out.files = append([]output.File{csvFile("sweep.csv", reached)}, pictures...)
	return out, err
}

// sweptRanges reads the --vary flags of a sweep, which takes so many candidates at most.
func sweptRanges(texts []string, sc *scene.Scene) ([]edit.Range, error) {
	axes, err := parseRanges(texts, sc)
	if err != nil {
		return nil, err
	}
	return axes, study.SweepOptions{Axes: axes}.Check()
}

// parseRanges reads the --vary flags; rails must exist in the scene. All that is wrong with them is told at once.
func parseRanges(texts []string, sc *scene.Scene) (list []edit.Range, err error) {
	var errs []error
	for _, text := range texts {
		r, err := edit.ParseRange(text)
		if err == nil {
			err = r.Variable.Has(sc, r.Rail)
		}
		if slices.ContainsFunc(list, func(other edit.Range) bool { return other.Name() == r.Name() }) {
			err = fmt.Errorf("%s is given twice", r.Name())
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("--vary: %w", err))
			continue
		}
		list = append(list, r)
	}
	return list, errors.Join(errs...)
}

// sweptScenes are a scene, and the scene with the narrowest beam of a sweep: what can hurt somebody is said of
// candidates too.
func sweptScenes(sc *scene.Scene, axes []edit.Range) []*scene.Scene {
	list := []*scene.Scene{sc}
	for _, a := range axes {
		change := edit.Change{Rail: a.Rail, Variable: a.Variable, Value: slices.Min(a.Values)}
		if narrow, err := edit.With(sc, change); err == nil && a.Variable.Name == "beam" {
			list = append(list, narrow)
		}
	}
	return list
}

// frontierRows is about how many lines of the frontier are printed; the rest stands in sweep.csv.
const frontierRows = 12

// sweepTables are all candidates for programs, those that were reached for a file, and for people the frontier and the
// scene's own point. Of a long frontier some are printed, evenly from its first to its last, and the title says how
// many. Those that were not reached, of which there may be very many, have records for programs alone.
func sweepTables(s *result.Sweep, programs bool) (all, reached, front answer.Table) {
	record := func(i int, c result.Candidate) answer.Answer {
		return append(candidateFigures(s.Shown, s.Axes, c),
			answer.Figure{Key: "frontier", Value: slices.Contains(s.Frontier, i), In: answer.CSV})
	}
	records := make([]answer.Answer, len(s.Candidates))
	var done, rows []answer.Answer
	for i, c := range s.Candidates {
		if programs || c.Reached() {
			records[i] = record(i, c)
		}
		if c.Reached() {
			done = append(done, records[i])
		}
	}
	if reached = answer.Rows("", "", done...); programs {
		all = answer.Rows("candidates", "", records...)
	}
	title := fmt.Sprintf("%d candidates; the frontier, in order of rising mean", len(s.Candidates))
	n := len(s.Frontier)
	shown := min(n, frontierRows)
	for k := range shown {
		rows = append(rows, records[s.Frontier[k*(n-1)/max(shown-1, 1)]])
	}
	if shown < n {
		title += fmt.Sprintf(", %d of its %d", shown, n)
	}
	front = answer.Rows("", title, append(rows, record(-1, s.Own))...)
	all.In, front.In = answer.JSON, answer.People
	return all, reached, front
}
