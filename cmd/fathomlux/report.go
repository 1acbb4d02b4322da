package main

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/render/report"
	"fathomlux/scene"
)

// reportOptions are the options of the command report, as the caller wrote them.
type reportOptions struct {
	wiringOptions
	light  mapOptions // but for what wiringOptions has
	optics string
	vary   []string
	spare  string
}

// reportFile is the name of what the command writes.
const reportFile = "report.html"

func newReportCommand(s streams, run func(context.Context, streams, reportOptions) error) *cobra.Command {
	var o reportOptions
	c := &cobra.Command{
		Use:   "report SCENE [--optic A,B,C] [--vary VARIABLE=FROM:TO:STEP]",
		Short: "write the whole job as one page to read, to send and to print",
		Long: "Writes report.html: verdict, light, wiring, heat, cost, drilling, order of work, cautions and the scene file, with\n" +
			"all pictures, in one file that opens without a network and prints on A4 or Letter. --optic and --vary add what\n" +
			"the commands compare and sweep show. The drill template at true size is a separate file: see the command drill.",
		Example: "  fathomlux report scene.yaml\n" +
			"  fathomlux report scene.yaml --optic round-25,round-60 --vary height=100mm:250mm:10mm",
		RunE: func(c *cobra.Command, args []string) error {
			o.given = given{args, fullCallText(c, args)}
			o.light.common = o.common
			o.light.grid = "fine"
			return run(c.Context(), s, o)
		},
	}
	o.wiringOptions.bind(c)
	o.light.bindLight(c)
	bindOptics(c, &o.optics, "to compare with the scene's own")
	bindVary(c, &o.vary)
	bindSpare(c, &o.spare)
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
	const plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.,:=%/+"
	if word != "" && strings.Trim(word, plain) == "" {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// runReport reads the scene, does the whole job, writes the page and prints the verdict.
func runReport(ctx context.Context, s streams, o reportOptions) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	if err := needsGoal(o.light.requireGoal, sc); err != nil {
		return err
	}
	j, p, html, err := o.html(ctx, s, sc)
	if err != nil {
		return err
	}
	dir := o.dir(o.scene())
	files := []output.File{bytesFile(reportFile, html)}
	whole := reportAnswer(j, p, dir, files)
	if err := o.tell(ctx, s, dir, files, whole, answer.Answer{answer.Lines{List: []string{p.Verdict}}}); err != nil {
		return err
	}
	if lacks := unmetGoal(j.light.Goal); o.light.requireGoal && lacks != "" {
		return fmt.Errorf("%w%s", errGoalNotMet, lacks)
	}
	return nil
}

// reportAnswer says where the page is and what it comes to; the figures are those of the other commands.
func reportAnswer(j *job, p report.Page, dir string, files []output.File) answer.Answer {
	var sections, cautions []string
	for _, one := range p.Sections {
		sections = append(sections, one.ID)
	}
	for _, c := range p.Cautions {
		cautions = append(cautions, c.Text)
	}
	list := append(verdictParts(p.Verdict), fields("scene", j.scene.File, "out", dir, "html", reportFile,
		"sections", sections, "goal", goalData(j.light.Goal))...)
	list = append(list, answer.Lines{Key: "missing", Lead: "not on the page", List: j.missing})
	return append(list, tail(dir, files, oddities(j.scene), nil, cautions)...)
}

// html does the whole job of a scene and writes it as one page.
func (o reportOptions) html(ctx context.Context, s streams, sc *scene.Scene) (*job, report.Page, []byte, error) {
	j, err := o.job(ctx, s, sc)
	if err != nil {
		return nil, report.Page{}, nil, err
	}
	p := j.page()
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
