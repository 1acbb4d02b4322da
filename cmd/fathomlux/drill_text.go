package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/drilling"
)

// drillCautions are what to mind at the bench, and with the bar over the tank.
func drillCautions(sc *scene.Scene) []string {
	lines := []string{
		"you drill once: measure the template's ruler first, 100.0 mm, and hold one module against the circles before you punch",
		"clamp the bar, wear eye protection, and deburr each hole: a burr lifts a board off the metal and cuts wires",
	}
	if overGlass(sc.Tank) {
		lines = append(lines, "a bar over a glass tank: drill it on the bench, never above the tank, keep chips out of the water, and hang it so that it can neither fall in nor load a pane")
	}
	return lines
}

// writeDrillCSV writes the table. Cells without a meaning are empty.
func writeDrillCSV(w io.Writer, p drilling.Plan) {
	fmt.Fprintln(w, "mark,module,from_left_mm,from_left_in,from_left_in_error_mm,from_front_mm,from_front_in,from_front_in_error_mm,diameter_mm,note")
	for _, r := range p.Rows() {
		fmt.Fprintln(w, strings.Join(append(drillCells(r), csvWord(r.Note)), ","))
	}
}

// drillCells are the cells of a row, in the table and in the CSV: what, module, place along the rail in mm and inches with the
// inches' error, the same across the rail, and the hole's diameter.
func drillCells(r drilling.Row) []string {
	cells := append([]string{string(r.Mark), moduleCell(r)}, lengthCells(r.FromLeftM)...)
	if r.HasFront() {
		return append(append(cells, lengthCells(r.FromFrontM)...), diameterCell(r))
	}
	return append(cells, "", "", "", diameterCell(r))
}

func lengthCells(m float64) []string {
	in := drilling.NearestInches(m)
	return []string{drilling.Millimetres(m), in.String(), drilling.ErrorMillimetres(in.ErrorM)}
}

func moduleCell(r drilling.Row) string {
	if r.Module == 0 {
		return ""
	}
	return strconv.Itoa(r.Module)
}

func diameterCell(r drilling.Row) string {
	if r.DiameterM == 0 {
		return ""
	}
	return number(millimetres(r.DiameterM))
}

// drillRows are the cells of a rail's table under their head.
func drillRows(p drilling.Plan) [][]string {
	rows := [][]string{{"mark", "module", "mm", "in", "off by mm", "from front mm", "in", "off by mm", "hole mm"}}
	for _, r := range p.Rows() {
		rows = append(rows, drillCells(r))
	}
	return rows
}

// writeDrilled writes one rail's table and warnings.
func writeDrilled(w io.Writer, d drilled, quiet bool) {
	p := d.plan
	if !quiet {
		fmt.Fprintf(w, "rail %s: %s, %s mm long; distances from the left end and from the front edge\n", p.Name, p.Profile, drilling.Millimetres(p.LengthM))
		writeTable(w, drillRows(p))
	}
	for _, line := range p.Warnings {
		fmt.Fprintf(w, "warning: rail %s: %s\n", p.Name, line)
	}
}
