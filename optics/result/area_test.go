package result

import (
	"math"
	"slices"
	"testing"

	"fathomlux/scene/space"
)

// TestLowestHoldsOverAreas: the lowest value of a plane is that of squares of about 10 mm, whatever the cells: a dark cell of
// 2.5 mm counts as a sixteenth of one, cells of 10 mm and more count as they are, and so do places of a standard grid.
func TestLowestHoldsOverAreas(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		stepM, want float64
		points      bool
	}{{0.0025, 0.9375, false}, {0.005, 0.75, false}, {0.01, 0, false}, {0.02, 0, false}, {0.0025, 0, true}} {
		g := NewGrid(0.2, 0.1, row.stepM)
		g.Points = row.points
		values := make([]float64, g.Cells())
		for i := range values {
			values[i] = 1
		}
		values[0] = 0
		s := g.Extremes(values, nil)
		if math.Abs(s.Min-row.want) > 1e-12 || math.Abs(s.MinOverMean-row.want/s.Mean) > 1e-12 {
			t.Errorf("step %g m: lowest %g, U0 %g; want %g", row.stepM, s.Min, s.MinOverMean, row.want)
		}
		solid := make(Solid, g.Cells())
		solid[0] = true
		if s := g.Extremes(values, solid); s.Min != 1 {
			t.Errorf("step %g m: lowest %g with the dark cell inside an obstacle", row.stepM, s.Min)
		}
	}
}

// TestWithinAnArea: cells count by their middles, both ends of an area included; an area between middles keeps the nearest ones.
func TestWithinAnArea(t *testing.T) {
	t.Parallel()
	g := Grid{NX: 4, NY: 2, StepXM: 0.1, StepYM: 0.1} // middles at 50, 150, 250, 350 mm and 50, 150 mm
	solid := Solid{1: true, 7: false}
	for _, row := range []struct {
		area space.Area
		open []float64
	}{
		{space.Area{}, []float64{0, 2, 3, 4, 5, 6, 7}},
		{space.Area{ToXM: 0.2, ToYM: 0.2}, []float64{0, 4, 5}},
		{space.Area{FromXM: 0.25, ToXM: 0.35, ToYM: 0.1}, []float64{2, 3}},
		{space.Area{FromXM: 0.26, ToXM: 0.29, FromYM: 0.11, ToYM: 0.13}, []float64{6}},
		{space.Area{FromXM: 0.1, ToXM: 0.2, ToYM: 0.1}, nil},
	} {
		open := g.Within(row.area, solid).Open([]float64{0, 1, 2, 3, 4, 5, 6, 7})
		if !slices.Equal(open, row.open) {
			t.Errorf("%+v: cells %v count, want %v", row.area, open, row.open)
		}
	}
	if s := g.Extremes(make([]float64, 8), g.Within(space.Area{FromXM: 0.1, ToXM: 0.2, ToYM: 0.1}, solid)); s != (Statistics{}) {
		t.Errorf("an area without a cell has %+v", s)
	}
}
