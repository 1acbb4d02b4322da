package render

import (
	"context"
	"fmt"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/plan"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Day draws the levels of the channels and the mean PPFD of the goal's plane against the clock, and the daily light
// integral of each plane from above. notes are the sentences below the chart.
func Day(ctx context.Context, d *result.Day, sc *scene.Scene, notes []string, look Look, workers int) ([]Picture,
	error) {
	list := []drawing{clockDrawing(d, sc, notes, look)}
	for i := range d.Planes {
		p := &d.Planes[i]
		page := look.page(sc.Title, PlaneWords(&p.Plane, look.Units)+": "+result.DailyLight.Name()+" of the whole day", "")
		goal := d.Goal.On(p.DepthM)
		goal.Shown = result.DailyLight
		one := plan.Plan{Page: page, Scene: sc, Plane: &p.Plane, Quantity: result.DailyLight, Goal: goal}
		if part, alone := sc.Goal.On(p.DepthM); alone && goal.Asked {
			one.Goal.Level = part.DLI
		}
		switch {
		case !d.Goal.Asked:
			one.GoalNote = "none set for the day"
		case !goal.Asked:
			one.GoalNote = "set for " + strings.Join(planesOf(d.Goal), ", ")
		}
		list = append(list, drawing{"dli-" + PlaneFileName(p.Name), one})
	}
	return finish(ctx, list, look, workers)
}

// clockDrawing prepares the chart of a day.
func clockDrawing(d *result.Day, sc *scene.Scene, notes []string, look Look) drawing {
	hours := chart.Axis{Label: "time of the day, h", High: 24, Tight: true, At: []float64{0, 3, 6, 9, 12, 15, 18, 21, 24}}
	plane := d.Planes[0]
	levels := chart.Panel{X: hours, Y: chart.Axis{Label: "level of the channel, %", High: 100, Zero: true}}
	light := chart.Panel{X: hours, Y: chart.Axis{Label: "mean PPFD, " + PlaneWords(&plane.Plane, look.Units) + ", " +
		result.PPFD.Unit(), Zero: true}}
	all := chart.Series{Name: "all channels together"}
	all.Pen, _ = chart.Look(len(d.Channels), 2.4)
	for _, m := range d.Moments {
		all.X, all.Y = append(all.X, m.AtH), append(all.Y, plane.Sum(m))
	}
	for c, name := range d.Channels {
		level := chart.Series{Name: name, X: all.X}
		level.Pen, _ = chart.Look(c, 2)
		share := chart.Series{X: all.X, Pen: level.Pen}
		for _, m := range d.Moments {
			level.Y, share.Y = append(level.Y, 100*m.Levels[c]), append(share.Y, plane.PPFD(m, c))
		}
		levels.Series, light.Series = append(levels.Series, level), append(light.Series, share)
	}
	if len(d.Channels) > 1 {
		light.Series = append(light.Series, all)
	}
	if sc.Goal.PPFD > 0 {
		light.Limits = []chart.Limit{{At: sc.Goal.PPFD, Label: "goal " + style.FourDigits(sc.Goal.PPFD)}}
	}
	subtitle := fmt.Sprintf("levels and light by the clock; daily light integral %s %s", style.Number(plane.DLI),
		result.DailyLight.Unit())
	return drawing{"day", chart.Chart{Page: look.page(sc.Title, subtitle, "", notes...),
		Panels: []chart.Panel{levels, light}}}
}
