package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics/lightmeter"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/render/style"
	"fathomlux/scene"
)

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
	brief := answer.Lines{List: []string{fmt.Sprintf("The %d most telling places: %d on the plane %q, and %d depths at one.",
		len(p.places()), len(sheet.Places), sheet.Plane, len(sheet.Series)), p.promise()}}
	return o.hand(ctx, s, outcome{command: "meter", scenes: []*scene.Scene{sc}, files: files, quiet: answer.Answer{brief},
		parts: answer.Answer{fields("plane", sheet.Plane, "files", fileNames(files), "factor_error", sheet.FactorError,
			"absorption_error_per_m", sheet.PerMError), places, brief}})
}

// promise says how well the fit is going to know what it fits.
func (p sheetPage) promise() string {
	s := p.sheet
	return fmt.Sprintf("With readings good to %s each, the fit will know the light to about %s and the water's absorption "+
		"to %.2g 1/m (standard errors).", percent(s.ReadingError), percent(s.FactorError), s.PerMError)
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
