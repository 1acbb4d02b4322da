package main

import (
	"errors"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// lightOptions are the options that all commands share which compute the light of a scene.
type lightOptions struct {
	common
	engineOptions // of those that bind it
	step          string
	cold          bool
}

// bind adds the flags of a command that draws pictures too; usual says which cells a grid has unless told.
func (o *lightOptions) bind(c *cobra.Command, usual string) {
	o.common.bind(c)
	o.bindFormat(c)
	o.bindLight(c, usual)
}

func (o *lightOptions) bindLight(c *cobra.Command, usual string) {
	bindRatedFlux(c, &o.cold)
	f := c.Flags()
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"5 mm\" (default "+usual+")")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal is not met")
}

// resolve turns the flags' texts into what light and pictures of a tank take; all that is wrong with them is told at
// once.
func (o lightOptions) resolve(t scene.Tank) (request optics.Options, look render.Look, err error) {
	request = optics.Options{Workers: o.cores(), Cold: o.cold}
	var errs [3]error
	look, errs[0] = o.look()
	errs[1] = o.engineOptions.resolve(&request)
	request.StepM, errs[2] = parseStep(o.step, t)
	return request, look, errors.Join(errs[:]...)
}

// parseStep reads a cell size; an empty text is 0.
func parseStep(text string, t scene.Tank) (float64, error) {
	if text == "" {
		return 0, nil
	}
	m, err := quantityIn("--step", text, unit.Length, 0.0005, math.Min(t.WidthM, t.LengthM))
	if err == nil {
		if err = optics.CheckStep(t, m); err != nil {
			err = fmt.Errorf("--step: %w", err)
		}
	}
	return m, err
}

// verdictParts are a verdict: a sentence for people and for programs.
func verdictParts(verdict string) answer.Answer {
	return answer.Answer{answer.Lines{List: []string{verdict}, In: answer.People}, answer.Figure{Key: "verdict",
		Value: verdict}}
}
