package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"fathomlux/optics/lightmeter"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/readings"
)

type meterOptions struct {
	common
	sheet              bool
	error, cosineError string
	cold               bool
}

func newMeterCommand(s streams) *cobra.Command {
	var o meterOptions
	c := &cobra.Command{
		Use:   "meter SCENE [READINGS.csv]",
		Short: "fit the scene to the readings of a light meter",
		Long: `Fits the modules' flux and the water's absorption to what a light meter showed in the tank, with 95 %
intervals, leaves out outliers, and writes the scene with the fitted values. With --sheet it writes a sheet to fill in
at the tank.

READINGS.csv has a header such as x_mm,y_mm,plane,lux or x_in,y_in,depth_mm,ppfd_umol_m2_s. The columns sensor and note
may be added; each of several sensors has a factor of its own. A sensor that was calibrated in air shows too little
under water: put air or water into the column calibrated, or its maker's factor into the column immersion; readings are
multiplied by it, by 1.32 where only air is stated. The column face_mm is the height of the sensor's face over the place.

The fitted absorption is one number, added at all wavelengths to that of the kind of water. It needs readings at five
or more places and at two or more depths.`,
		Example: `fathomlux meter scene.yaml readings.csv
fathomlux meter scene.yaml readings.csv --error 5% --cosine-error 4%
fathomlux meter --sheet scene.yaml`,
	}
	o.bind(c)
	o.bindFormat(c)
	bindRatedFlux(c, &o.cold)
	f := c.Flags()
	f.BoolVar(&o.sheet, "sheet", false,
		"write meter-sheet.csv and meter-sheet.txt to fill in: where to measure")
	f.StringVar(&o.error, "error", "3%",
		"standard error of one reading; where the readings scatter more, that scatter is used")
	f.StringVar(&o.cosineError, "cosine-error", "0%",
		"limit of the sensor's cosine error; it widens the intervals and changes no fitted value")
	return command(s, c, &o.given, o.run)
}

func (o *meterOptions) run(ctx context.Context, s streams) error {
	if alone := len(o.args) == 1; alone != o.sheet {
		if alone {
			return errors.New("an argument is missing; for example: fathomlux meter scene.yaml readings.csv")
		}
		return errors.New("--sheet takes a scene alone; for example: fathomlux meter --sheet scene.yaml")
	}
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	look, err := o.look()
	request, errFit := o.resolve()
	if err := errors.Join(err, errFit); err != nil {
		return err
	}
	if o.sheet {
		return o.writeSheet(ctx, s, sc, look)
	}
	return o.fit(ctx, s, sc, request, look)
}

func (o *meterOptions) fit(ctx context.Context, s streams, sc *scene.Scene, request lightmeter.Options,
	look render.Look) error {
	name, t := o.args[1], sc.Tank
	data, err := scene.ReadFile(name)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	file, err := readings.Read(name, data, readings.Place{LengthM: t.LengthM, WidthM: t.WidthM, DepthM: t.Water.DepthM,
		Plane: func(text string) (float64, error) {
			p, err := t.Plane(text)
			return p.DepthM, err
		}})
	if err != nil {
		return err
	}
	fit, fitted, err := lightmeter.Fit(ctx, sc, file.Readings, request)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if file.Unfilled > 0 {
		fit.Notes = append(fit.Notes, finding.RowsUnfilled.Of(finding.Count{N: file.Unfilled, Noun: "row"}))
	}
	files, err := o.files(ctx, sc, fit, fitted, look)
	if err != nil {
		return err
	}
	return o.hand(ctx, s, outcome{command: "meter", scenes: []*scene.Scene{sc}, parts: o.answer(fit, files),
		brief: []string{fit.Verdict.Sentence(look.Units)}, found: fit.Notes, files: files})
}

func (o *meterOptions) resolve() (lightmeter.Options, error) {
	request := lightmeter.Options{Workers: o.cores(), Cold: o.cold}
	var errs [2]error
	request.RelativeError, errs[0] = shareIn("--error", o.error, 0.001, 0.5)
	request.CosineError, errs[1] = shareIn("--cosine-error", o.cosineError, 0, 0.5)
	return request, errors.Join(errs[:]...)
}

// files draws the pictures and writes the readings with their residuals and the fitted scene with the files it names.
func (o *meterOptions) files(ctx context.Context, sc *scene.Scene, fit *result.Fit, fitted *scene.Scene,
	look render.Look) ([]output.File, error) {
	pictures, err := render.Meter(ctx, fit, sc, look, o.cores())
	if err != nil {
		return nil, err
	}
	files, err := rewritten(sc, fitted, "fitted")
	files = append(files, csvFile("residuals.csv", residualTable(fit)))
	return append(files, pictures...), err
}
