package result

import (
	"math"
	"testing"
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
