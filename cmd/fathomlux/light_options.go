package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// lightOptions are the options that all commands share which compute the light of a scene.
type lightOptions struct {
	common
	engineOptions // of those that bind it
	step          string
	cold          bool
	requireGoal   bool
}

// bind adds the flags of a command that draws pictures too; usual says which cells a grid has unless told.
func (o *lightOptions) bind(c *cobra.Command, usual string) {
	o.common.bind(c)
	o.bindFormat(c)
	o.bindLight(c, usual)
}

// bindLight adds the flags of the light alone.
func (o *lightOptions) bindLight(c *cobra.Command, usual string) {
	bindCold(c, &o.cold)
	f := c.Flags()
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"5 mm\" (default "+usual+")")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal is not met")
}

// resolve turns the flags' texts into what light and pictures of a tank take.
func (o lightOptions) resolve(t scene.Tank) (request optics.Options, look render.Look, err error) {
	request = optics.Options{Workers: o.cores(), Units: o.system(), Cold: o.cold}
	if look, err = o.look(); err != nil {
		return request, look, err
	}
	if err = o.engineOptions.resolve(&request); err != nil {
		return request, look, err
	}
	request.StepM, err = parseStep(o.step, t)
	return request, look, err
}

// parseStep reads a cell size; an empty text is 0.
func parseStep(text string, t scene.Tank) (float64, error) {
	if text == "" {
		return 0, nil
	}
	m, err := unit.Length.Parse(text)
	if err != nil {
		return 0, fmt.Errorf("--step: %w", err)
	}
	if shorter := math.Min(t.WidthM, t.LengthM); !(m >= 0.0005 && m <= shorter) {
		return 0, fmt.Errorf("--step: %s is not between 0.5 mm and %s, the tank's shorter side", text,
			unit.Length.Say(shorter))
	}
	if err := optics.CheckStep(t, m); err != nil {
		return 0, fmt.Errorf("--step: %w", err)
	}
	return m, nil
}

// outcome is what a study comes to.
type outcome struct {
	command  string // whose cautions are shown
	title    string
	scenes   []*scene.Scene
	parts    answer.Answer
	brief    []string // the verdict, and what it leaves out
	notes    []string
	found    []finding.Finding
	cautions []string // in place of those of the command; nil for those
	files    []output.File
	unmet    string                // what is added to the error of --require-goal; empty where the goal is met
	interim  string                // how far an interruption let it come; empty where it is whole
	pictured func(io.Writer) error // draws in the terminal before the answer; nil for nothing
}

// hand prints an answer and writes its files, all or nothing, and returns what the exit status speaks of.
func (o lightOptions) hand(ctx context.Context, s streams, out outcome) error {
	dir := o.dir(out.scenes[0].File)
	whole := out.whole(dir, o.system())
	err := o.deliver(ctx, s, dir, out.files, func(s streams) error {
		if out.pictured != nil {
			if err := out.pictured(s.Out); err != nil {
				return err
			}
		}
		return o.say(s.Out, whole, answer.Answer{answer.Lines{List: out.brief}})
	})
	switch {
	case err != nil:
		return err
	case out.interim != "":
		return errors.New(out.interim)
	case o.requireGoal && out.unmet != "":
		return fmt.Errorf("%w%s", errGoalNotMet, out.unmet)
	}
	return nil
}

// whole is the answer with what stands before and after it everywhere.
func (out outcome) whole(dir string, u unit.System) answer.Answer {
	first := out.scenes[0]
	list := answer.Answer{answer.Lines{List: []string{out.title}, In: answer.Text}}
	list = append(list, fields("scene", first.File, "title", first.Title, "out", dir)...)
	list = append(list, out.parts...)
	found := out.found
	var read []string
	for _, sc := range out.scenes {
		if !slices.Contains(read, sc.File) {
			read = append(read, sc.File)
			found = append(found, warningsOf(sc)...)
		}
	}
	said := out.cautions
	if said == nil {
		said = cautions(out.command, out.scenes...)
	}
	return append(list, tail(dir, out.files, found, u, out.notes, said)...)
}

// verdictParts are a verdict: a sentence for people and for programs.
func verdictParts(verdict string) answer.Answer {
	return answer.Answer{answer.Lines{List: []string{verdict}, In: answer.People}, answer.Figure{Key: "verdict",
		Value: verdict}}
}

// bouncedParts are a verdict on straight light alone, and what that leaves out: share is of the light that lands.
func bouncedParts(verdict string, b result.Bounced) (parts answer.Answer, brief []string) {
	brief = []string{strings.TrimSpace(verdict + " " + b.Words())}
	return answer.Answer{answer.Lines{List: brief, In: answer.People}, answer.Figure{Key: "verdict", Value: verdict},
		answer.Figure{Key: "bounced", Value: fields("share", roundTo(float64(b), 1e-6), "about", b.Words())}}, brief
}
