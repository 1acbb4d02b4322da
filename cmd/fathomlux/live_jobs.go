package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/propose"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// limitFlags are the flags of propose and arrange that a page may give.
var limitFlags = map[string][]string{
	"propose": {"budget", "watts-at-most", "volts-at-most", "rows", "only", "even-at-least", "modules-at-most", "keep"},
	"arrange": {"for", "gap"},
}

// limit gives a command the limits of a page as its flags.
func (o liveOptions) limit(c *cobra.Command, limits map[string]string) error {
	for _, name := range limitFlags[c.Name()] {
		if value := strings.TrimSpace(limits[name]); value != "" {
			if err := c.Flags().Set(name, value); err != nil {
				return flagError(c, err)
			}
		}
	}
	return c.Flags().Set("workers", fmt.Sprint(o.workers))
}

// proposals is the job of the command propose.
func (o liveOptions) proposals(ctx context.Context, sc *scene.Scene, limits map[string]string,
	tell func(done, total int)) (list []live.Preview, notes []string, err error) {
	c, flags := proposeCommand(streams{})
	if err := o.limit(c, limits); err != nil {
		return nil, nil, err
	}
	sc, request, err := flags.request(sc)
	if err != nil {
		return nil, nil, plainly(err)
	}
	request.Progress = tell
	found, err := propose.Run(ctx, sc, request)
	if err != nil {
		return nil, nil, plainly(err)
	}
	lights := found.Lights
	if len(lights) > 0 {
		notes = flags.notes(found, request)
	} else if found.Nearest != nil {
		lights = []*propose.Light{found.Nearest}
		notes = []string{"No light meets the goal within the limits; this is the nearest: " +
			strings.Join(missesOf(found.Nearest, request, unit.Metric), "; ") + flags.looserText(found) + "."}
	} else if ctx.Err() == nil {
		return nil, nil, fmt.Errorf("no light can be built within the limits%s", flags.looserText(found))
	}
	sentences := lightSentences(lights)
	for i, l := range lights {
		light, shown := l.Counted(), l.Candidate.Goal.Shown
		p := live.Preview{Name: lightTitle(l), Words: sentences[i], Met: l.Candidate.Goal.Met, Text: l.Text}
		if len(found.Lights) == 0 {
			p.Words = lightSentence(l)
		}
		p.Figures = append(p.Figures, [2]string{"light", buildText(l)}, [2]string{"drivers", driverText(l)},
			[2]string{"parts", moneyText(l.Money)}, [2]string{"power", figured(1)(l.MainsW) + " W"})
		p.Figures = append(p.Figures, choosingFigures(shown, light)...)
		list = append(list, p)
	}
	return list, notes, nil
}

// choosingFigures are the figures of a light by which people choose.
func choosingFigures(shown result.Quantity, light result.Statistics) [][2]string {
	return [][2]string{{"mean", lightText(shown, light.Mean)}, {"dimmest", lightText(shown, light.Min)},
		{"U0 (min/mean)", unit.Ratio(light.MinOverMean)}}
}

// arrangement is the job of the command arrange.
func (o liveOptions) arrangement(ctx context.Context, sc *scene.Scene, limits map[string]string,
	tell func(done, total int)) ([]live.Preview, []string, error) {
	c, flags := arrangeCommand(streams{})
	if err := o.limit(c, limits); err != nil {
		return nil, nil, err
	}
	light, _, err := flags.resolve(sc.Tank)
	if err != nil {
		return nil, nil, plainly(err)
	}
	request, err := flags.request(sc)
	if err != nil {
		return nil, nil, plainly(err)
	}
	request.StepM, request.Workers, request.Cold, request.Progress = light.StepM, light.Workers, o.cold, tell
	a, err := study.Arrange(ctx, sc, request)
	if err = cmp.Or(err, ctx.Err()); err != nil {
		return nil, nil, plainly(err)
	}
	text, err := edit.Rewrite(a.Scene)
	if err != nil {
		return nil, nil, err
	}
	shown := a.After.Goal.Shown
	p := live.Preview{Name: "better places", Words: a.Verdict.Sentence(unit.Metric), Met: a.After.Goal.Met, Text: text}
	before := choosingFigures(shown, a.Before.Light(shown))
	for i, f := range choosingFigures(shown, a.After.Light(shown)) {
		p.Figures = append(p.Figures, [2]string{f[0], before[i][1] + " \u2192 " + f[1]})
	}
	p.Figures = append(p.Figures, [2]string{"power of the modules", figured(1)(a.Before.PowerW) + " \u2192 " +
		figured(1)(a.After.PowerW) + " W"})
	return []live.Preview{p}, nil, nil
}

// plainly makes one sentence of faults that were joined.
func plainly(err error) error {
	return errors.New(document.Visible(strings.ReplaceAll(err.Error(), "\n", "; ")))
}
