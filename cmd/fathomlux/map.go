package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// mapOptions are the options of the command map, as the caller wrote them.
type mapOptions struct {
	scene       string
	out         string
	planes      []string
	step        string
	grid        string
	units       string
	scale       float64
	workers     int
	json, quiet bool
	requireGoal bool
	call        string // the call as a caption for pictures
}

func newMapCommand(s streams, run func(context.Context, streams, mapOptions) error) *cobra.Command {
	var o mapOptions
	c := &cobra.Command{
		Use:   "map SCENE",
		Short: "show where the light lands, how evenly, and which corners are dark",
		Long: "Computes the light on horizontal planes in the water and writes a heat map and a grid (CSV) of each, two slices\n" +
			"through the water, and a summary that says in one sentence what is wrong with the light, if anything.\n" +
			"Light is planar illuminance (lx) and PPFD (umol/m2/s) of what comes straight down, bent at cover and surface,\n" +
			"weakened by the water, mirrored by the walls; flux is that of the parts' tables (cold junctions).\n\n" + exitStatusGoalDoc,
		Example: "  fathomlux map scene.yaml\n  fathomlux map scene.yaml --plane floor --plane \"200 mm\" --step \"10 mm\"\n  fathomlux map scene.yaml --json --require-goal",
		Args:    needArgs(1, 1, "fathomlux map scene.yaml"),
		RunE: func(c *cobra.Command, args []string) error {
			o.scene = args[0]
			o.call = callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	f := c.Flags()
	f.StringVarP(&o.out, "out", "o", "", "folder for pictures and grids (default out/<scene file's name>)")
	f.StringArrayVar(&o.planes, "plane", nil, "plane to compute: surface, mid, floor or a depth such as \"200 mm\"; may be repeated (default all three)")
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"5 mm\" (default by the tank's size)")
	f.StringVar(&o.grid, "grid", "fine", "fine, or standard for the measurement grid of the lighting standards (EN 12464-1)")
	f.StringVar(&o.units, "units", "metric", "rulers and figures in metric or us units")
	f.Float64Var(&o.scale, "scale", 1, "pixels per point of the pictures, 0.5 to 4")
	f.IntVar(&o.workers, "workers", 0, "goroutines that compute (default one a core); never changes a result")
	f.BoolVar(&o.json, "json", false, "print one JSON document on standard output and nothing else there")
	f.BoolVar(&o.quiet, "quiet", false, "print the verdict alone")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal is not met")
	return c
}

// callText is the call as it stands in a picture's notes.
func callText(c *cobra.Command, args []string) string {
	return strings.Join(append([]string{c.CommandPath()}, args...), " ")
}

// runMap reads the scene, computes, writes all files at once and prints the answer.
func runMap(ctx context.Context, s streams, o mapOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	wish, look, err := o.resolve(sc)
	if err != nil {
		return err
	}
	answer, err := optics.Map(ctx, sc, wish)
	if err != nil {
		return err
	}
	dir := o.out
	if dir == "" {
		dir = filepath.Join("out", strings.TrimSuffix(filepath.Base(o.scene), filepath.Ext(o.scene)))
	}
	files, err := mapFiles(ctx, answer, sc, look, wish.Workers)
	if err != nil {
		return err
	}
	if err := style.WriteSet(dir, files); err != nil {
		return err
	}
	if err := printMap(s, o, mapPrint{answer: answer, scene: sc, dir: dir, files: files}); err != nil {
		return err
	}
	if o.requireGoal && answer.Goal.Asked && !answer.Goal.Met {
		return fmt.Errorf("%w: %s", errGoalNotMet, strings.Join(answer.Goal.Missing, "; "))
	}
	if o.requireGoal && !answer.Goal.Asked {
		return fmt.Errorf("%s: --require-goal needs a goal in the scene; add goal: {plane: floor, illuminance: 2500 lx}", o.scene)
	}
	return nil
}

// resolve turns the flags' texts into what the engine and the pictures take.
func (o mapOptions) resolve(sc *scene.Scene) (optics.Options, render.Look, error) {
	wish := optics.Options{Sections: true, Workers: o.workers}
	look := render.Look{PixelFactor: o.scale, Call: o.call, Version: programVersion()}
	if wish.Workers <= 0 {
		wish.Workers = runtime.GOMAXPROCS(0)
	}
	for _, text := range o.planes {
		p, err := sc.Tank.Plane(text)
		if err != nil {
			return wish, look, fmt.Errorf("--plane: %w", err)
		}
		wish.Planes = append(wish.Planes, p)
	}
	if o.step != "" {
		m, err := unit.Length.Parse(o.step)
		if err != nil {
			return wish, look, fmt.Errorf("--step: %w", err)
		}
		if m < 0.0005 || m > sc.Tank.WidthM || m > sc.Tank.LengthM {
			return wish, look, fmt.Errorf("--step: %s is not between 0.5 mm and the tank's shorter side", o.step)
		}
		wish.StepM = m
	}
	switch o.grid {
	case "fine":
	case "standard":
		wish.Standard = true
	default:
		return wish, look, fmt.Errorf("--grid: %q is neither fine nor standard", o.grid)
	}
	switch o.units {
	case "metric":
	case "us":
		look.Units = style.US
	default:
		return wish, look, fmt.Errorf("--units: %q is neither metric nor us", o.units)
	}
	if !(o.scale >= 0.5 && o.scale <= 4) {
		return wish, look, fmt.Errorf("--scale: %g is not between 0.5 and 4", o.scale)
	}
	return wish, look, nil
}

// mapFiles draws all pictures and writes all grids, in memory.
func mapFiles(ctx context.Context, answer *result.Map, sc *scene.Scene, look render.Look, workers int) ([]style.File, error) {
	pictures, err := render.Map(ctx, answer, sc, look, workers)
	if err != nil {
		return nil, err
	}
	var files []style.File
	for i := range answer.Planes {
		var b bytes.Buffer
		if err := writeGrid(&b, answer.Planes[i].Field); err != nil {
			return nil, err
		}
		files = append(files, bytesFile(fileName(answer.Planes[i].Name)+".csv", b.Bytes()))
	}
	for _, p := range pictures {
		files = append(files, bytesFile(p.Name, p.PNG))
	}
	return files, nil
}

func bytesFile(name string, content []byte) style.File {
	return style.File{Name: name, Write: func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	}}
}

// fileName is the name of a plane's files without their ending: "floor", or "depth-200mm" for a plane at "200 mm".
func fileName(plane string) string { return render.PlaneFileName(plane) }
