package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/unit"
)

// heatOptions are the options of the command heat, as the caller wrote them.
type heatOptions struct {
	common
	scene     string
	air, hood string
	without   []string
	marginK   float64
	samples   int
}

func newHeatCommand(s streams, run func(context.Context, streams, heatOptions) error) *cobra.Command {
	var o heatOptions
	c := &cobra.Command{
		Use:   "heat SCENE",
		Short: "say how warm rail and junctions get, and what that takes of the light",
		Long: "Balances electrical power, light and heat of all modules on their rails in still air: the rail " +
			"conducts along itself\n" +
			"and gives its heat to the air by natural convection and radiation; flux and voltage follow the " +
			"junctions. The watts\n" +
			"of light are the flux over the luminous efficacy of radiation of the spectrum; what an optic keeps " +
			"heats its board.\n" +
			"Shows each module's temperatures, the hottest junction against its limit, whether the rail is cool " +
			"enough to touch, the light\n" +
			"lost to heat, what would make it cooler, and how long the light lasts where a part gives figures for " +
			"that. Sun, draught and\n" +
			"the warmth of the tank are left out. Writes the temperature along each rail as a picture and as " +
			"tables.",
		Example: "  fathomlux heat scene.yaml\n  fathomlux heat scene.yaml --air \"30 C\" --hood \"1200 mm x 450 " +
			"mm x 120 mm\" --margin 30",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.bind(c)
	o.bindFormat(c)
	f := c.Flags()
	f.StringVar(&o.air, "air", "", "temperature of the room in place of the scene's, such as \"30 C\"")
	f.StringVar(&o.hood, "hood", "",
		"closed box over the rails in place of the scene's, length x width x height such as \"1200 mm x 450 mm x "+
			"120 mm\", or none")
	f.StringArrayVar(&o.without, "without", nil,
		"dead modules, as a rail and numbers on it: main:3, main:2,5 or main:1-3; may be repeated")
	f.Float64Var(&o.marginK, "margin", usualMarginK,
		"kelvins that every junction should stay below its highest temperature: advice is given where one does not")
	f.IntVar(&o.samples, "samples", usualSamples,
		"samples in the parts' maintenance tests: 20 and more allow a statement of 6 times the test's length, 10 "+
			"to 19 of 5.5 times")
	return c
}

// What is asked for where the call does not say.
const (
	usualMarginK = 20
	usualSamples = 20
)

// heatAnswer is all that heat tells.
type heatAnswer struct {
	scene  *scene.Scene
	op     *operating.Point
	advice []operating.Advice
	lives  []operating.Life
}

func runHeat(ctx context.Context, s streams, o heatOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	if sc, err = o.apply(sc); err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	a, err := o.balance(sc)
	if err != nil {
		return err
	}
	dir := o.dir(o.scene)
	files, err := heatFiles(ctx, a, look)
	if err != nil {
		return err
	}
	return o.deliver(ctx, s, dir, files, func(s streams) error {
		return o.say(s.Out, a.answer(o, dir, files),
			a.brief(o))
	})
}

// apply makes the changes that the flags ask for.
func (o heatOptions) apply(sc *scene.Scene) (*scene.Scene, error) {
	sc, err := edit.Without(sc, o.without...)
	if err != nil {
		return nil, fmt.Errorf("--without: %w", err)
	}
	if o.air != "" {
		if sc.Ambient.AirC, err = unit.Temperature.Parse(o.air); err != nil || !(sc.Ambient.AirC >= -20 &&
			sc.Ambient.AirC <= 60) {
			return nil, errorOr(err, "--air", "%s is not between -20 C and 60 C", o.air)
		}
	}
	if o.hood != "" {
		hood, err := parseHood(o.hood)
		if err != nil {
			return nil, fmt.Errorf("--hood: %w", err)
		}
		if hood != nil {
			hood.At = document.Fault{File: "--hood"}
		}
		sc.Ambient.Hood = hood
	}
	if !(o.marginK >= 0 && o.marginK <= 200) {
		return nil, fmt.Errorf("--margin: %g is not between 0 and 200 kelvins", o.marginK)
	}
	if o.samples < 10 {
		return nil, fmt.Errorf("--samples: %d samples are too few to project from; at least 10 serve", o.samples)
	}
	return sc, nil
}

// parseHood reads "1200 mm x 450 mm x 120 mm", or "none".
func parseHood(text string) (*scene.Hood, error) {
	if text == "none" {
		return nil, nil
	}
	words := strings.Split(text, "x")
	if len(words) != 3 {
		return nil, fmt.Errorf("%.60q is no box; write length x width x height such as \"1200 mm x 450 mm x 120 "+
			"mm\", or none", text)
	}
	var sides [3]float64
	for i, word := range words {
		m, err := unit.Length.Parse(strings.TrimSpace(word))
		if err != nil || !(m >= scene.MinSideM && m <= scene.MaxSideM) {
			return nil, errorOr(err, "side", "%s is not between %g m and %g m", strings.TrimSpace(word),
				scene.MinSideM, scene.MaxSideM)
		}
		sides[i] = m
	}
	return &scene.Hood{LengthM: sides[0], WidthM: sides[1], HeightM: sides[2]}, nil
}

// balance balances the scene. A scene without a balance is an error that says what would serve.
func (o heatOptions) balance(sc *scene.Scene) (heatAnswer, error) {
	op, err := operating.Of(sc)
	if err != nil {
		if !errors.Is(err, heat.ErrTooHot) {
			return heatAnswer{}, fmt.Errorf("%s: %w", o.scene, err)
		}
		advice, _ := operating.Advise(sc, nil, o.marginK) // the first error counts
		var lines []string
		for _, a := range advice {
			lines = append(lines, adviceText(sc, a))
		}
		return heatAnswer{}, fmt.Errorf("%s: %w; to keep junctions %s K below their highest: %s", o.scene, err,
			number(o.marginK), strings.Join(lines, "; "))
	}
	a := heatAnswer{scene: sc, op: op}
	if a.advice, err = operating.Advise(sc, op, o.marginK); err != nil {
		return a, fmt.Errorf("%s: %w", o.scene, err)
	}
	if a.lives, err = operating.Lives(sc, op, lifeShare, o.samples); err != nil {
		return a, fmt.Errorf("%s: %w", o.scene, err)
	}
	return a, nil
}

// lifeShare is the share of the first light whose time is told: L70 of the trade.
const lifeShare = 0.7

// heatFiles draws the picture and writes the tables.
func heatFiles(ctx context.Context, a heatAnswer, look render.Look) ([]output.File, error) {
	notes := []string{a.verdict()}
	for _, line := range long(touchHeat(a.op)) {
		notes = append(notes, capital(line)+".")
	}
	pictures, err := render.Heat(ctx, a.op, a.scene, notes, look)
	if err != nil {
		return nil, err
	}
	return []output.File{csvFile("heat.csv", moduleTable(a)), csvFile("heat-along.csv", alongTable(a.op)),
		bytesFile(pictures[0].Name, pictures[0].Data)}, nil
}
