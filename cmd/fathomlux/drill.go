package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/drill"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/drilling"
)

// drillOptions are the options of the command drill, as the caller wrote them.
type drillOptions struct {
	common
	paper, rail string
	noWireHoles bool
}

func newDrillCommand(s streams) *cobra.Command {
	var o drillOptions
	c := &cobra.Command{
		Use:   "drill SCENE",
		Short: "print where to drill each rail: a template at true size and a table",
		Long: `Writes a template at true size for each rail (PDF, on pages of A4 or Letter that overlap, and SVG in one piece)
and a table (CSV) of the distances from the rail's left end, in mm and to the nearest 1/32 in.

The template shows the face that carries the modules, turned up, with the left end on the left: the front edge is then
on the far side. A part's holes count from the middle of the board, along to the right and across to the back. Each
module gets a wire hole of 6 mm (common practice) beside it, unless --no-wire-holes is given.`,
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

// drilled is one rail's plan and the name of its files without their endings.
type drilled struct {
	plan   drilling.Layout
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
	return o.hand(ctx, s, outcome{command: "drill", scenes: []*scene.Scene{sc}, parts: drillAnswer(o.paper, list),
		quiet: drillWarnings(list), files: files})
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
		plan, err := drilling.Make(r, drilling.Options{NoWireHoles: noWireHoles})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", sc.File, err)
		}
		list = append(list, drilled{plan, i + 1, name})
	}
	return list, nil
}

// safeName turns a name into one that any file system takes: lower-case letters a to z, digits and hyphens. A name that
// is taken, or that has none of these, gets a number.
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
func (o *drillOptions) files(sc *scene.Scene, list []drilled, paper drill.Paper) (files []output.File, err error) {
	for _, d := range list {
		template := drill.Template{Rail: d.plan, Number: d.number, Of: len(sc.Rails), Title: titleOr(sc.Title), Call: o.call,
			Version: programVersion(), Cautions: cautions("template", sc)}
		pdf, svg, err := drill.Draw(template, paper)
		if err != nil {
			return nil, err
		}
		files = append(files, bytesFile(d.name+".pdf", pdf), bytesFile(d.name+".svg", svg),
			csvFile(d.name+".csv", drillTable(d.plan)))
	}
	return files, nil
}
