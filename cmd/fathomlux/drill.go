package main

import (
	"bytes"
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/render/drill"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/drilling"
)

// drillOptions are the options of the command drill, as the caller wrote them.
type drillOptions struct {
	scene, out, call string
	paper, rail      string
	noWireHoles      bool
	json, quiet      bool
}

func newDrillCommand(s streams, run func(context.Context, streams, drillOptions) error) *cobra.Command {
	var o drillOptions
	c := &cobra.Command{
		Use:   "drill SCENE",
		Short: "print where to drill each rail: a template at true size and a table",
		Long: "Writes a template at true size for each rail (PDF of A4 or Letter pages to be laid over each other, SVG in one\n" +
			"piece) and a table (CSV) of the distances from the rail's left end, in mm and to the nearest 1/32 in.\n" +
			"The template shows the face that carries the modules, turned up, left end left: the front edge is then on the far side.\n" +
			"A part's holes count from the board's middle, along to the right and across towards the back.\n" +
			"Each module gets a wire hole of 6 mm (common practice) beside it, unless --no-wire-holes is given.",
		Example: "  fathomlux drill scene.yaml\n  fathomlux drill scene.yaml --paper letter --rail main --no-wire-holes",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	f := c.Flags()
	f.StringVarP(&o.out, "out", "o", "", "folder for what is written (default out/ and the name of the scene file)")
	f.StringVar(&o.paper, "paper", "a4", "paper of the PDF: a4 or letter")
	f.StringVar(&o.rail, "rail", "", "name of the rail (default all rails)")
	f.BoolVar(&o.noWireHoles, "no-wire-holes", false, "leave out the holes for wires")
	f.BoolVar(&o.json, "json", false, "print one JSON document on standard output and nothing else there")
	f.BoolVar(&o.quiet, "quiet", false, "print the warnings alone")
	return c
}

// drilled is one rail's plan and the names of its files.
type drilled struct {
	plan          drilling.Plan
	number        int // of the rail among the scene's, from 1
	pdf, svg, csv string
}

// runDrill reads the scene, draws all templates, writes all files at once and prints the tables.
func runDrill(ctx context.Context, s streams, o drillOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	o.paper = strings.ToLower(o.paper)
	paper, err := drill.PaperNamed(o.paper)
	if err != nil {
		return fmt.Errorf("--paper: %w", err)
	}
	list, err := o.plans(sc)
	if err != nil {
		return err
	}
	files, err := o.files(sc, list, paper)
	if err != nil {
		return err
	}
	place := common{out: o.out}
	dir := place.dir(o.scene)
	a := drillAnswer(o, dir, list, sc)
	return place.deliver(ctx, s, dir, files, func(s streams) error {
		if o.json {
			return answer.WriteJSON(s.Out, a)
		}
		if o.quiet {
			return answer.WriteText(s.Out, drillWarnings(list))
		}
		return answer.WriteText(s.Out, append(a, wroteLines(dir, files), answer.Lines{Lead: "caution", List: cautions("drill", sc)}))
	})
}

// plans lays out the rails that were asked for.
func (o drillOptions) plans(sc *scene.Scene) ([]drilled, error) {
	if o.rail != "" {
		if _, err := sc.Rail(o.rail); err != nil {
			return nil, fmt.Errorf("--rail: %w", err)
		}
	}
	var list []drilled
	taken := map[string]bool{}
	for i, r := range sc.Rails {
		name := "drill-" + safeName(r.Name, taken) // of all rails, so that a file's name does not hang on --rail
		if o.rail != "" && r.Name != o.rail {
			continue
		}
		plan, err := r.Drilling(drilling.Options{NoWireHoles: o.noWireHoles})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", o.scene, err)
		}
		list = append(list, drilled{plan: plan, number: i + 1, pdf: name + ".pdf", svg: name + ".svg", csv: name + ".csv"})
	}
	return list, nil
}

// safeName turns a name into one that any file system takes: lower-case letters a to z, digits and hyphens. A name that is
// taken, or that has none of these, gets a number.
func safeName(name string, taken map[string]bool) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	base := strings.Trim(b.String(), "-")
	if base == "" {
		base = "rail"
	}
	base = strings.TrimRight(base[:min(len(base), 60)], "-")
	safe := base
	for n := 2; taken[safe]; n++ {
		safe = base + "-" + strconv.Itoa(n)
	}
	taken[safe] = true
	return safe
}

// files draws the templates and writes the tables, in memory.
func (o drillOptions) files(sc *scene.Scene, list []drilled, paper drill.Paper) ([]output.File, error) {
	var files []output.File
	for _, d := range list {
		plan := drill.Plan{Rail: d.plan, Number: d.number, Of: len(sc.Rails), Title: titleOr(sc.Title), Call: o.call, Version: programVersion()}
		var pdf, svg, csv bytes.Buffer
		if err := drill.PDF(&pdf, plan, paper); err != nil {
			return nil, err
		}
		if err := drill.SVG(&svg, plan); err != nil {
			return nil, err
		}
		if err := answer.WriteCSV(&csv, drillTable(d.plan)); err != nil {
			return nil, err
		}
		files = append(files, bytesFile(d.pdf, pdf.Bytes()), bytesFile(d.svg, svg.Bytes()), bytesFile(d.csv, csv.Bytes()))
	}
	return files, nil
}
