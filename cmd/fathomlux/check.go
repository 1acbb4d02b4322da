package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/document"
)

// checkOptions are the options of the command check.
type checkOptions struct {
	scenes              []string
	json, quiet, strict bool
}

func newCheckCommand(s streams, run func(context.Context, streams, checkOptions) error) *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check SCENE...",
		Short: "say whether scenes are sound, and what is odd in them",
		Long: "Reads each scene file with all that it names, lists every fault with its place, and for a sound " +
			"scene\n" +
			"shows what it describes, what is odd in it (warnings) and what can hurt somebody (cautions).\n" +
			"Warnings and cautions leave the exit status at 0, unless --strict is given.",
		Example: "  fathomlux check scene.yaml\n  fathomlux check --json foyer.yaml shelf.yaml",
		RunE: func(c *cobra.Command, args []string) error {
			o.scenes = args
			return run(c.Context(), s, o)
		},
	}
	c.Flags().BoolVar(&o.json, "json", false, "print one JSON document on standard output and nothing else there")
	c.Flags().BoolVar(&o.quiet, "quiet", false, "leave out the summary; show faults, warnings and cautions alone")
	c.Flags().BoolVar(&o.strict, "strict", false, "exit with status 2 where a scene has warnings")
	return c
}

// sceneCheck is the answer for one scene file. Scene is nil where the file is not sound.
type sceneCheck struct {
	file     string
	scene    *scene.Scene
	faults   []document.Fault
	warnings []document.Fault
	cautions []string
}

// runCheck reads all scenes, prints what they are, and returns all their faults in one error.
func runCheck(_ context.Context, s streams, o checkOptions) error {
	var checks []sceneCheck
	var errs []error
	for _, file := range o.scenes {
		c, err := checkScene(file)
		checks = append(checks, c)
		errs = append(errs, err)
		if n := len(c.warnings); n > 0 && o.strict {
			errs = append(errs, fmt.Errorf("%s: %s, and --strict was given", file, several(n, "warning")))
		}
	}
	err := common{json: o.json}.say(s.Out, checkAnswer(checks, o.quiet), nil)
	return errors.Join(append(errs, err)...)
}

// checkScene reads one scene. A file that cannot be read becomes a fault of the file as a whole.
func checkScene(file string) (sceneCheck, error) {
	sc, err := scene.Read(file)
	if err != nil {
		c := sceneCheck{file: file}
		var faults *document.Error
		if errors.As(err, &faults) {
			c.faults = faults.Faults
		} else {
			c.faults = []document.Fault{{File: file, Message: err.Error()}}
		}
		return c, err
	}
	return sceneCheck{file: file, scene: sc, warnings: oddities(sc), cautions: cautions("check", sc)}, nil
}

// checkAnswer is what check answers. For people, faults are not repeated here: they go to standard error as the
// command's error.
func checkAnswer(checks []sceneCheck, quiet bool) answer.Answer {
	all := answer.Groups{Key: "scenes"}
	for _, c := range checks {
		one := answer.Group{Parts: fields("scene", c.file, "sound", c.scene != nil)}
		if c.scene == nil {
			one.Parts = append(one.Parts, fields("summary", nil)...)
		} else {
			one.Parts = append(one.Parts, fields("summary", summary(c.scene))...)
		}
		if c.scene != nil && !quiet {
			one.Title = c.file + ": " + titleOr(c.scene.Title)
			one.Parts = append(one.Parts, summaryLines(c.scene)...)
		}
		one.Parts = append(append(one.Parts, faultParts("faults", "", c.faults)[0]), faultParts("warnings", "warning",
			c.warnings)...)
		one.Parts = append(one.Parts, answer.Lines{Key: "cautions", Lead: "caution", List: c.cautions})
		all.List = append(all.List, one)
	}
	return answer.Answer{all}
}
