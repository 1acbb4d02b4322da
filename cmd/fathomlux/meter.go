package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/lightmeter"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/readings"
	"fathomlux/scene/unit"
)

// meterOptions are the options of the command meter, as the caller wrote them.
type meterOptions struct {
	common
	scene, readings    string
	sheet              bool
	error, cosineError string
	cold               bool
	engine             string
	seed               uint64
}

const meterCall = "fathomlux meter scene.yaml readings.csv"

func newMeterCommand(s streams, run func(context.Context, streams, meterOptions) error) *cobra.Command {
	var o meterOptions
	c := &cobra.Command{
		Use:   "meter SCENE [READINGS.csv]",
		Short: "fit the scene to the readings of a light meter",
		Long: "Fits the modules' flux and the water's clarity to what a light meter showed in the tank, with 95 % intervals, names\n" +
			"wild readings, and writes the scene with the fitted values. READINGS.csv has a header such as\n" +
			"x_mm,y_mm,plane,lux or x_in,y_in,depth_mm,ppfd_umol_m2_s; columns sensor and note may be added, and several\n" +
			"sensors have a factor each. --sheet writes a sheet to fill in at the tank.\n" +
			"Clarity is one number, an extra absorption that is the same at all wavelengths; it needs readings at five places, at two depths or more.",
		Example: meterCall + "\n  fathomlux meter scene.yaml readings.csv --error 5% --cosine-error 4%\n  fathomlux meter --sheet scene.yaml",
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			switch {
			case o.sheet && len(args) == 2:
				return fmt.Errorf("--sheet takes a scene alone; a right call is: fathomlux meter --sheet scene.yaml")
			case !o.sheet && len(args) == 1:
				return fmt.Errorf("an argument is missing; a right call is: %s", meterCall)
			case len(args) == 2:
				o.readings = args[1]
			}
			return run(c.Context(), s, o)
		},
	}
	o.bind(c)
	o.bindFormat(c)
	bindCold(c, &o.cold)
	f := c.Flags()
	f.BoolVar(&o.sheet, "sheet", false, "write meter-sheet.csv and meter-sheet.txt: where to measure, to be filled in")
	f.StringVar(&o.engine, "engine", string(optics.Full), "full: also what floor, walls and particles throw back; direct: straight light alone, faster, for dark tanks and clear water")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the traced photons of the engine full")
	f.StringVar(&o.error, "error", "3%", "standard error of one reading; a larger scatter of the readings counts instead")
	f.StringVar(&o.cosineError, "cosine-error", "0%", "limit of the sensor's cosine error: it widens the intervals and moves no value")
	return c
}

func runMeter(ctx context.Context, s streams, o meterOptions) error {
	sc, err := scene.Read(o.scene)
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	if o.sheet {
		return runSheet(ctx, s, o, sc, look)
	}
	wish, err := o.resolve()
	if err != nil {
		return err
	}
	file, err := readReadings(o.readings, sc.Tank)
	if err != nil {
		return err
	}
	answer, fitted, err := lightmeter.Fit(ctx, sc, file.Readings, wish)
	if err != nil {
		return fmt.Errorf("%s: %w", o.readings, err)
	}
	if file.Unfilled > 0 {
		answer.Notes = append(answer.Notes, fmt.Sprintf("%s without a value left out", several(file.Unfilled, "row")))
	}
	files, err := meterFiles(ctx, o, meterAnswer{fit: answer, scene: sc, fitted: fitted}, look)
	if err != nil {
		return err
	}
	dir := o.dir(o.scene)
	told := meterAnswer{fit: answer, scene: sc, fitted: fitted, dir: dir, files: files}
	return o.deliver(ctx, s, dir, files, func(s streams) error { return printMeter(s, o, told) })
}

// resolve turns the flags' texts into what the fit takes.
func (o meterOptions) resolve() (lightmeter.Options, error) {
	wish := lightmeter.Options{Workers: o.cores(), Cold: o.cold, Engine: optics.Engine(o.engine), Seed: o.seed}
	var err error
	if o.engine != string(optics.Full) && o.engine != string(optics.Direct) {
		return wish, fmt.Errorf("--engine: %.20q does not serve here; give full or direct", o.engine)
	}
	if wish.RelativeError, err = shareBetween("--error", o.error, 0.001, 0.5); err != nil {
		return wish, err
	}
	wish.CosineError, err = shareBetween("--cosine-error", o.cosineError, 0, 0.5)
	return wish, err
}

// shareBetween reads "5%" or 0.05.
func shareBetween(flag, text string, low, high float64) (float64, error) {
	text = strings.TrimSpace(text)
	v, rest, err := unit.Split(text)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	if rest == "%" {
		v /= 100
	} else if rest != "" {
		return 0, fmt.Errorf("%s: %.20q is no share; write it as in 5%% or 0.05", flag, text)
	}
	if rest == "" && v > high && v/100 >= low && v/100 <= high {
		return 0, fmt.Errorf("%s: %.20s is %g%%, which is not between %g%% and %g%%; did you mean %.20s%%?", flag, text, 100*v, 100*low, 100*high, text)
	}
	if !(v >= low && v <= high) {
		return 0, fmt.Errorf("%s: %.20s is not between %g%% and %g%%", flag, text, 100*low, 100*high)
	}
	return v, nil
}

// readReadings reads a file of readings for a tank.
func readReadings(name string, t scene.Tank) (*readings.File, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file", name)
	case err != nil:
		return nil, fmt.Errorf("%s: cannot be read", name)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s: is no file that can be read whole, but a folder, a device or a pipe; give a CSV file whose header is such as x_mm,y_mm,plane,lux", name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read", name)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, readings.MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read", name)
	}
	return readings.Read(name, data, readings.Place{LengthM: t.LengthM, WidthM: t.WidthM, DepthM: t.Water.DepthM, Plane: func(text string) (float64, error) {
		p, err := t.Plane(text)
		return p.DepthM, err
	}})
}

// meterAnswer is what meter prints about.
type meterAnswer struct {
	fit           *result.Fit
	scene, fitted *scene.Scene
	dir           string
	files         []output.File
}

// meterFiles draws the pictures and writes the readings with their residuals and the fitted scene with the files it names.
func meterFiles(ctx context.Context, o meterOptions, a meterAnswer, look render.Look) ([]output.File, error) {
	pictures, err := render.Meter(ctx, a.fit, a.scene, look, o.cores())
	if err != nil {
		return nil, err
	}
	text, err := edit.RewriteFitted(a.fitted)
	if err != nil {
		return nil, err
	}
	files := []output.File{bytesFile(fittedName(o.scene), text), bytesFile("residuals.csv", residualTable(a.fit))}
	for _, p := range pictures {
		files = append(files, bytesFile(p.Name, p.Data))
	}
	for _, f := range a.scene.Files() {
		if f.Name != filepath.Base(f.Name) {
			return nil, fmt.Errorf("%s names %s in a folder; put it beside the scene, so that the new scene can have it beside itself", o.scene, f.Name)
		}
		files = append(files, bytesFile(f.Name, f.Content))
	}
	return files, nil
}

func fittedName(file string) string {
	ext := filepath.Ext(file)
	return strings.TrimSuffix(filepath.Base(file), ext) + "-fitted" + ext
}

// residualTable writes the readings with what was computed for them.
func residualTable(f *result.Fit) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "line,x_mm,y_mm,depth_mm,sensor,unit,measured,computed_before,computed_fitted,residual_percent,studentised,left_out")
	for _, r := range f.Readings {
		unit := "lx"
		if r.Photons {
			unit = "umol/m2/s"
		}
		fmt.Fprintf(&b, "%d,%s,%s,%s,%s,%s,%s,%s,%s,%.2f,%.2f,%t\n", r.Line, number(millimetres(r.XM)), number(millimetres(r.YM)), number(millimetres(r.DepthM)),
			csvWord(f.Sensors[r.Sensor].Name), unit, g7(r.Measured), g7(r.Computed), g7(r.Fitted), 100*r.Residual, r.Studentised, r.Outlier)
	}
	return b.Bytes()
}
