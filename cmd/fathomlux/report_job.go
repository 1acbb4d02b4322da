package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/render/report"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/heat"
	"fathomlux/scene/unit"
)

// job is all answers about one scene, and their pictures by the names of their files. What could not be computed is nil,
// and missing says why.
type job struct {
	options  reportOptions
	scene    *scene.Scene
	look     render.Look
	light    *result.Map
	compared *study.Comparison // nil where not asked for
	swept    *result.Sweep     // nil where not asked for
	wired    *wired
	warm     *heatAnswer
	drilled  []drilled
	share    float64 // of spares
	pictures map[string][]byte
	missing  []string
	tooHot   string // why the parts cannot bear the heat; empty where they can, or where it is not known
}

// job computes all answers and draws all pictures.
func (o reportOptions) job(ctx context.Context, s streams, sc *scene.Scene) (*job, error) {
	j := &job{options: o, scene: sc, pictures: map[string][]byte{}}
	if _, err := o.wish(); err != nil {
		return nil, err
	}
	var err error
	if j.share, err = parseShare(o.spare); err != nil {
		return nil, fmt.Errorf("--spare: %w", err)
	}
	for _, do := range []func() error{
		func() error { return j.lightUp(ctx) },
		func() error { return j.compare(ctx) },
		func() error { return j.sweep(ctx, s) },
		func() error { return j.wire(ctx) },
		func() error { return j.heat(ctx) },
		j.drill,
	} {
		if err := do(); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// keep keeps the pictures among files.
func (j *job) keep(files []output.File) error {
	for _, f := range files {
		if !strings.HasSuffix(f.Name, ".png") && !strings.HasSuffix(f.Name, ".svg") {
			continue
		}
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return err
		}
		j.pictures[f.Name] = b.Bytes()
	}
	return nil
}

// miss notes what the page lacks.
func (j *job) miss(what string, err error) error {
	j.missing = append(j.missing, fmt.Sprintf("%s: %v", what, err))
	return nil
}

// lightUp computes the light and draws its pictures.
func (j *job) lightUp(ctx context.Context) error {
	o := mapOptions{common: j.options.common, engineOptions: j.options.engineOptions, step: j.options.step, grid: "fine", maintenance: j.options.maintenance, cold: j.options.cold}
	wish, look, err := o.resolve(j.scene)
	if err != nil {
		return err
	}
	j.look = look
	if j.light, err = optics.Map(ctx, j.scene, wish); err != nil {
		return err
	}
	pictures, err := render.Map(ctx, j.light, j.scene, look, wish.Workers)
	for _, p := range pictures {
		j.pictures[p.Name] = p.Data
	}
	return err
}

// compare holds the optics against each other that were asked for.
func (j *job) compare(ctx context.Context) error {
	if j.options.optics == "" {
		return nil
	}
	list, err := opticContenders(j.scene, j.options.optics)
	if err != nil {
		return err
	}
	wish := optics.Options{Workers: j.options.cores(), Units: j.look.Units, Cold: j.options.cold}
	if err := j.options.engineOptions.resolve(&wish); err != nil {
		return err
	}
	if wish.StepM, err = parseStep(j.options.step, j.scene.Tank); err != nil {
		return err
	}
	if j.compared, err = study.Compare(ctx, list, wish); err != nil {
		return err
	}
	files, err := compareFiles(ctx, j.compared, j.look)
	if err != nil {
		return err
	}
	return j.keep(files)
}

// sweep varies what was asked for.
func (j *job) sweep(ctx context.Context, s streams) error {
	if len(j.options.vary) == 0 {
		return nil
	}
	wish := study.SweepOptions{Workers: j.options.cores(), Units: j.look.Units, Cold: j.options.cold}
	var err error
	if wish.Axes, err = sweepAxes(j.options.vary, j.scene); err != nil {
		return err
	}
	bar := progress(s, j.options.common, "candidates")
	wish.Progress = bar.set
	j.swept, err = study.Sweep(ctx, j.scene, wish)
	bar.close()
	if err != nil {
		return err
	}
	if !j.swept.Complete {
		return context.Canceled
	}
	files, err := sweepFiles(ctx, j.swept, j.scene, j.look, j.options.cores())
	if err != nil {
		return err
	}
	return j.keep(files)
}

// wire wires the scene. A scene that cannot be wired still has a report.
func (j *job) wire(ctx context.Context) error {
	a, err := j.options.wireScene(j.scene)
	if err != nil {
		if j.options.junction != "" { // what may be wrong with the call is not passed over
			return err
		}
		return j.miss("wiring, bill and order of work", err)
	}
	files, err := wireFiles(ctx, a, j.look)
	if err != nil {
		return err
	}
	j.wired = &a
	return j.keep(files)
}

// heat balances the scene. A scene without a balance still has a report.
func (j *job) heat(ctx context.Context) error {
	a, err := heatOptions{scene: j.options.scene, marginK: usualMarginK, samples: usualSamples}.balance(j.scene)
	if err != nil {
		if errors.Is(err, heat.ErrTooHot) {
			j.tooHot = err.Error()
		}
		return j.miss("heat", err)
	}
	j.tooHot = a.op.TooHot()
	files, err := heatFiles(ctx, a, j.look)
	if err != nil {
		return err
	}
	j.warm = &a
	return j.keep(files)
}

// drill lays out the holes. Rails that cannot be drilled still have a report.
func (j *job) drill() (err error) {
	if j.drilled, err = (drillOptions{scene: j.options.scene}).plans(j.scene); err != nil {
		j.drilled = nil
		return j.miss("drilling", err)
	}
	return nil
}

// page puts the report together.
func (j *job) page() (report.Page, error) {
	p := report.Page{Title: titleOr(j.scene.Title), Verdict: j.light.Verdict, Facts: j.facts(), Footer: "fathomlux " + programVersion()}
	if j.tooHot != "" {
		p.Verdict += " But the parts cannot bear the heat."
	}
	switch g := j.light.Goal; {
	case g.Met:
		p.State = report.Met
	case g.Asked:
		p.State = report.NotMet
	}
	sections := []report.Section{j.sceneSection(), j.lightSection()}
	if j.compared != nil || j.swept != nil {
		sections = append(sections, j.choiceSection())
	}
	sections = append(sections, j.wiringSection(), j.heatSection(), j.costSection(), j.drillSection(), j.buildSection(), wordsSection(), j.sourceSection())
	for _, s := range sections {
		p.Sections = append(p.Sections, s)
		p.Cautions = append(p.Cautions, j.shortCautions(p.Cautions, s.ID)...)
	}
	onPaperUnits(&p)
	return p, nil
}

// shortCautions are a section's cautions in short, those that are not known yet.
func (j *job) shortCautions(known []report.Caution, id string) (list []report.Caution) {
	for _, s := range j.situation().sayings(cautionPlaces[id]) {
		same := func(c report.Caution) bool { return c.Text == s.short }
		if !slices.ContainsFunc(known, same) && !slices.ContainsFunc(list, same) {
			list = append(list, report.Caution{Text: s.short, SectionID: id})
		}
	}
	return list
}

// facts are the few figures that count.
func (j *job) facts() []report.Fact {
	p := j.goalPlane()
	at := j.planeWords(p)
	if j.light.Maintenance < 1 {
		at += ", when new"
	}
	q := p.Shown
	facts := []report.Fact{
		{Name: "goal", Value: goalText(j.scene.Goal)},
		{Name: "mean " + q.Name() + ", " + at, Value: lightText(q, p.Light(q).Mean)},
		{Name: "evenness of " + q.Name() + ", min/mean (1 is perfectly even)", Value: unit.Ratio(p.Light(q).MinOverMean)},
		{Name: "mean " + q.Other().Name() + ", " + at, Value: lightText(q.Other(), p.Light(q.Other()).Mean)},
	}
	if p.DLI > 0 {
		facts = append(facts, report.Fact{Name: "mean DLI, " + at, Value: unit.Figure(p.DLI, 2) + " " + dliUnit})
	}
	if j.wired != nil {
		for _, f := range j.wired.runningFigures() {
			facts = append(facts, report.Fact{Name: f.Title, Value: f.Words()})
		}
		facts = append(facts, report.Fact{Name: "parts to buy", Value: strings.TrimPrefix(totalText(j.bill()), "total: ")})
	}
	if j.warm != nil {
		facts = append(facts, report.Fact{Name: "hottest junction", Value: fmt.Sprintf("%.0f °C", j.warm.op.HottestJunctionC())})
	}
	return facts
}

func (j *job) bill() bill.Bill { return bill.Of(j.scene, j.wired.groups, j.share) }

// goalPlane is the plane that the goal speaks of; where there is no goal, the deepest.
func (j *job) goalPlane() *result.Plane {
	p := &j.light.Planes[0]
	for i := range j.light.Planes {
		one := &j.light.Planes[i]
		if j.scene.Goal.Set() && one.DepthM == j.scene.Goal.Plane.DepthM {
			return one
		}
		if one.DepthM > p.DepthM {
			p = one
		}
	}
	return p
}

// planeWords names a plane within a sentence.
func (j *job) planeWords(p *result.Plane) string {
	switch p.Name {
	case "surface":
		return "just under the surface"
	case "mid":
		return "mid-water"
	case "floor":
		return "floor"
	}
	return j.look.Units.Length(p.DepthM) + " down"
}

// The units of photons on a page.
const (
	ppfdUnit = "µmol/m²/s"
	dliUnit  = "mol/m²/day"
)
