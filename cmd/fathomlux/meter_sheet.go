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
	places := answer.TableOf("places", keys("x_mm", "y_mm", "depth_mm"), reachable(p.places()),
		func(at result.SheetPlace) []any {
			return []any{millimetres(at.XM), millimetres(at.YM), millimetres(at.DepthM)}
		})
	brief := answer.Lines{List: []string{fmt.Sprintf("A grid of %d places on the plane %q, and %d depths at one of them.",
		len(reachable(sheet.Grid)), sheet.Plane, len(sheet.Series))}}
	return o.hand(ctx, s, outcome{command: "meter", scenes: []*scene.Scene{sc}, files: files, quiet: answer.Answer{brief},
		parts: answer.Answer{fields("plane", sheet.Plane, "files", fileNames(files)), places, brief}})
}

// sheetPage writes a sheet in the units of the caller's ruler.
type sheetPage struct {
	sheet *result.MeterSheet
	scene *scene.Scene
	units style.Units
}

func (p sheetPage) places() []result.SheetPlace {
	return slices.Concat(p.sheet.Grid, p.sheet.Series)
}

// reachable returns the places at which a sensor can be held.
func reachable(places []result.SheetPlace) []result.SheetPlace {
	return slices.DeleteFunc(slices.Clone(places), func(p result.SheetPlace) bool { return p.Inside })
}

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
		note := "grid"
		if i >= len(p.sheet.Grid) {
			note = "depth series"
		}
		if !at.Inside {
			t.Rows = append(t.Rows, []any{p.rounded(at.XM), p.rounded(at.YM), p.depth(at.DepthM), nil, "", note})
		}
	}
	return t
}

// text is the sheet as a plain page to print.
func (p sheetPage) text() string {
	u, t, at := p.units, p.scene.Tank, p.sheet.Series[0]
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
	if len(reachable(p.sheet.Grid)) < len(p.sheet.Grid) {
		b.WriteString("A dash stands where an obstacle is.\n")
	}
	fmt.Fprintf(&b, "\nA. Grid on the plane %q, depth %s %s (back rows first, as seen from the front)\n", p.sheet.Plane,
		number(p.depth(p.sheet.Grid[0].DepthM)), u.Name())
	for _, part := range p.grid() {
		b.WriteByte('\n')
		_ = answer.WriteText(&b, answer.Answer{part}) // a builder takes all
	}
	fmt.Fprintf(&b, "\nB. Depth series at x %s %s, y %s %s\n\n", number(p.rounded(at.XM)), u.Name(),
		number(p.rounded(at.YM)), u.Name())
	for _, at := range p.sheet.Series {
		fmt.Fprintf(&b, "   depth %6s %s   ____________\n", number(p.depth(at.DepthM)), u.Name())
	}
	fmt.Fprintf(&b, "\nThen fill in meter-sheet.csv and run: fathomlux meter %s meter-sheet.csv\n", p.scene.File)
	return b.String()
}

// columnsAcross is how many columns of the grid a printed page takes.
const columnsAcross = 8

// grid is the grid as tables of blanks, several where it is wide.
func (p sheetPage) grid() (parts []answer.Table) {
	row, rest := 1, p.sheet.Grid
	for row < len(rest) && rest[row].YM == rest[0].YM {
		row++
	}
	for from := 0; from < row; from += columnsAcross {
		to := min(row, from+columnsAcross)
		t := answer.Table{Columns: []answer.Column{{Title: "y \\ x " + p.units.Name()}}}
		for _, at := range rest[from:to] {
			t.Columns = append(t.Columns, answer.Column{Title: number(p.rounded(at.XM))})
		}
		for start := len(rest) - row; start >= 0; start -= row {
			cells := []any{number(p.rounded(rest[start].YM))}
			for _, at := range rest[start+from : start+to] {
				cells = append(cells, map[bool]string{true: "-", false: "_______"}[at.Inside])
			}
			t.Rows = append(t.Rows, cells)
		}
		parts = append(parts, t)
	}
	return parts
}
