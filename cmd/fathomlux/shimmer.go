package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/fig"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

type shimmerOptions struct {
	common
	step, plane string
	still, cold bool
	seed        uint64
}

// filmFrames are the moments of a film, and of contrasts.
const filmFrames = 48

func newShimmerCommand(s streams) *cobra.Command {
	var o shimmerOptions
	c := &cobra.Command{
		Use:   "shimmer SCENE",
		Short: "show the net of light that ripples throw on the floor, as a picture and a film, and how far it sways",
		Long: `Makes a surface of waves with the slope and the length that the scene gives (water.ripple), and follows the light
of each die through it at one moment: a picture of the net of light (caustics) on the floor. Then 48 moments of the same
waves: a film of 4 s that begins anew where it ends, slowed as the answer says, and the contrast by depth and place: the
standard deviation over time over the mean, of squares of 10 mm. Map shows the mean over time.

The net is straight light alone. What walls mirror, water scatters and the floor sends back is added as it is in the
mean over time, since it hardly changes from moment to moment.`,
		Example: "fathomlux shimmer scene.yaml\nfathomlux shimmer scene.yaml --plane \"200 mm\" --seed 7 --still",
	}
	o.bind(c)
	o.bindFormat(c)
	bindRatedFlux(c, &o.cold)
	f := c.Flags()
	f.StringVar(&o.step, "step", "", "cell size of the pictures, such as \"2 mm\" (default a thirtieth of a wave)")
	f.StringVar(&o.plane, "plane", "",
		"surface, mid, floor or a depth such as \"200 mm\" (default that of the goal, or the floor)")
	f.BoolVar(&o.still, "still", false, "one moment alone, without film and contrasts")
	f.Uint64Var(&o.seed, "seed", 1, "of the waves; a seed gives the same bytes with any number of workers")
	return command(s, c, &o.given, o.run)
}

func (o *shimmerOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	var errs [3]error
	look, err := o.look()
	request := optics.ShimmerOptions{Moments: filmFrames, Seed: o.seed, Workers: o.cores(), Cold: o.cold,
		Plane: optics.JudgedPlane(sc)}
	if o.still {
		request.Moments = 1
	}
	errs[0] = err
	if o.plane != "" {
		if request.Plane, err = sc.Tank.Plane(o.plane); err != nil {
			errs[1] = fmt.Errorf("--plane: %w", err)
		}
	}
	request.StepM, errs[2] = parseStep(o.step, sc.Tank)
	if err := errors.Join(errs[:]...); err != nil {
		return err
	}
	bar := progress(s, o.common, "moments")
	request.Progress = bar.predict(s, o.common, time.Now, momentForecast)
	net, err := optics.Shimmer(ctx, sc, request)
	bar.close()
	if err != nil {
		return err
	}
	out := outcome{command: "shimmer", title: net.Title, scenes: []*scene.Scene{sc}, parts: shimmerParts(net, look.Units),
		found: net.Junctions.Warnings()}
	if out.files, err = shimmerFiles(ctx, net, sc, look); err != nil {
		return err
	}
	return o.hand(ctx, s, out)
}

func shimmerFiles(ctx context.Context, net *result.Shimmer, sc *scene.Scene, look render.Look) ([]output.File, error) {
	mean := result.Field{Grid: net.Grid, Illuminance: net.Frames[0]}.Grid.Summarise(net.Frames[0], nil, 0)
	light := func(v float64) string { return lightText(net.Shown, v) }
	figures := []fig.Figure{{Label: "mean", Value: light(mean.Mean)}, {Label: "brightest", Value: light(mean.Max)},
		{Label: "still light in it", Value: finding.Percent(net.RestMean / mean.Mean).Say(look.Units)}}
	if n := len(net.Contrasts); n > 0 {
		figures = append(figures, fig.Figure{Label: "contrast over time", Value: percent(net.Contrasts[n-1].All)})
	}
	ripple := sc.Tank.Water.Ripple
	notes := []string{fmt.Sprintf("Waves of %s with slopes of %.3g (standard deviation). Light that is mirrored, "+
		"scattered or bounces is taken as still.", look.Units.Length(ripple.LengthM), ripple.Slope)}
	pictures, err := render.Shimmer(ctx, net, sc, figures, notes, look)
	if len(net.Contrasts) == 0 {
		return pictures, err
	}
	return append([]output.File{csvFile("contrast.csv", contrastTable(net, look.Units))}, pictures...), err
}

func shimmerParts(net *result.Shimmer, u unit.System) answer.Answer {
	mean := 0.0
	for _, v := range net.Frames[0] {
		mean += v / float64(len(net.Frames[0]))
	}
	parts := answer.Answer{answer.Figure{Key: "plane", Title: "plane", Value: net.Plane},
		answer.Figure{Key: "quantity", Value: net.Shown.Name()},
		answer.Figure{Key: "rays", Title: "rays of each moment", Value: net.Rays},
		answer.Figure{Key: "mean", Title: "mean at the first moment", Unit: net.Shown.Unit(), Say: figured(1), Value: mean},
		answer.Figure{Key: "still_mean", Title: "still light in it", Unit: net.Shown.Unit(), Say: figured(1),
			Value: net.RestMean}}
	if len(net.Contrasts) == 0 {
		return parts
	}
	return append(parts, answer.Figure{Key: "slowed", Title: "film slowed", Unit: "times", Say: figured(1),
		Value: render.FilmS / net.PeriodS}, contrastTable(net, u))
}

// contrastTable is how far light sways by depth and place.
func contrastTable(net *result.Shimmer, u unit.System) answer.Table {
	share := func(key, title string) answer.Column { return answer.Column{Key: key, Title: title, Say: percent} }
	columns := []answer.Column{{Key: "depth_mm"}, {Title: "contrast at"},
		{Key: "mean", Title: "mean", Unit: net.Shown.Unit(), Say: figured(1)}, share("all", "all"), share("left", "left"), share("middle", "middle"), share("right", "right"),
		share("front", "front"), share("back", "back"), share("highest", "highest"), {Key: "highest_x_mm"},
		{Key: "highest_y_mm"}, {Title: "there"}}
	return answer.TableOf("contrast", columns, net.Contrasts, func(c result.Contrast) []any {
		return []any{millimetres(c.DepthM), u.Length(c.DepthM), c.Mean, c.All, c.Left, c.Middle, c.Right, c.Front, c.Back,
			c.Highest, millimetres(c.HighestXM), millimetres(c.HighestYM),
			"x " + u.Length(c.HighestXM) + ", y " + u.Length(c.HighestYM)}
	})
}
