package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// checkOptions are the options of the command check.
type checkOptions struct {
	common
	strict bool
}

func newCheckCommand(s streams) *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check SCENE...",
		Short: "list the faults of scenes, and warn of what is unusual in them",
		Long: `Reads each scene file with everything it names and lists every fault with its place. For a sound scene it shows
what the file describes, what is unusual in it (warnings) and what can hurt somebody (cautions). Warnings and cautions
leave the exit status at 0, unless --strict is given.`,
		Example: "fathomlux check scene.yaml\nfathomlux check --json foyer.yaml shelf.yaml",
	}
	o.bindSaying(c)
	c.Flags().Lookup("quiet").Usage = "leave out the summary; show only faults, warnings and cautions"
	c.Flags().BoolVar(&o.strict, "strict", false, "exit with status 2 where a scene has warnings")
	return command(s, c, &o.given, o.run)
}

// run reads all scenes, prints what they are, and returns all their faults in one error.
func (o *checkOptions) run(_ context.Context, s streams) error {
	whole, brief := answer.Groups{Key: "scenes"}, answer.Groups{}
	var errs []error
	for _, file := range o.args {
		sc, err := scene.Read(file)
		errs = append(errs, err)
		if sc != nil && o.strict && len(warningsOf(sc)) > 0 {
			errs = append(errs, fmt.Errorf("%s: %s, and --strict was given", file, unit.Several(len(warningsOf(sc)), "warning")))
		}
		found := findingParts(file, sc, err)
		brief.List = append(brief.List, answer.Group{Parts: found})
		whole.List = append(whole.List, checkGroup(file, sc, found))
	}
	err := o.say(s.Out, answer.Answer{whole}, answer.Answer{brief})
	return errors.Join(append(errs, err)...)
}

// checkGroup is what check answers about one file; the scene is nil where the file is not sound.
func checkGroup(file string, sc *scene.Scene, found answer.Answer) answer.Group {
	if sc == nil {
		return answer.Group{Parts: answer.Answer{fields("scene", file, "sound", false, "summary", nil), found}}
	}
	return answer.Group{Title: file + ": " + titleOr(sc.Title), Parts: answer.Answer{fields("scene", file, "sound", true),
		summary(sc), found}}
}

// findingParts are faults, warnings and cautions of a file. A file that cannot be read is a fault of the file as a
// whole. For people, faults are not repeated here: they go to standard error as the command's error.
func findingParts(file string, sc *scene.Scene, err error) answer.Answer {
	var found []finding.Finding
	var said []string
	t := answer.Table{Key: "faults", In: answer.JSON, Columns: keys("file", "line", "column", "path", "message")}
	switch several, is := errors.AsType[*document.Error](err); {
	case is:
		for _, f := range several.Faults {
			t.Rows = append(t.Rows, []any{f.File, f.Line, f.Column, f.Path, f.Message})
		}
	case err != nil:
		t.Rows = [][]any{{file, 0, 0, "", err.Error()}}
	default:
		found, said = warningsOf(sc), unwired(unit.Metric, sc)[0].at("check")
	}
	return answer.Answer{t, foundParts(found, unit.Metric), answer.Lines{Key: "cautions", Lead: "caution", List: said}}
}
