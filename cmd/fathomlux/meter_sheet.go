package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"fathomlux/optics/lightmeter"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// sheetJSON is the answer of meter --sheet as JSON.
type sheetJSON struct {
	Scene  string           `json:"scene"`
	Out    string           `json:"out"`
	Plane  string           `json:"plane"`
	Places []sheetPlaceJSON `json:"places"`
	Files  []string         `json:"files"`
}

type sheetPlaceJSON struct {
	XMM     float64 `json:"x_mm"`
	YMM     float64 `json:"y_mm"`
	DepthMM float64 `json:"depth_mm"`
}

// runSheet writes the sheet to fill in.
func runSheet(ctx context.Context, s streams, o meterOptions, sc *scene.Scene, look render.Look) error {
	sheet, err := lightmeter.Sheet(ctx, sc, o.cores())
	if err != nil {
		return err
	}
	page := sheetPage{sheet: sheet, scene: sc, units: look.Units}
	files := []output.File{bytesFile("meter-sheet.csv", []byte(page.csv())), bytesFile("meter-sheet.txt", []byte(page.text()))}
	dir := o.dir(o.scene)
	return o.deliver(ctx, s, dir, files, func(s streams) error {
		if o.json {
			out := sheetJSON{Scene: o.scene, Out: dir, Plane: sheet.Plane, Files: []string{files[0].Name, files[1].Name}}
			for _, p := range reachable(page.places()) {
				out.Places = append(out.Places, sheetPlaceJSON{XMM: millimetres(p.XM), YMM: millimetres(p.YM), DepthMM: millimetres(p.DepthM)})
			}
			return writeJSON(s.Out, out)
		}
		fmt.Fprintf(s.Out, "A grid of %d places on the plane %q, and %d depths at one of them.\n", len(reachable(sheet.Grid)), sheet.Plane, len(sheet.Series))
		if !o.quiet {
			writeWrote(s.Out, dir, files)
			for _, line := range (situation{}).at("meter") {
				fmt.Fprintf(s.Out, "caution: %s\n", line)
			}
		}
		return nil
	})
}

// sheetPage writes a sheet in the units of the caller's ruler.
type sheetPage struct {
	sheet *result.MeterSheet
	scene *scene.Scene
	units style.Units
}

func (p sheetPage) places() []result.SheetPlace {
	return append(append([]result.SheetPlace(nil), p.sheet.Grid...), p.sheet.Series...)
}

// reachable returns the places at which a sensor can be held.
func reachable(places []result.SheetPlace) []result.SheetPlace {
	return slices.DeleteFunc(slices.Clone(places), func(p result.SheetPlace) bool { return p.Inside })
}

// rounded is a length in the ruler's unit as people measure it: whole millimetres, twentieths of an inch.
func (p sheetPage) rounded(m float64) string {
	step := 1.0
	if p.units == style.US {
		step = 20
	}
	return number(float64(int(m/p.units.Metres()*step+0.5)) / step)
}

// csv is the sheet as a file for the command meter, without its values. Notes say what a row is for.
func (p sheetPage) csv() string {
	u := p.units.Name()
	light := "lux"
	if p.sheet.Photons {
		light = "ppfd_umol_m2_s"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "x_%s,y_%s,depth_%s,%s,sensor,note\n", u, u, u, light)
	for i, at := range p.places() {
		if at.Inside {
			continue
		}
		note := "grid"
		if i >= len(p.sheet.Grid) {
			note = "depth series"
		}
		fmt.Fprintf(&b, "%s,%s,%s,,,%s\n", p.rounded(at.XM), p.rounded(at.YM), p.depth(at.DepthM), note)
	}
	return b.String()
}

// depth is a rounded depth, never below the floor.
func (p sheetPage) depth(m float64) string {
	text := p.rounded(m)
	if m >= p.scene.Tank.Water.DepthM {
		return number(roundTo(m/p.units.Metres(), 1e-3))
	}
	return text
}

// text is the sheet as a plain page to print.
func (p sheetPage) text() string {
	u, t := p.units, p.scene.Tank
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", p.scene.Title)
	line("Light meter sheet. Tank %s x %s inside, water %s deep.", u.Length(t.LengthM), u.Length(t.WidthM), u.Length(t.Water.DepthM))
	line("")
	line("date ______________  sensor ______________  lights on since ______________")
	line("")
	line("x counts from the inside of the left pane, y from the inside of the front pane, depth from the water surface")
	line("down to the sensor's face. Lights on for an hour at least; sensor level, facing up; room dark; pumps off, water")
	line("still; hands and arms out of the light. Note the unit if it is not %s. Leave out what cannot be reached.", p.unitWord())
	for _, caution := range (situation{}).at("meter") {
		line("CAUTION: %s; a sensor on a rod keeps hands out of it.", caution)
	}
	if len(reachable(p.sheet.Grid)) < len(p.sheet.Grid) {
		line("A dash stands where an obstacle is.")
	}
	line("")
	line("A. Grid on the plane %q, depth %s %s (back rows first, as seen from the front)", p.sheet.Plane, p.depth(p.sheet.Grid[0].DepthM), u.Name())
	line("")
	p.grid(&b)
	line("")
	line("B. Depth series at x %s %s, y %s %s", p.rounded(p.sheet.Series[0].XM), u.Name(), p.rounded(p.sheet.Series[0].YM), u.Name())
	line("")
	for _, at := range p.sheet.Series {
		line("   depth %6s %s   ____________", p.depth(at.DepthM), u.Name())
	}
	line("")
	line("Then fill in meter-sheet.csv and run: fathomlux meter %s meter-sheet.csv", p.scene.File)
	return b.String()
}

func (p sheetPage) unitWord() string {
	if p.sheet.Photons {
		return "umol/m2/s"
	}
	return "lx"
}

// columnsAcross is how many columns of the grid a printed page takes.
const columnsAcross = 8

// grid writes the grid as a table with blanks, in parts where it is wide.
func (p sheetPage) grid(w io.Writer) {
	nx := 1
	for nx < len(p.sheet.Grid) && p.sheet.Grid[nx].YM == p.sheet.Grid[0].YM {
		nx++
	}
	ny := len(p.sheet.Grid) / nx
	for from := 0; from < nx; from += columnsAcross {
		to := min(nx, from+columnsAcross)
		fmt.Fprintf(w, "   %-8s", "y \\ x "+p.units.Name())
		for ix := from; ix < to; ix++ {
			fmt.Fprintf(w, " %8s", p.rounded(p.sheet.Grid[ix].XM))
		}
		fmt.Fprintln(w)
		for iy := ny - 1; iy >= 0; iy-- {
			fmt.Fprintf(w, "   %8s", p.rounded(p.sheet.Grid[iy*nx].YM))
			for ix := from; ix < to; ix++ {
				blank := "_______"
				if p.sheet.Grid[iy*nx+ix].Inside {
					blank = "   -   "
				}
				fmt.Fprint(w, "  "+blank)
			}
			fmt.Fprintln(w)
		}
		if to < nx {
			fmt.Fprintln(w)
		}
	}
}
