package main

import (
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
)

// TestInsideSharesAreTheArea: the shares of a round tank's cells that count, which the CSV files tell, add up to the area of
// its circle, of which chords of two degrees leave 0.9998; cells in its middle count whole, those in the corners of its square
// not at all, without a value.
func TestInsideSharesAreTheArea(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf, "length: 600 mm\n  width: 300 mm", "length: 600 mm\n  width: 600 mm\n  outline: round",
		"front: {paint: 0}, back: {paint: 0}, left: {paint: 0}, right: {paint: 0}", "")
	g := result.NewGrid(0.6, 0.6, 0.02)
	f := result.Field{Grid: g, Solid: optics.SolidCells(sc, 0.3, g), Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
	rows, err := csv.NewReader(strings.NewReader(string(gridCSV("x_mm,y_mm", f, true)))).ReadAll()
	if err != nil || strings.Join(rows[0], ",") != "x_mm,y_mm,illuminance_lx,ppfd_umol_m2_s,inside_share" || len(rows) != 1+g.Cells() {
		t.Fatalf("%v: %d rows, the first %v", err, len(rows), rows[0])
	}
	area := 0.0
	for _, row := range rows[1:] {
		x, _ := strconv.ParseFloat(row[0], 64)
		y, _ := strconv.ParseFloat(row[1], 64)
		share, err := strconv.ParseFloat(row[4], 64)
		if err != nil || share < 0 || share > 1 {
			t.Fatalf("%v: %v", row, err)
		}
		switch out := math.Hypot(x-300, y-300); {
		case out < 280 && share != 1, out > 315 && share != 0, (row[2] == "") != (share == 0), (row[3] == "") != (share == 0):
			t.Errorf("%.0f mm off the middle: %v", out, row)
		}
		area += share * g.StepXM * g.StepYM
	}
	if want := math.Pi * 0.3 * 0.3 * 0.9998; math.Abs(area/want-1) > 2e-5 { // shares have four decimals
		t.Errorf("the cells count %.7f m2, the circle has %.7f m2", area, want)
	}
	if plain := string(gridCSV("x_mm,y_mm", f, false)); strings.Contains(plain, "inside_share") {
		t.Error("a box has shares")
	}
}
