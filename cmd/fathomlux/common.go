package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render"
	"fathomlux/render/style"
	"fathomlux/scene"
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
	given
}

// bindOut adds the flags of every command that writes files.
func (o *common) bindOut(c *cobra.Command) {
	f := c.Flags()
	f.StringVarP(&o.out, "out", "o", "", "folder for what is written (default out/ and the name of the scene file)")
	o.bindSaying(c)
}

// bindSaying adds the flags that say what is printed.
func (o *common) bindSaying(c *cobra.Command) {
	c.Flags().BoolVar(&o.json, "json", false, "print one JSON document on standard output and nothing else there")
	c.Flags().BoolVar(&o.quiet, "quiet", false, "print only the verdict")
}

// bind adds the common flags to a command.
func (o *common) bind(c *cobra.Command) {
	o.bindOut(c)
	f := c.Flags()
	f.StringVar(&o.units, "units", "metric", "lengths in texts and pictures, metric or us; CSV and JSON stay in mm")
	f.Float64Var(&o.scale, "scale", 1, "pixels per point of the pictures, 0.5 to 4")
	f.IntVar(&o.workers, "workers", 0, "parallel workers (default one per core); never changes a result")
}

// bindFormat adds the flag of the commands that write pictures as files.
func (o *common) bindFormat(c *cobra.Command) {
	c.Flags().StringVar(&o.format, "format", string(style.PNG), "file format of the pictures: png, svg or pdf")
}

// bindCold adds the flag that asks for the rated flux.
func bindCold(c *cobra.Command, cold *bool) {
	c.Flags().BoolVar(cold, "cold", false, "rated flux, at the test temperature of the parts' tables, instead of the "+
		"flux at operating temperature")
}

// system is the one that lengths in texts are written in; look refuses any other.
func (o common) system() unit.System {
	if o.units == "us" {
		return unit.US
	}
	return unit.Metric
}

// look turns the flags' texts into what pictures take.
func (o common) look() (render.Look, error) {
	look := render.Look{Format: style.Format(cmp.Or(o.format, string(style.PNG))), PixelFactor: o.scale, Call: o.call,
		Version: programVersion(), Units: o.system()}
	if err := oneOf("--units", o.units, "metric", "us"); err != nil {
		return look, err
	}
	if err := oneOf("--format", string(look.Format), "png", "svg", "pdf"); err != nil {
		return look, err
	}
	if err := checkWorkers(o.workers); err != nil {
		return look, err
	}
	if !(o.scale >= 0.5 && o.scale <= 4) {
		return look, fmt.Errorf("--scale: %g is not between 0.5 and 4", o.scale)
	}
	return look, nil
}

// maxWorkers is the highest number of goroutines: more than machines have cores, and each takes memory.
const maxWorkers = 256

func checkWorkers(n int) error {
	if n < 0 || n > maxWorkers {
		return fmt.Errorf("--workers: %d is not between 0 and the limit of %d", n, maxWorkers)
	}
	return nil
}

// cores is the number of goroutines to compute with.
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

// needsGoal refuses --require-goal for a scene without a goal.
func needsGoal(required bool, sc *scene.Scene) error {
	if required && !sc.Goal.Set() {
		return fmt.Errorf("%s: --require-goal needs a goal in the scene; add goal: {plane: floor, illuminance: 2500 lx}",
			sc.File)
	}
	return nil
}
