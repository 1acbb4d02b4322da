package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
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
	lightOptions
	vary []string
}

func newSweepCommand(s streams) *cobra.Command {
	var o sweepOptions
	c := &cobra.Command{
		Use:   "sweep SCENE --vary VARIABLE=FROM:TO:STEP",
		Short: "show how spacing, beam angle, height, count or current change the light",
		Long: `Computes the light on the goal's plane (the floor where there is no goal) for all values of one to three
variables, and draws the mean against the uniformity U0 (min/mean) with the goal and the frontier: the candidates that
no other beats in both. The best is chosen as by the command compare.

` + variablesText() + `
A rail's name and a dot before the variable change that rail alone: --vary front.y=80mm:140mm:10mm.
Ctrl-C stops the sweep; what is done by then is drawn and written. A second Ctrl-C ends the program at once.`,
		Example: "fathomlux sweep scene.yaml --vary spacing=120mm:260mm:20mm\n" +
			"fathomlux sweep scene.yaml --vary beam=25deg,40deg,60deg --vary height=100mm:250mm:10mm",
	}
	o.bind(c, "about 6000 cells")
	bindVary(c, &o.vary)
	return command(s, c, &o.given, o.run)
}

// bindVary adds the flag of the commands that sweep.
func bindVary(c *cobra.Command, vary *[]string) {
	c.Flags().StringArrayVar(vary, "vary", nil,
		"variable and its range or list, such as spacing=120mm:260mm:20mm; up to three times")
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

// run varies the scene and hands the answer over.
func (o *sweepOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	out, err := o.sweep(ctx, s, sc)
	if err != nil {
		return err
	}
	return o.hand(context.WithoutCancel(ctx), s, out) // what is done is written even after an interruption
}

// sweep computes and draws all candidates, or those before an interruption.
func (o *sweepOptions) sweep(ctx context.Context, s streams, sc *scene.Scene) (out outcome, err error) {
	request, look, err := o.resolve(sc.Tank)
	if err != nil {
		return out, err
	}
	swept, err := o.candidates(ctx, s, sc, request)
	if err != nil {
		return out, err
	}
	out = outcome{command: "sweep", title: titleOr(sc.Title), scenes: sweptScenes(sc, swept.Axes)}
	out.parts, out.brief = sweepParts(swept, sc, look.Units)
	if !swept.Complete {
		out.interim = fmt.Sprintf("interrupted after %d of %d candidates; what was done is kept", done(swept),
			len(swept.Candidates))
	}
	if swept.Best < 0 || !swept.Candidates[swept.Best].Met {
		out.unmet = " by any candidate"
	}
	out.files, err = sweepFiles(context.WithoutCancel(ctx), swept, sc, look, o.cores())
	return out, err
}

// candidates computes all candidates, or those before an interruption.
func (o *sweepOptions) candidates(ctx context.Context, s streams, sc *scene.Scene,
	request optics.Options) (*result.Sweep,
	error) {
	if len(o.vary) == 0 {
		return nil, errors.New("--vary is missing; a right call is: " +
			"fathomlux sweep scene.yaml --vary spacing=120mm:260mm:20mm")
	}
	axes, err := parseRanges(o.vary, sc)
	if err != nil {
		return nil, err
	}
	if err := study.CheckAxes(axes); err != nil {
		return nil, fmt.Errorf("--vary: %w", err)
	}
	bar := progress(s, o.common, "candidates")
	swept, err := study.Sweep(ctx, sc, study.SweepOptions{Axes: axes, StepM: request.StepM, Workers: request.Workers,
		Units: request.Units, Cold: request.Cold, Progress: func(done, total int) {
			onInterrupt(ctx).keeps.Store(done > 0)
			bar.set(done, total)
		}})
	bar.close()
	if err == nil && ctx.Err() != nil && done(swept) == 0 {
		return nil, ctx.Err() // there is nothing to keep
	}
	return swept, err
}

// parseRanges reads the --vary flags; rails must exist in the scene.
func parseRanges(texts []string, sc *scene.Scene) (list []edit.Range, err error) {
	for _, text := range texts {
		r, err := edit.ParseRange(text)
		if err == nil && r.Rail != "" {
			_, err = sc.Rail(r.Rail)
		}
		if slices.ContainsFunc(list, func(other edit.Range) bool { return other.Name() == r.Name() }) {
			err = fmt.Errorf("%s is given twice", r.Name())
		}
		if err != nil {
			return nil, fmt.Errorf("--vary: %w", err)
		}
		list = append(list, r)
	}
	return list, nil
}

// isDone tells whether a candidate was reached before an interruption.
func isDone(c result.Candidate) bool { return c.Done || c.Refused != "" }

func done(s *result.Sweep) int {
	n := 0
	for _, c := range s.Candidates {
		if isDone(c) {
			n++
		}
	}
	return n
}

// sweepFiles draws the charts and writes the table.
func sweepFiles(ctx context.Context, s *result.Sweep, sc *scene.Scene, look render.Look, workers int) ([]output.File,
	error) {
	var names []string
	var records []answer.Answer
	front := map[int]bool{}
	for _, i := range s.Frontier {
		front[i] = true
	}
	l := candidatesOf(s, sc)
	for i, c := range s.Candidates {
		names = append(names, study.CandidateName(s.Axes, c, look.Units))
		if isDone(c) {
			records = append(records, append(l.figures("", c), answer.Figure{Key: "frontier", Value: front[i]}))
		}
	}
	pictures, err := render.Sweep(ctx, s, sc, look, names, workers)
	return append([]output.File{csvFile("sweep.csv", answer.Rows("", "", records...))}, pictureFiles(pictures)...), err
}

func candidatesOf(s *result.Sweep, sc *scene.Scene) candidates {
	return candidates{axes: s.Axes, shown: s.Shown, asked: sc.Goal.Set()}
}

// sweptScenes are a scene, and the scene with the narrowest beam of a sweep: what can hurt somebody is said of
// candidates too.
func sweptScenes(sc *scene.Scene, axes []result.Axis) []*scene.Scene {
	list := []*scene.Scene{sc}
	for _, a := range axes {
		dot := strings.LastIndexByte(a.Name, '.')
		v, err := edit.VariableNamed(a.Name[dot+1:])
		if err != nil || v.Name != "beam" {
			continue
		}
		change := edit.Change{Rail: a.Name[:max(dot, 0)], Variable: v, Value: slices.Min(a.Values)}
		if narrow, err := edit.With(sc, change); err == nil {
			list = append(list, narrow)
		}
	}
	return list
}

// sweepParts are the figures of a sweep, and its verdict.
func sweepParts(s *result.Sweep, sc *scene.Scene, u unit.System) (parts answer.Answer, brief []string) {
	l := candidatesOf(s, sc)
	var records []answer.Answer
	for _, c := range s.Candidates {
		records = append(records, l.figures("", c))
	}
	all := answer.Rows("candidates", "", records...)
	all.In = answer.JSON
	verdict, brief := bouncedParts(s.Verdict, s.Bounced)
	front := frontierTable(s, sc, u)
	return append(append(answer.Answer{answer.Lines{List: []string{front.Title + ":"}, In: answer.Text}, front},
		fields("engine", string(optics.Direct), "plane", s.Plane, "complete", s.Complete, "quantity", s.Shown.Name(),
			"own", l.figures("", s.Own), "best", optional(s.Best, s.Best >= 0), "frontier",
			append([]int{}, s.Frontier...), "candidates", all)...), verdict...), brief
}

// frontierRows is about how many lines of the frontier are printed; the rest stands in sweep.csv.
const frontierRows = 12

// frontierShown are the candidates of the frontier that are printed, evenly from its first to its last: all where they
// are few.
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

// frontierTable is the frontier and the scene's own point, for people; its title says how much of it.
func frontierTable(s *result.Sweep, sc *scene.Scene, u unit.System) answer.Table {
	l := candidatesOf(s, sc)
	title := fmt.Sprintf("%d candidates; the frontier, by rising mean", len(s.Candidates))
	shown := frontierShown(s)
	if len(shown) < len(s.Frontier) {
		title += fmt.Sprintf(", %d of its %d", len(shown), len(s.Frontier))
	}
	var records []answer.Answer
	for _, i := range shown {
		records = append(records, l.figures(study.CandidateName(s.Axes, s.Candidates[i], u), s.Candidates[i]))
	}
	t := answer.Rows("", title, append(records, l.figures("the scene as it is", s.Own))...)
	t.In, t.Sorts = answer.People, true
	return t
}
