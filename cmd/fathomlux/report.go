package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/render/report"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/heat"
)

type reportOptions struct {
	wiringOptions
	light  mapOptions // but for what wiringOptions has
	optics string
	vary   []string
	spare  string
	ways   bool
	tell   func(done, total int) // how far it is; nil where nobody asks
}

// reportCommand returns the command with the options that its flags will set.
func reportCommand(s streams) (*cobra.Command, *reportOptions) {
	o := &reportOptions{}
	c := &cobra.Command{
		Use:   "report SCENE [--optic A,B,C] [--vary VARIABLE=FROM:TO:STEP]",
		Short: "write everything about a scene as one page to read, send and print",
		Long: `Writes report.html: verdict, the lit tank as it is seen, light, the day where the scene has one, wiring, heat, cost,
drilling, order of work, cautions and the scene file, with all pictures, in one file that opens without a network
and prints on A4 or Letter. --optic and --vary add what the commands compare and sweep show. The full-size drill
template is a separate file: see the command drill. Where the goal is not met, --ways lets arrange and propose
search for what would meet it, which takes as long as they do.`,
		Example: "fathomlux report scene.yaml\n" +
			"fathomlux report scene.yaml --optic round-25,round-60 --vary height=100mm:250mm:10mm",
	}
	o.wiringOptions.bind(c)
	o.light.bindLight(c)
	bindOptics(c, &o.optics, "to compare with the scene's own")
	bindVary(c, &o.vary)
	bindSpare(c, &o.spare)
	c.Flags().BoolVar(&o.ways, "ways", false, "where the goal is not met, say what would meet it, by arrange and propose")
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
	sections := each(p.Sections, func(one report.Section) string { return one.ID })
	out := outcome{title: p.Title, scenes: []*scene.Scene{sc}, parts: verdictParts(p.Verdict), brief: []string{p.Verdict},
		files: []output.File{{Name: "report.html", Data: html}}, cautions: []string{}, unmet: unmetGoal(j.light.Goal)}
	for _, c := range p.Cautions {
		out.cautions = append(out.cautions, c.Text)
	}
	out.parts = append(append(out.parts, fields("html", "report.html", "sections", sections, "goal",
		goalData(j.light.Goal))...), answer.Lines{Key: "missing", Lead: "not on the page", List: j.missing})
	return o.light.hand(ctx, s, out)
}

// html does the whole job of a scene and writes it as one page.
func (o *reportOptions) html(ctx context.Context, s streams, sc *scene.Scene) (*job, report.Page, []byte, error) {
	j, err := o.job(ctx, s, sc)
	if err != nil {
		return nil, report.Page{}, nil, err
	}
	o.step(reportSteps - 1)
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
	o.given = given{args: []string{file}, call: callText(c, []string{file})}
	return o, err
}

// job is all answers about one scene, and their files with the pictures. What could not be computed is
// nil, and missing says why.
type job struct {
	situation
	options  *reportOptions
	request  optics.Options
	look     render.Look
	light    *result.Map
	compared *outcome // nil where not asked for
	swept    *outcome // nil where not asked for
	day      *outcome // nil where the scene has none
	wired    *wired
	warm     *heatAnswer
	drilled  []drilled
	share    float64 // of spares
	files    []output.File
	missing  []string
	seen     *report.Picture // the lit tank; nil where it cannot be drawn
	ways     []way           // that would meet the goal
	told     map[string]bool // cautions that stand on the page already
}

// ready readies a job whose answers are still to be computed, and tells all that is wrong with the call at once.
// inner pictures stand on a page that has their titles.
func (o *reportOptions) ready(sc *scene.Scene, inner bool) (*job, error) {
	j := &job{options: o, situation: situation{scene: sc, units: o.system()}}
	var errs [5]error
	if _, errs[0] = o.request(); errs[0] == nil && o.junction != "" {
		_, errs[0] = o.wire(sc) // which may know no voltage at that temperature
	}
	j.share, errs[1] = shareIn("--spare", o.spare, 0, 1)
	_, errs[2] = parseOptics(o.optics, sc)
	if len(o.vary) > 0 {
		_, errs[3] = sweptRanges(o.vary, sc)
	}
	o.common.requireGoal, o.common.inner = o.light.requireGoal, inner
	o.light.common = o.common
	j.request, j.look, errs[4] = o.light.resolve(sc)
	return j, errors.Join(errs[:]...)
}

// job computes all answers and draws all pictures.
func (o *reportOptions) job(ctx context.Context, s streams, sc *scene.Scene) (*job, error) {
	j, err := o.ready(sc, true)
	if err != nil {
		return nil, err
	}
	o.step(0)
	if j.light, err = optics.Map(ctx, sc, j.request); err != nil {
		return nil, err
	}
	o.step(1)
	if j.files, err = mapFiles(ctx, j.light, sc, j.look, j.request.Workers); err != nil {
		return nil, err
	}
	for i, do := range []func(context.Context, streams) ([]output.File, error){j.compare, j.sweep, j.sumDay, j.wire,
		j.heat, j.see, j.findWays} {
		o.step(2 + i)
		files, err := do(ctx, s)
		if err != nil {
			return nil, err
		}
		j.files = append(j.files, files...)
	}
	if j.drilled, err = drillPlans(sc, "", false); err != nil { // rails that cannot be drilled still have a report
		j.miss("drilling", err)
	}
	return j, nil
}

// reportSteps is of how many steps a report is made.
const reportSteps = 10

// step tells that so many steps are done.
func (o *reportOptions) step(done int) {
	if o.tell != nil {
		o.tell(done, reportSteps)
	}
}

func (j *job) miss(what string, err error) {
	j.missing = append(j.missing, fmt.Sprintf("%s: %v", what, err))
}

func (j *job) compare(ctx context.Context, _ streams) ([]output.File, error) {
	if j.options.optics == "" {
		return nil, nil
	}
	list, err := opticContenders(j.scene, j.options.optics)
	if err != nil {
		return nil, err
	}
	out, err := (&compareOptions{lightOptions: j.options.light.lightOptions}).compare(ctx, list)
	j.compared = &out
	return out.files, err
}

func (j *job) sweep(ctx context.Context, s streams) ([]output.File, error) {
	if len(j.options.vary) == 0 {
		return nil, nil
	}
	ctx = context.WithValue(ctx, interruptionKey{}, &interruption{}) // a report keeps no part of a sweep
	out, err := (&sweepOptions{lightOptions: j.options.light.lightOptions, vary: j.options.vary}).sweep(ctx, s, j.scene)
	if err == nil && out.interim != "" {
		err = context.Canceled
	}
	j.swept = &out
	return out.files, err
}

// sumDay sums up the scene's day. One that gets too hot at some time still has a report.
func (j *job) sumDay(ctx context.Context, _ streams) ([]output.File, error) {
	if j.scene.Day == nil {
		return nil, nil
	}
	o := dayOptions{common: j.options.common, step: j.options.light.step, weeks: usualWeeks, from: usualFrom}
	out, err := o.day(ctx, j.scene)
	if errors.Is(err, heat.ErrTooHot) {
		j.miss("day", err)
		return nil, nil
	}
	j.day = &out
	return out.files, err
}

// wire wires the scene. A scene that cannot be wired still has a report.
func (j *job) wire(ctx context.Context, _ streams) ([]output.File, error) {
	a, err := j.options.wire(j.scene)
	if err != nil {
		j.miss("wiring, bill and order of work", err)
		return nil, nil
	}
	j.wired, j.groups = &a, a.groups
	return wireFiles(ctx, a, j.look)
}

// heat balances the scene. A scene without a balance still has a report.
func (j *job) heat(ctx context.Context, _ streams) ([]output.File, error) {
	a, err := balance(j.situation, usualMarginK, usualSamples)
	if err != nil {
		if errors.Is(err, heat.ErrTooHot) {
			j.tooHot = err.Error()
		}
		j.miss("heat", err)
		return nil, nil
	}
	j.tooHot, j.op, j.warm = a.op.TooHot().Words(j.units), a.op, &a
	return heatFiles(ctx, a, j.look)
}

// chapters are the sections of the page in their order, each with the commands, or steps of the build sheet, whose
// cautions belong to it.
var chapters = []struct {
	id, title, cautions string
	parts               func(*job) []any
}{
	{"light", "Where the light lands", "map", (*job).lightParts},
	{"day", "A day of light", "day", (*job).dayParts},
	{"choice", "Candidates compared", "sweep", (*job).choiceParts},
	{"wiring", "Wiring and driver", "wire", (*job).wiringParts},
	{"heat", "Heat", "heat", (*job).heatParts},
	{"cost", "What to buy, and what it costs to run", "", (*job).costParts},
	{"drilling", "Where to drill", "drill", (*job).drillParts},
	{"build", "Build sheet", buildPlaces, (*job).buildParts},
	{"planes", "Light on the other planes", "", (*job).otherPlanes},
	{"scene", "The tank and its light", "", (*job).sceneParts},
	{"words", "Glossary", "", (*job).wordsParts},
	{sourceID, "The scene file, and how this page was made", "", (*job).sourceParts},
}

func (j *job) page() report.Page {
	j.told = map[string]bool{}
	p := report.Page{Title: titleOr(j.scene.Title), Verdict: j.light.Verdict.Sentence(j.look.Units),
		First: j.firstParts(), Footer: "fathomlux " + programVersion()}
	if j.tooHot != "" {
		p.Verdict += " But the parts get too hot."
	}
	switch g := j.light.Goal; {
	case g.Met:
		p.State = report.Met
	case g.Asked:
		p.State = report.NotMet
	}
	lacks := map[string]bool{"wiring": j.wired == nil, "cost": j.wired == nil, "build": j.wired == nil,
		"heat": j.warm == nil, "drilling": len(j.drilled) == 0}
	for _, c := range chapters {
		said := j.fresh(c.id, j.said(c.id, c.cautions))
		parts := []any{"This could not be computed: see the chapter about the tank and its light."}
		if !lacks[c.id] {
			parts = c.parts(j)
		}
		if parts == nil {
			continue
		}
		if c.id != "build" { // where they stand at the steps
			parts = append(parts, report.Cautions(j.once(long(said))))
		}
		p.Sections = append(p.Sections, report.Section{ID: c.id, Title: c.title, Parts: parts})
		for _, one := range said {
			if !slices.ContainsFunc(p.Cautions, func(c report.Caution) bool { return c.Text == one.short }) {
				p.Cautions = append(p.Cautions, report.Caution{Text: one.short, ID: c.id, Title: c.title})
			}
		}
	}
	return p
}

// said are the cautions of a chapter at some places; those of the choice are of all that was compared.
func (j *job) said(id, places string) []saying {
	if id != "choice" {
		return sayings(places, j.situation)
	}
	var scenes []*scene.Scene
	for _, out := range []*outcome{j.compared, j.swept} {
		if out != nil {
			scenes = append(scenes, out.scenes...)
		}
	}
	return sayings(places, unwired(j.units, scenes...)...)
}

// fresh are the cautions that no chapter before has told, and that no step of the build sheet will tell where the hand
// is at the drill.
func (j *job) fresh(id string, said []saying) []saying {
	var later []string
	if id == "drilling" && j.wired != nil {
		later = j.at(buildPlaces)
	}
	return slices.DeleteFunc(said, func(s saying) bool { return j.told[s.long] || slices.Contains(later, s.long) })
}

// once returns those of some cautions that were not told before; from now on they are.
func (j *job) once(cautions []string) (list []string) {
	for _, one := range cautions {
		if !j.told[one] {
			j.told[one], list = true, append(list, one)
		}
	}
	return list
}

func (j *job) bill() bill.Bill { return bill.Of(j.scene, j.wired.groups, j.share) }

// The units of photons for people.
const (
	ppfdUnit = "µmol/m²/s"
	dliUnit  = "mol/m²/day"
)
