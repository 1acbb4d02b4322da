package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/render/output"
	"fathomlux/render/report"
	"fathomlux/scene"
)

// reportOptions are the options of the command report, as the caller wrote them.
type reportOptions struct {
	wiringOptions
	engineOptions
	optics      string
	vary        []string
	step        string
	maintenance float64
	spare       string
	cold        bool
	requireGoal bool
}

// reportFile is the name of what the command writes.
const reportFile = "report.html"

func newReportCommand(s streams, run func(context.Context, streams, reportOptions) error) *cobra.Command {
	var o reportOptions
	c := &cobra.Command{
		Use:   "report SCENE [--optic A,B,C] [--vary VARIABLE=FROM:TO:STEP]",
		Short: "write the whole job as one page to read, to send and to print",
		Long: "Writes report.html: verdict, light, wiring, heat, cost, drilling, order of work, cautions and the scene file, with all\n" +
			"pictures, in one file that opens without a network and prints on A4 or Letter. --optic and --vary add what the commands\n" +
			"compare and sweep would show. The drill template at true size is a file of its own: see the command drill.",
		Example: "  fathomlux report scene.yaml\n  fathomlux report scene.yaml --optic round-25,round-60 --vary height=100mm:250mm:10mm",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], fullCallText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.wiringOptions.bind(c)
	o.engineOptions.bind(c)
	bindCold(c, &o.cold)
	f := c.Flags()
	f.StringVar(&o.optics, "optic", "", "names of optics with commas between, to hold against the scene's own")
	f.StringArrayVar(&o.vary, "vary", nil, "variable with its range or list, such as spacing=120mm:260mm:20mm; up to three times; see sweep")
	f.StringVar(&o.step, "step", "", "cell size of the grids, such as \"5 mm\" (default by the tank's size)")
	f.Float64Var(&o.maintenance, "maintenance", 1, "light-loss factor of aged modules and dusty panes, above 0 up to 1: the goal is judged with it")
	f.StringVar(&o.spare, "spare", "10 %", "modules and optics to buy beside those that are built in, rounded up for each part")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal is not met")
	return c
}

// silentFlags change nothing that stands in an answer, so that they are no part of its call.
var silentFlags = []string{"out", "workers", "json", "quiet"}

// fullCallText is the call with its flags, in the order of their names, as it stands in a report.
func fullCallText(c *cobra.Command, args []string) string {
	words := []string{callText(c, args)}
	c.Flags().Visit(func(f *pflag.Flag) {
		if slices.Contains(silentFlags, f.Name) {
			return
		}
		values := []string{f.Value.String()}
		if list, ok := f.Value.(pflag.SliceValue); ok {
			values = list.GetSlice()
		}
		for _, v := range values {
			words = append(words, "--"+f.Name+"="+shellWord(v))
		}
	})
	return strings.Join(words, " ")
}

// shellWord puts a word in quotes where a shell would take it apart.
func shellWord(word string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_.,:=%/+", r)
	}
	if word != "" && strings.IndexFunc(word, func(r rune) bool { return !plain(r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// runReport reads the scene, does the whole job, writes the page and prints the verdict.
func runReport(ctx context.Context, s streams, o reportOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	if err := needsGoal(o.requireGoal, sc); err != nil {
		return err
	}
	j, p, html, err := o.html(ctx, s, sc)
	if err != nil {
		return err
	}
	dir := o.dir(o.scene)
	files := []output.File{bytesFile(reportFile, html)}
	if err := o.deliver(ctx, s, dir, files, func(s streams) error { return printReport(s.Out, o, j, p, dir) }); err != nil {
		return err
	}
	return goalError(o, j)
}

// html does the whole job of a scene and writes it as one page.
func (o reportOptions) html(ctx context.Context, s streams, sc *scene.Scene) (*job, report.Page, []byte, error) {
	j, err := o.job(ctx, s, sc)
	if err != nil {
		return nil, report.Page{}, nil, err
	}
	p, err := j.page()
	if err != nil {
		return nil, report.Page{}, nil, err
	}
	var b bytes.Buffer
	err = report.Write(&b, p)
	return j, p, b.Bytes(), err
}

// plainReport are the options of a call without flags but these.
func plainReport(file string, flags ...string) (o reportOptions, err error) {
	root := &cobra.Command{Use: "fathomlux", SilenceErrors: true, SilenceUsage: true}
	root.AddCommand(newReportCommand(streams{}, func(_ context.Context, _ streams, plain reportOptions) error {
		o = plain
		return nil
	}))
	root.SetArgs(append(append([]string{"report"}, flags...), "--", file))
	return o, root.Execute()
}

// goalError tells of a goal that was required and is not met.
func goalError(o reportOptions, j *job) error {
	if g := j.light.Goal; o.requireGoal && !g.Met {
		return fmt.Errorf("%w: %s", errGoalNotMet, strings.Join(g.Missing, "; "))
	}
	return nil
}

// reportJSON says where the page is and what it comes to; the figures are those of the other commands.
type reportJSON struct {
	Scene    string      `json:"scene"`
	Out      string      `json:"out"`
	HTML     string      `json:"html"`
	Sections []string    `json:"sections"`
	Goal     goalMetJSON `json:"goal"`
	Verdict  string      `json:"verdict"`
	Missing  []string    `json:"missing"` // what could not be computed, and why
	Cautions []string    `json:"cautions"`
}

// printReport prints where the page is, what the light comes to, and what is missing on the page.
func printReport(w io.Writer, o reportOptions, j *job, p report.Page, dir string) error {
	if o.json {
		out := reportJSON{Scene: j.scene.File, Out: dir, HTML: reportFile, Verdict: p.Verdict, Missing: append([]string{}, j.missing...), Cautions: []string{},
			Goal: goalMetJSON{Asked: j.light.Goal.Asked, Met: j.light.Goal.Met, Missing: append([]string{}, j.light.Goal.Missing...)}}
		for _, one := range p.Sections {
			out.Sections = append(out.Sections, one.ID)
		}
		for _, c := range p.Cautions {
			out.Cautions = append(out.Cautions, c.Text)
		}
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		return e.Encode(out)
	}
	var b strings.Builder
	fmt.Fprintln(&b, p.Verdict)
	if !o.quiet {
		writeWrote(&b, dir, []output.File{{Name: reportFile}})
		for _, line := range j.missing {
			fmt.Fprintf(&b, "not on the page: %s\n", line)
		}
		for _, f := range oddities(j.scene) {
			fmt.Fprintf(&b, "warning: %s\n", f.Error())
		}
		for _, c := range p.Cautions {
			fmt.Fprintf(&b, "caution: %s\n", c.Text)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
