package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/optics"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// common are the options of all commands that compute and draw.
type common struct {
	out         string
	units       string
	scale       float64
	format      string // of pictures, "" for PNG
	workers     int
	json, quiet bool
	requireGoal bool // of the commands that bind it
	inner       bool // whether pictures stand on a page that has titles and figures itself
	given
}

// bindOut adds the flags of every command that writes files.
func (o *common) bindOut(c *cobra.Command) {
	f := c.Flags()
	f.StringVarP(&o.out, "out", "o", "", "folder to write to (default out/ and the scene file's name)")
	o.bindSaying(c)
}

// bindSaying adds the flags that say what is printed.
func (o *common) bindSaying(c *cobra.Command) {
	c.Flags().BoolVar(&o.json, "json", false, "print one JSON document and nothing else on standard output")
	c.Flags().BoolVar(&o.quiet, "quiet", false, "print only the verdict")
}

func (o *common) bind(c *cobra.Command) {
	o.bindOut(c)
	f := c.Flags()
	choose(f, &o.units, "units", "unit of lengths in texts and pictures; CSV and JSON stay in mm", "metric", "us")
	f.Float64Var(&o.scale, "scale", 1, "pixels per point of the pictures, 0.5 to 4")
	bindWorkers(c, &o.workers)
}

func bindWorkers(c *cobra.Command, workers *int) {
	c.Flags().IntVar(workers, "workers", 0, "parallel workers (default one per core); no effect on results")
}

// bindFormat adds the flag of the commands that write pictures as files.
func (o *common) bindFormat(c *cobra.Command) {
	choose(c.Flags(), &o.format, "format", "file format of the pictures", string(style.PNG), string(style.SVG),
		string(style.PDF))
}

func bindRatedFlux(c *cobra.Command, rated *bool) {
	c.Flags().BoolVar(rated, "rated-flux", false, "use the rated flux, at the parts' test temperature, instead of the "+
		"flux at operating temperature")
}

// system is the one that lengths in texts are written in.
func (o common) system() unit.System {
	if o.units == "us" {
		return unit.US
	}
	return unit.Metric
}

func (o common) look() (render.Look, error) {
	look := render.Look{Format: style.Format(cmp.Or(o.format, string(style.PNG))), PixelFactor: o.scale, Call: o.call,
		Version: programVersion(), Units: o.system(), Inner: o.inner}
	return look, errors.Join(inRange("--workers", o.workers, 0, maxWorkers), inRange("--scale", o.scale, 0.5, 4))
}

// maxWorkers is the highest number of goroutines: more than machines have cores, and each takes memory.
const maxWorkers = 256

func (o common) cores() int {
	if o.workers > 0 {
		return o.workers
	}
	return min(maxWorkers, runtime.GOMAXPROCS(0))
}

// dir is the folder to write to for a scene file.
func (o common) dir(scene string) string {
	if o.out != "" {
		return o.out
	}
	return filepath.Join(usualOut, sceneName(scene))
}

// usualOut is the folder below which output goes where --out is not given.
const usualOut = "out"

// sceneName is a scene file's name without its ending, as the name of a folder.
func sceneName(scene string) string {
	name := strings.TrimSuffix(filepath.Base(scene), filepath.Ext(scene))
	if strings.Trim(name, ". ") == "" { // "...yaml" would mean the folder above
		return "scene"
	}
	return name
}

func needsGoal(required bool, sc *scene.Scene) error {
	if required && !sc.Goal.Set() {
		return fmt.Errorf("%s: --require-goal needs a goal in the scene; add goal: {plane: floor, illuminance: 2500 lx}",
			sc.File)
	}
	return nil
}

// engineOptions choose how light is computed, as the caller wrote them.
type engineOptions struct {
	engine  string
	seed    uint64
	photons int64
	err     string
	flags   *pflag.FlagSet // tells a zero that was given from none
}

func (o *engineOptions) bind(c *cobra.Command) {
	f := c.Flags()
	o.flags = f
	choose(f, &o.engine, "engine", "full: all light, as in the other commands; to check it: traced, all light by "+
		"tracing photons; straight, only light that is neither reflected diffusely nor scattered back",
		optics.Engines()...)
	f.Uint64Var(&o.seed, "seed", 1,
		"random seed of the photons; a seed gives the same bytes with any number of workers")
	f.Int64Var(&o.photons, "photons", 0, "photons for traced (default as many as --error needs)")
	f.StringVar(&o.err, "error", "", "trace until the standard error of a cell is this share of the plane's mean, "+
		"such as \"0.5 %\" (default 5 %)")
}

// resolve checks the flags and writes them into the request; a command that does not bind them takes what is usual.
func (o engineOptions) resolve(request *optics.Options) error {
	if o.flags == nil {
		return nil
	}
	request.Engine, request.Seed, request.Photons = optics.Engine(o.engine), o.seed, o.photons
	if o.engine != string(optics.Traced) && (o.photons != 0 || o.err != "") {
		return fmt.Errorf("--photons and --error are for the engine traced")
	}
	var errs [2]error
	switch {
	case o.photons < 0, o.photons == 0 && o.flags.Changed("photons"):
		errs[0] = fmt.Errorf("--photons: %d is not between 1 and %d", o.photons, int64(optics.MaxPhotons))
	case o.photons > optics.MaxPhotons:
		errs[0] = fmt.Errorf("--photons: %d photons, more than the limit of %d; use fewer", o.photons,
			int64(optics.MaxPhotons))
	}
	if o.err != "" {
		request.Error, errs[1] = shareIn("--error", o.err, 1e-5, 1)
	}
	return errors.Join(errs[:]...)
}

// choice is a flag whose text is one of some words.
type choice struct {
	text  *string
	words []string
}

// choose adds such a flag; the first of the words is what it is unless told.
func choose(f *pflag.FlagSet, text *string, name, usage string, words ...string) {
	*text = words[0]
	f.Var(choice{text, words}, name, usage)
}

func (c choice) String() string { return *c.text }

// Type stands in help, behind the flag's name.
func (c choice) Type() string { return strings.Join(c.words, "|") }

func (c choice) Set(text string) error {
	*c.text = strings.ToLower(text)
	return oneOf("", *c.text, c.words...) // flagError names the flag
}

// oneOf refuses the text of a flag that is none of the words, with the word that may have been meant.
func oneOf(flag, text string, words ...string) error {
	if slices.Contains(words, text) {
		return nil
	}
	hint := ""
	if near := document.Suggest(text, words); near != "" {
		hint = "; did you mean " + near + "?"
	}
	is := "not one of " + strings.Join(words, ", ")
	if len(words) == 2 {
		is = "neither " + words[0] + " nor " + words[1]
	}
	return fmt.Errorf("%s: %.20q is %s%s", flag, text, is, hint)
}

// inRange refuses the number of a flag that is not between two others.
func inRange[T int | int64 | float64](flag string, v, low, high T) error {
	if v >= low && v <= high {
		return nil
	}
	return fmt.Errorf("%s: %v is not between %v and %v", flag, v, low, high)
}

// quantityIn reads the quantity of a flag, in SI units.
func quantityIn(flag, text string, d *unit.Dimension, low, high float64) (float64, error) {
	v, err := d.Parse(text)
	if err == nil && !(v >= low && v <= high) {
		err = fmt.Errorf("%s is not between %s and %s", text, d.Say(low), d.Say(high))
	}
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	return v, nil
}

// shareIn reads the share of a flag, as "5 %" or 0.05.
func shareIn(flag, text string, low, high float64) (float64, error) {
	text = strings.TrimSpace(text)
	v, rest, err := unit.Split(text)
	switch {
	case err != nil || rest != "%" && rest != "":
		return 0, fmt.Errorf("%s: %.20q is not a share; write it as in \"5 %%\" or 0.05", flag, text)
	case rest == "%":
		v /= 100
	case v > high && v/100 >= low && v/100 <= high:
		return 0, fmt.Errorf("%s: %.20s is %g %%, which is not between %g and %g %%; did you mean %.20s %%?", flag, text,
			100*v, 100*low, 100*high, text)
	}
	if !(v >= low && v <= high) {
		return 0, fmt.Errorf("%s: %.20s is not between %g and %g %%", flag, text, 100*low, 100*high)
	}
	return v, nil
}

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
