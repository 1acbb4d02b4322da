package main

import (
	"bytes"
	"context"
	"fmt"

	"github.com/spf13/cobra"

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

func newReportCommand(s streams) *cobra.Command {
	c, _ := reportCommand(s)
	return c
}

// reportCommand returns the command with the options that its flags will set.
func reportCommand(s streams) (*cobra.Command, *reportOptions) {
	o := &reportOptions{light: mapOptions{grid: "fine"}}
	c := &cobra.Command{
		Use:   "report SCENE [--optic A,B,C] [--vary VARIABLE=FROM:TO:STEP]",
		Short: "write the whole job as one page to read, to send and to print",
		Long: `Writes report.html: verdict, light, wiring, heat, cost, drilling, order of work, cautions and the scene file,
with all pictures, in one file that opens without a network and prints on A4 or Letter. --optic and --vary add what the
commands compare and sweep show. The drill template at true size is a separate file: see the command drill.`,
		Example: "fathomlux report scene.yaml\n" +
			"fathomlux report scene.yaml --optic round-25,round-60 --vary height=100mm:250mm:10mm",
	}
	o.wiringOptions.bind(c)
	o.light.bindLight(c)
	bindOptics(c, &o.optics, "to compare with the scene's own")
	bindVary(c, &o.vary)
	bindSpare(c, &o.spare)
	return command(s, c, &o.given, o.run), o
}

// run reads the scene, does the whole job, writes the page and prints the verdict.
func (o *reportOptions) run(ctx context.Context, s streams) error {
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
	return append(list, tail(dir, files, warningsOf(j.scene), nil, cautions)...)
}

// html does the whole job of a scene and writes it as one page.
func (o *reportOptions) html(ctx context.Context, s streams, sc *scene.Scene) (*job, report.Page, []byte, error) {
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
func plainReport(file string, flags ...string) (*reportOptions, error) {
	c, o := reportCommand(streams{})
	(&cobra.Command{Use: "fathomlux"}).AddCommand(c)
	err := c.ParseFlags(flags)
	o.given = given{[]string{file}, callText(c, []string{file})}
	return o, err
}
