package main

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene"
)

// TestFrontierSaysWhatItLeavesOut: a short frontier is whole, a long one goes from its first to its last and says how much of it
// is printed.
func TestFrontierSaysWhatItLeavesOut(t *testing.T) {
	t.Parallel()
	for _, n := range []int{1, 12, 13, 24, 500} {
		s := &result.Sweep{Axes: []result.Axis{{Name: "count"}}, Own: result.Candidate{Values: []float64{1}}}
		for i := range n {
			s.Candidates = append(s.Candidates, result.Candidate{Name: fmt.Sprint(i), Values: []float64{float64(i)}})
			s.Frontier = append(s.Frontier, i)
		}
		all, _, table := sweepTables(s, true)
		names, want := table.Cells(answer.Text), min(n, frontierRows)
		if len(names) != want+1 || names[0][0] != "0" || names[want-1][0] != fmt.Sprint(n-1) || len(all.Rows) != n {
			t.Errorf("of %d: %v", n, names)
		}
		if strings.Contains(table.Title, " of its ") != (n > frontierRows) {
			t.Errorf("%d: %q", n, table.Title)
		}
	}
}

// TestNothingReadsLikeNothing: a min/mean of some thousandths is told as such, an angle to a tenth of a degree.
func TestNothingReadsLikeNothing(t *testing.T) {
	t.Parallel()
	plane := result.Plane{Name: "floor", Illuminance: result.Statistics{Mean: 800, Min: 2.4, Max: 9000, MinOverMean: 0.003}, PPFD: result.Statistics{Mean: 0.04, Min: 0.0002, MinOverMean: 0.005}}
	table := planeTable(&result.Map{Planes: []result.Plane{plane}}, &scene.Scene{}, render.Look{})
	row := strings.Join(table.Cells(answer.Text)[0], "|")
	if want := "floor|0|800|2.4|9000|0.0030|0.040|-|0 %"; row != want {
		t.Errorf("%q, want %q", row, want)
	}
	if got := tenth(39.5994); got != "39.6" {
		t.Errorf("%q", got)
	}
}
