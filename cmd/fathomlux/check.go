package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

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
		Long: "Reads each scene file with all that it names, lists every fault with its place, and for a sound scene\n" +
			"shows what it describes, what is odd in it (warnings) and what can hurt somebody (cautions).\n" +
			"Warnings and cautions leave the exit status at 0, unless --strict is given.\n\n" + exitStatusDoc,
		Example: "  fathomlux check scene.yaml\n  fathomlux check --json foyer.yaml shelf.yaml",
		Args:    needArgs(1, -1, "fathomlux check scene.yaml"),
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
	var b strings.Builder
	if o.json {
		if err := writeCheckJSON(&b, checks); err != nil {
			return err
		}
	} else {
		writeCheckText(&b, checks, o.quiet)
	}
	_, err := io.WriteString(s.Out, b.String())
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

// faultJSON is a fault or a warning; line and column are 1-based, 0 where the whole file is meant.
type faultJSON struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Path    string `json:"path"`
	Message string `json:"message"`
}

// checkJSON is the answer for one scene as JSON. Summary is null where the scene is not sound.
type checkJSON struct {
	Scene    string       `json:"scene"`
	Sound    bool         `json:"sound"`
	Summary  *summaryJSON `json:"summary"`
	Faults   []faultJSON  `json:"faults"`
	Warnings []faultJSON  `json:"warnings"`
	Cautions []string     `json:"cautions"`
}

// writeCheckJSON writes one document for all scenes; lists are never null.
func writeCheckJSON(w io.Writer, checks []sceneCheck) error {
	all := []checkJSON{}
	for _, c := range checks {
		one := checkJSON{Scene: c.file, Sound: c.scene != nil, Faults: faultsJSON(c.faults),
			Warnings: faultsJSON(c.warnings), Cautions: append([]string{}, c.cautions...)}
		if c.scene != nil {
			one.Summary = summarise(c.scene)
		}
		all = append(all, one)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(map[string][]checkJSON{"scenes": all})
}

func faultsJSON(faults []document.Fault) []faultJSON {
	list := []faultJSON{}
	for _, f := range faults {
		list = append(list, faultJSON(f))
	}
	return list
}
