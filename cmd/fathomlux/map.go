package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/tolerance"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// mapOptions are the options of the command map, as the caller wrote them.
type mapOptions struct {
	common
	engineOptions
	scene       string
	planes      []string
	step        string
	grid        string
	without     []string
	maintenance float64
	requireGoal bool
	cold        bool
	tolerance   bool
	preview     bool
	watch       bool
}

func newMapCommand(s streams, run func(context.Context, streams, mapOptions) error) *cobra.Command {
	var o mapOptions
	c := &cobra.Command{
		Use:   "map SCENE",
		Short: "show where the light lands, how evenly, and which corners are dark",
		Long: "Computes the light on horizontal planes in the water and writes a heat map and a grid (CSV) of each, two slices\n" +
			"through the water, and a summary that says in one sentence what is wrong with the light, if anything.\n" +
			"Light is planar illuminance (lx) and PPFD (umol/m2/s) of all that comes down through a plane: bent at cover and surface,\n" +
			"weakened and scattered by the water, mirrored by the glass, thrown back by floor and painted walls; flux is that of junctions as warm as they get on their rail (see heat).\n" +
			"Ctrl-C while photons are traced ends the tracing: the map of what was traced is written. A second Ctrl-C ends at once.",
		Example: "  fathomlux map scene.yaml\n  fathomlux map scene.yaml --plane floor --plane \"200 mm\" --step \"10 mm\"\n  fathomlux map scene.yaml --json --require-goal\n  fathomlux map scene.yaml --watch --preview",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene = args[0]
			o.call = callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.common.bind(c)
	o.bindFormat(c)
	o.engineOptions.bind(c)
	bindCold(c, &o.cold)
	f := c.Flags()
	f.StringArrayVar(&o.planes, "plane", nil, "plane to compute: surface, mid, floor or a depth such as \"200 mm\"; may be repeated (default all three)")
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"5 mm\" (default by the tank's size)")
	f.StringVar(&o.grid, "grid", "fine", "fine, or standard for the measurement grid of the lighting standards (EN 12464-1)")
	f.StringArrayVar(&o.without, "without", nil, "dead modules, as a rail and numbers on it: main:3, main:2,5 or main:1-3, or whole strings: string:2; may be repeated")
	f.Float64Var(&o.maintenance, "maintenance", 1, "light-loss factor of aged modules and dusty panes, above 0 up to 1: the goal is judged with it")
	f.BoolVar(&o.tolerance, "tolerance", false, "also say how far the light may be off when the tank is built within the scene's tolerances")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal is not met")
	f.BoolVar(&o.preview, "preview", false, "draw the goal's plane in the terminal too")
	f.BoolVar(&o.watch, "watch", false, "do it again whenever the scene or a file that it names is saved; Ctrl-C ends")
	return c
}

// runMap maps once, or again and again.
func runMap(ctx context.Context, s streams, o mapOptions) error {
	if o.json && (o.watch || o.preview) {
		return errors.New("--json prints one document and nothing else; take out --watch and --preview, or --json")
	}
	if !o.watch {
		return mapOnce(ctx, s, o)
	}
	if _, err := o.look(); err != nil {
		return err
	}
	return watchScene(ctx, s, o.scene, func(ctx context.Context) error { return mapOnce(ctx, s, o) })
}

// mapOnce reads the scene, computes, writes all files at once and prints the answer.
func mapOnce(ctx context.Context, s streams, o mapOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	if err := needsGoal(o.requireGoal, sc); err != nil {
		return err
	}
	if sc, err = edit.Without(sc, o.without...); err != nil {
		return fmt.Errorf("--without: %w", err)
	}
	wish, look, err := o.resolve(sc)
	if err != nil {
		return err
	}
	if !o.watch { // a watch that ends leaves the last map whole
		wish.KeepTraced = func(tracing bool) { keepsWhatIsDone(ctx, tracing) }
	}
	bar := progress(s, o.common, "photons")
	wish.Progress = bar.predict(s, o.common, time.Now)
	answer, err := optics.Map(ctx, sc, wish)
	bar.close()
	if err != nil {
		return err
	}
	if interruptedTracing(answer) {
		ctx = context.WithoutCancel(ctx) // what was traced is drawn and written
	}
	var spread *result.Tolerance
	if o.tolerance {
		if spread, err = tolerance.Compute(ctx, sc, answer, wish); err != nil {
			return err
		}
	}
	dir := o.dir(o.scene)
	files, err := mapFiles(ctx, answer, sc, look, wish.Workers)
	if err != nil {
		return err
	}
	err = o.deliver(ctx, s, dir, files, func(s streams) error {
		if o.preview {
			if err := printPreview(screenOf(s.Out), answer, sc, look.Units); err != nil {
				return err
			}
		}
		return printMap(s, o, mapPrint{units: o.system(), ending: "." + o.format, answer: answer, scene: sc, dir: dir, files: files, tolerance: spread})
	})
	if err != nil {
		return err
	}
	if interruptedTracing(answer) {
		return fmt.Errorf("interrupted after %d photons; what was traced is kept", answer.Tracing.Photons)
	}
	if o.requireGoal && !answer.Goal.Met {
		return fmt.Errorf("%w: %s", errGoalNotMet, strings.Join(answer.Goal.Missing, "; "))
	}
	return nil
}

// interruptedTracing tells whether Ctrl-C ended the tracing.
func interruptedTracing(m *result.Map) bool { return m.Tracing != nil && m.Tracing.Interrupted }

// resolve turns the flags' texts into what the engine and the pictures take.
func (o mapOptions) resolve(sc *scene.Scene) (optics.Options, render.Look, error) {
	wish := optics.Options{Sections: true, Workers: o.cores(), Units: o.system(), Maintenance: o.maintenance, Cold: o.cold, CellBytes: gridCellBytes}
	look, err := o.look()
	if err != nil {
		return wish, look, err
	}
	if err := o.engineOptions.resolve(&wish); err != nil {
		return wish, look, err
	}
	if !(o.maintenance > 0 && o.maintenance <= 1) {
		return wish, look, fmt.Errorf("--maintenance: %g is not above 0 and up to 1", o.maintenance)
	}
	for _, text := range o.planes {
		p, err := sc.Tank.Plane(text)
		if err != nil {
			return wish, look, fmt.Errorf("--plane: %w", err)
		}
		for _, q := range wish.Planes {
			if math.Abs(q.DepthM-p.DepthM) < 1e-9 {
				return wish, look, fmt.Errorf("--plane: %s and %s are one plane, %s below the surface; give it once", q.Name, p.Name, unit.Length.Say(p.DepthM))
			}
		}
		wish.Planes = append(wish.Planes, p)
	}
	if wish.StepM, err = parseStep(o.step, sc.Tank); err != nil {
		return wish, look, err
	}
	switch o.grid {
	case "fine":
	case "standard":
		wish.Standard = true
	default:
		return wish, look, fmt.Errorf("--grid: %q is neither fine nor standard", o.grid)
	}
	return wish, look, nil
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
		return 0, fmt.Errorf("--step: %s is not between 0.5 mm and %s, the tank's shorter side", text, unit.Length.Say(shorter))
	}
	if err := optics.CheckStep(t, m); err != nil {
		return 0, fmt.Errorf("--step: %w", err)
	}
	return m, nil
}

// mapFiles draws all pictures and writes all grids, in memory.
func mapFiles(ctx context.Context, answer *result.Map, sc *scene.Scene, look render.Look, workers int) ([]output.File, error) {
	pictures, err := render.Map(ctx, answer, sc, look, workers)
	if err != nil {
		return nil, err
	}
	var files []output.File
	for i := range answer.Planes {
		var b bytes.Buffer
		if err := writeGrid(&b, answer.Planes[i].Field); err != nil {
			return nil, err
		}
		files = append(files, bytesFile(fileName(answer.Planes[i].Name)+".csv", b.Bytes()))
	}
	for _, p := range pictures {
		files = append(files, bytesFile(p.Name, p.Data))
	}
	return files, nil
}

func bytesFile(name string, content []byte) output.File {
	return output.File{Name: name, Write: func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	}}
}

// fileName is the name of a plane's files without their ending: "floor", or "depth-200mm" for a plane at "200 mm".
func fileName(plane string) string { return render.PlaneFileName(plane) }
