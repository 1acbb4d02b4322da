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
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/unit"
)

// heatOptions are the options of the command heat, as the caller wrote them.
type heatOptions struct {
	common
	air, hood string
	without   []string
	marginK   float64
	samples   int
}

// What is asked for where the call does not say.
const (
	usualMarginK = 20
	usualSamples = 20
)

func newHeatCommand(s streams) *cobra.Command {
	var o heatOptions
	c := &cobra.Command{
		Use:   "heat SCENE",
		Short: "show how warm rail and junctions get, and how much light that costs",
		Long: `Balances electrical power, light and heat of all modules on their rails in still air: the rail conducts heat
along itself and gives it to the air by natural convection and radiation; flux and voltage follow the junctions. The
watts of light are the flux over the luminous efficacy of radiation of the spectrum; what an optic absorbs heats its
board.

Shows each module's temperatures, the hottest junction against its limit, whether the rail is cool enough to touch, the
light lost to heat, what would make it cooler, and how long the light lasts where a part gives figures for that. Sun,
draughts and the warmth of the tank are left out. Writes the temperature along each rail as a picture and as tables.`,
		Example: `fathomlux heat scene.yaml
fathomlux heat scene.yaml --air "30 C" --hood "1200 mm x 450 mm x 120 mm" --margin 30`,
	}
	o.bind(c)
	o.bindFormat(c)
	f := c.Flags()
	f.StringVar(&o.air, "air", "", "temperature of the room in place of the scene's, such as \"30 C\"")
	f.StringVar(&o.hood, "hood", "", "closed box over the rails in place of the scene's, as length x width x height such "+
		"as \"1200 mm x 450 mm x 120 mm\", or none")
	f.StringArrayVar(&o.without, "without", nil,
		"dead modules, as a rail and numbers on it: main:3, main:2,5 or main:1-3; may be repeated")
	f.Float64Var(&o.marginK, "margin", usualMarginK,
		"kelvins that every junction should stay below its limit; advice is given where one does not")
	f.IntVar(&o.samples, "samples", usualSamples, "samples in the parts' maintenance tests: 20 or more allow a "+
		"projection to 6 times the length of the test, 10 to 19 to 5.5 times")
	return command(s, c, &o.given, o.run)
}

// heatAnswer is all that heat tells.
type heatAnswer struct {
	situation
	marginK float64
	advice  []operating.Advice
	lives   []operating.Life
}

func (o *heatOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
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
	a, err := balance(situation{scene: sc, units: look.Units}, o.marginK, o.samples)
	if err != nil {
		return err
	}
	files, err := heatFiles(ctx, a, look)
	if err != nil {
		return err
	}
	return o.hand(ctx, s, outcome{scenes: []*scene.Scene{a.scene}, parts: a.parts(), quiet: a.brief(), found: a.notes(),
		cautions: a.at("heat"), files: files})
}

// apply makes the changes that the flags ask for.
func (o *heatOptions) apply(sc *scene.Scene) (*scene.Scene, error) {
	sc, err := edit.Without(sc, o.without...)
	if err != nil {
		return nil, fmt.Errorf("--without: %w", err)
	}
	if o.air != "" {
		sc.Ambient.AirC, err = quantityIn("--air", o.air, unit.Temperature, -20, 60)
		if err != nil {
			return nil, err
		}
	}
	if o.hood != "" {
		if sc.Ambient.Hood, err = parseHood(o.hood); err != nil {
			return nil, fmt.Errorf("--hood: %w", err)
		}
	}
	if !(o.marginK >= 0 && o.marginK <= 200) {
		return nil, fmt.Errorf("--margin: %g is not between 0 and 200 kelvins", o.marginK)
	}
	if o.samples < 10 {
		return nil, fmt.Errorf("--samples: %d samples are too few to project from; at least 10 are needed", o.samples)
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
		return nil, fmt.Errorf("%.60q is not a box; write length x width x height such as \"1200 mm x 450 mm x 120 mm\", or "+
			"none", text)
	}
	h := scene.Hood{At: finding.Place{File: "--hood"}}
	for i, side := range []*float64{&h.LengthM, &h.WidthM, &h.HeightM} {
		var err error
		*side, err = quantityIn("side", strings.TrimSpace(words[i]), unit.Length, scene.MinSideM, scene.MaxSideM)
		if err != nil {
			return nil, err
		}
	}
	return &h, nil
}

// balance balances the scene. A scene without a balance is an error that says what would serve.
func balance(f situation, marginK float64, samples int) (a heatAnswer, err error) {
	a = heatAnswer{situation: f, marginK: marginK}
	sc := f.scene
	switch a.op, err = operating.Of(sc); {
	case errors.Is(err, heat.ErrTooHot):
		a.advice = operating.Advise(sc, nil, marginK)
		return a, fmt.Errorf("%s: %w; %s", sc.File, err, strings.Join(a.adviceLines(), "; "))
	case err != nil:
		return a, fmt.Errorf("%s: %w", sc.File, err)
	}
	a.advice, a.lives = operating.Advise(sc, a.op, marginK), operating.Lives(sc, a.op, lifeShare, samples)
	return a, nil
}

// lifeShare is the share of the initial flux whose time is told: L70 of the trade.
const lifeShare = 0.7

// heatFiles draws the picture and writes the tables.
func heatFiles(ctx context.Context, a heatAnswer, look render.Look) ([]output.File, error) {
	notes := []string{a.verdict()}
	for _, line := range a.at("heat") {
		notes = append(notes, unit.Capital(line)+".")
	}
	pictures, err := render.Heat(ctx, a.op, a.scene, notes, look)
	if err != nil {
		return nil, err
	}
	return []output.File{csvFile("heat.csv", a.moduleTable()), csvFile("heat-along.csv", alongTable(a.op)),
		pictures[0]}, nil
}
