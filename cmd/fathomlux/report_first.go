package main

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/live"
	"fathomlux/render/output"
	"fathomlux/render/report"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// firstParts are what the goal asks and the facts, beside the lit tank where it can be drawn, and the plan of the
// goal's plane.
func (j *job) firstParts() []any {
	p, measures := optics.GoalPlane(j.scene, j.light.Planes), report.Measures{}
	for _, part := range j.light.Goal.Parts {
		for _, m := range part.Asked {
			is, asked := m.Figures()
			one := report.Measure{Title: cmp.Or(m.What, "uniformity U0"), Value: is, Asked: "of " + asked,
				Share: m.Found / m.Asked, Met: !m.Missed()}
			if one.Asked = strings.TrimSpace(one.Asked + " " + m.Unit); m.Most {
				one.Asked, one.Share = "at most "+strings.TrimPrefix(one.Asked, "of "), m.Asked/m.Found
			}
			if len(j.light.Goal.Parts) > 1 {
				one.Title = part.Label + ": " + one.Title
			}
			measures = append(measures, one)
		}
	}
	first := []any{measures, j.facts()}
	if j.seen != nil {
		first = []any{report.Beside{first, {*j.seen}}}
	}
	return append(first, j.planPicture(p, p.Shown), j.wayParts())
}

// What the report's picture of the lit tank is made of.
const (
	reportView        = "800x400"
	reportViewPhotons = 1 << 21
)

// see draws the lit tank from the front.
func (j *job) see(ctx context.Context, _ streams) ([]output.File, error) {
	v, err := liveOptions{workers: j.request.Workers, cold: j.request.Cold}.eyeAt(namedEyes[0], reportView)
	if err != nil {
		return nil, err
	}
	v.photons = reportViewPhotons
	g, err := v.glimpse(ctx, j.scene)
	if err != nil {
		j.miss("the lit tank as it is seen", err)
		return nil, ctx.Err()
	}
	image, _, err := g.bare(j.look.Units)
	j.seen = &report.Picture{Name: "view-front.png", Alt: "The lit tank, seen from the front. " + render.ViewWords(g.seen),
		Lead:  fmt.Sprintf("The lit tank, seen from the front; white is %.3g cd/m².", g.exposure.WhiteCd),
		Image: image, Scale: 1}
	return nil, err
}

// wayParts say what would meet a goal that is not met.
func (j *job) wayParts() []any {
	if !j.light.Goal.Asked || j.light.Goal.Met {
		return nil
	}
	if !j.options.ways {
		return []any{"What would meet the goal: the commands arrange and propose find out, and report --ways shows it here."}
	}
	t := answer.Table{Title: "What would meet the goal, by the commands arrange and propose",
		Columns: []answer.Column{{Title: "command"}, {Title: "finds"}}}
	for _, w := range j.ways {
		for _, f := range w.Figures {
			if !slices.ContainsFunc(t.Columns, func(c answer.Column) bool { return c.Title == f[0] }) {
				t.Columns = append(t.Columns, answer.Column{Title: f[0]})
			}
		}
	}
	t.Columns = append(t.Columns, answer.Column{Title: "goal"})
	for _, w := range j.ways {
		row := make([]any, len(t.Columns))
		row[0], row[1], row[len(row)-1] = w.command, w.Name, map[bool]string{true: "met", false: "not met"}[w.Met]
		for _, f := range w.Figures {
			row[slices.IndexFunc(t.Columns, func(c answer.Column) bool { return c.Title == f[0] })] = f[1]
		}
		t.Rows = append(t.Rows, row)
	}
	return []any{t}
}

// way is a change that a command found for the goal.
type way struct {
	command string
	live.Preview
}

// findWays lets arrange and propose search for what would meet a goal that is not met. What finds nothing is passed
// over: both commands say why when they are called.
func (j *job) findWays(ctx context.Context, s streams) ([]output.File, error) {
	if !j.options.ways || !j.light.Goal.Asked || j.light.Goal.Met {
		return nil, nil
	}
	o := liveOptions{workers: j.options.cores(), cold: j.options.light.cold}
	for _, one := range []struct {
		command string
		search  func(ctx context.Context, sc *scene.Scene, given map[string]string,
			progress func(done, total int)) ([]live.Preview, []string, error)
	}{{"arrange", o.arrangement}, {"propose", o.proposals}} {
		bar := progress(s, j.options.common, one.command)
		found, _, err := one.search(ctx, j.scene, nil, bar.set)
		bar.close()
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			j.miss("what "+one.command+" finds", err)
			continue
		}
		for _, p := range found {
			j.ways = append(j.ways, way{one.command, p})
		}
	}
	return nil, nil
}

// facts are the few figures that count; those of the running are told in full with what it costs.
func (j *job) facts() answer.Answer {
	p := optics.GoalPlane(j.scene, j.light.Planes)
	at := render.PlaneWords(p, j.look.Units)
	if j.light.Maintenance < 1 {
		at += ", when new"
	}
	q, light := p.Shown, result.PartLight{Illuminance: p.Illuminance, PPFD: p.PPFD, DLI: p.DLI}
	if parts := j.light.Goal.Parts; len(parts) > 0 && parts[0].Named {
		light, at = parts[0].Light, parts[0].Label+", "+at
	}
	dli := dliFigure(light.DLI, true)
	list := told("mean "+q.Other().Name()+", "+at, lightText(q.Other(), light.Of(q.Other()).Mean))
	if !j.light.Goal.Asked { // else they stand above
		list = append(told("mean "+q.Name()+", "+at, lightText(q, light.Of(q).Mean),
			"uniformity U0 of "+q.Name()+" (min/mean)", unit.Ratio(light.Of(q).MinOverMean)), list...)
	}
	if light.DLI > 0 {
		list = append(list, told("mean DLI, "+at, dli.Words())...)
	}
	if j.wired != nil {
		list = append(append(list, slices.DeleteFunc(j.wired.runningFigures(), func(p answer.Part) bool {
			f := p.(answer.Figure)
			return f.Key != "mains_w" && f.Key != "cost_per_year"
		})...), told("parts to buy", strings.TrimPrefix(totalText(j.bill()), "total: "))...)
	}
	if j.warm != nil {
		list = append(list, answer.Figure{Title: "hottest junction", Unit: "°C", Value: j.warm.op.HottestJunctionC()})
	}
	return list
}
