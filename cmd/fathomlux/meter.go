package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/lightmeter"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/readings"
	"fathomlux/scene/unit"
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

// answer is what meter answers. Intervals are of 95 % confidence.
func (o *meterOptions) answer(f *result.Fit, files []output.File) answer.Answer {
	percent := func(key, title string, share float64) answer.Figure {
		return answer.Figure{Key: key, Title: title, Unit: "%", Digits: 1, Value: roundTo(100*share, 1e-4)}
	}
	about := unit.Several(len(f.Readings), "reading")
	if f.Outliers > 0 {
		about += fmt.Sprintf(", %d of them left out", f.Outliers)
	}
	return answer.Answer{fields("readings", o.args[1], "files", fileNames(files),
		"new_scene", nameWith(o.scene(), "fitted"), "flux_factor", f.FluxFactor, "light_over_scene", interval(f.Factor),
		"absorption", absorption(f), "no_absorption", f.NoAbsorption.Words(o.system()), "sensors", sensorTable(f)),
		answer.Lines{List: []string{about}}, intervalTable(f),
		percent("residual_standard_deviation_percent", "residual standard deviation of one reading", f.Scatter),
		percent("stated_error_percent", "standard error stated for one reading", f.Stated),
		percent("leave_one_out_percent", "cross-validation error (each reading from the others)", f.LeaveOneOut),
		percent("before_percent", "deviation before the fit", f.Before),
		fields("degrees_of_freedom", f.Dof, "left_out", f.Outliers, "list", residualTable(f)),
		verdictParts(f.Verdict.Sentence(o.system()))}
}

func interval(v result.Interval) answer.Answer {
	return fields("value", v.Value, "low", v.Low, "high", v.High)
}

// absorption is the extra absorption of the water, nothing where it was not fitted.
func absorption(f *result.Fit) any {
	if !f.Absorption {
		return nil
	}
	return fields("extra_absorption_per_m", f.ExtraPerM.Value, "low_per_m", f.ExtraPerM.Low,
		"high_per_m", f.ExtraPerM.High, "was_per_m", f.WasPerM, "at_limit", f.Clearest)
}

// intervalTable is what was fitted, for people.
func intervalTable(f *result.Fit) answer.Table {
	t := answer.Table{In: answer.People, Columns: []answer.Column{{Title: "95 % intervals"}, col("", "value", "", 3),
		col("", "from", "", 3), col("", "to", "", 3)}}
	row := func(name string, v result.Interval, times float64) {
		t.Rows = append(t.Rows, []any{name, v.Value * times, v.Low * times, v.High * times})
	}
	if len(f.Sensors) > 1 {
		for _, one := range f.Sensors {
			row("light relative to the scene, by "+one.Name, one.Factor, 1)
		}
	}
	row("light relative to the scene", f.Factor, 1)
	row("flux_factor of the new scene", f.Factor, f.FluxFactor/f.Factor.Value)
	if f.Absorption {
		row("extra_absorption of the water, 1/m", f.ExtraPerM, 1)
	}
	return t
}

func sensorTable(f *result.Fit) answer.Table {
	return answer.TableOf("", keys("name", "readings", "factor"), f.Sensors, func(s result.SensorFactor) []any {
		return []any{s.Name, s.Readings, interval(s.Factor)}
	})
}

func residualTable(f *result.Fit) answer.Table {
	columns := keys("line", "x_mm", "y_mm", "depth_mm", "sensor", "unit", "measured", "computed_before",
		"computed_fitted", "residual_percent", "studentised", "left_out", "note")
	return answer.TableOf("", columns, f.Readings, func(r result.Measured) []any {
		return []any{r.Line, millimetres(r.XM), millimetres(r.YM), millimetres(r.DepthM), f.Sensors[r.Sensor].Name,
			r.Quantity.Unit(), r.Measured, r.Computed, r.Fitted, roundTo(100*r.Residual, 1e-4),
			roundTo(r.Studentised, 1e-4), r.Outlier, r.Note}
	})
}

func (o *meterOptions) writeSheet(ctx context.Context, s streams, sc *scene.Scene, look render.Look) error {
	sheet, err := lightmeter.Sheet(ctx, sc, o.cores())
	if err != nil {
		return err
	}
	p := sheetPage{sheet: sheet, scene: sc, units: look.Units}
	files := []output.File{csvFile("meter-sheet.csv", p.form()), {Name: "meter-sheet.txt", Data: []byte(p.text())}}
	places := answer.TableOf("places", keys("x_mm", "y_mm", "depth_mm"), p.places(),
		func(at result.SheetPlace) []any {
			return []any{millimetres(at.XM), millimetres(at.YM), millimetres(at.DepthM)}
		})
	brief := answer.Lines{List: []string{fmt.Sprintf(
		"The %d most telling places: %d on the plane %q, and %d depths at one.", len(p.places()), len(sheet.Places), sheet.Plane, len(sheet.Series)), p.promise()}}
	return o.hand(ctx, s, outcome{command: "meter", scenes: []*scene.Scene{sc}, files: files, quiet: answer.Answer{brief},
		parts: answer.Answer{fields("plane", sheet.Plane, "files", fileNames(files), "factor_error", sheet.FactorError,
			"absorption_error_per_m", sheet.PerMError), places, brief}})
}

// promise says how well the fit is going to know what it fits.
func (p sheetPage) promise() string {
	s := p.sheet
	return fmt.Sprintf("With readings good to %s each, the fit will know the light to about %s and the water's "+
		"absorption to %.2g 1/m (standard errors).", percent(s.ReadingError), percent(s.FactorError), s.PerMError)
}

// sheetPage writes a sheet in the units of the caller's ruler.
type sheetPage struct {
	sheet *result.MeterSheet
	scene *scene.Scene
	units style.Units
}

func (p sheetPage) places() []result.SheetPlace { return slices.Concat(p.sheet.Places, p.sheet.Series) }

// rounded is a length in the ruler's unit as people measure it: whole millimetres, twentieths of an inch.
func (p sheetPage) rounded(m float64) float64 {
	step := 1.0
	if p.units == style.US {
		step = 20
	}
	return float64(int(m/p.units.Metres()*step+0.5)) / step
}

// depth is a rounded depth, never below the floor.
func (p sheetPage) depth(m float64) float64 {
	if m >= p.scene.Tank.Water.DepthM {
		return roundTo(m/p.units.Metres(), 1e-3)
	}
	return p.rounded(m)
}

// form is the sheet as a file for the command meter, without its values. Notes say what a row is for.
func (p sheetPage) form() answer.Table {
	u := "_" + p.units.Name()
	t := answer.Table{Columns: keys("x"+u, "y"+u, "depth"+u, result.Of(p.sheet.Quantity, "lux", "ppfd_umol_m2_s"),
		"sensor", "note")}
	for i, at := range p.places() {
		note := "plane"
		if i >= len(p.sheet.Places) {
			note = "depth series"
		}
		t.Rows = append(t.Rows, []any{p.rounded(at.XM), p.rounded(at.YM), p.depth(at.DepthM), nil, "", note})
	}
	return t
}

// text is the sheet as a plain page to print.
func (p sheetPage) text() string {
	u, t := p.units, p.scene.Tank
	var b strings.Builder
	fmt.Fprintf(&b, `%s
Light meter sheet. Tank %s x %s inside, water %s deep.

date ______________  sensor ______________  lights on since ______________

x counts from the inside of the left pane, y from the inside of the front pane, depth from the water surface
down to the sensor's face. Lights on for an hour or more; sensor level, facing up; room dark; pumps off, water
still; hands and arms out of the light. Note the unit if it is not %s. Leave out what cannot be reached.
`, p.scene.Title, u.Length(t.LengthM), u.Length(t.WidthM), u.Length(t.Water.DepthM), p.sheet.Quantity.Unit())
	for _, caution := range (situation{}).at("meter") {
		fmt.Fprintf(&b, "CAUTION: %s; a sensor on a rod keeps hands out of it.\n", caution)
	}
	fmt.Fprintf(&b, "\n%s\n", p.promise())
	p.list(&b, fmt.Sprintf("A. On the plane %q", p.sheet.Plane), p.sheet.Places)
	p.list(&b, "B. Depth series", p.sheet.Series)
	fmt.Fprintf(&b, "\nThen fill in meter-sheet.csv and run: fathomlux meter %s meter-sheet.csv\n", p.scene.File)
	return b.String()
}

// list writes places with blanks to fill in.
func (p sheetPage) list(b *strings.Builder, title string, places []result.SheetPlace) {
	fmt.Fprintf(b, "\n%s\n\n", title)
	in := " " + p.units.Name()
	for _, at := range places {
		fmt.Fprintf(b, "   x %6s%s   y %6s%s   depth %6s%s   ____________\n", number(p.rounded(at.XM)), in,
			number(p.rounded(at.YM)), in, number(p.depth(at.DepthM)), in)
	}
}
