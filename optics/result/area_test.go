package result

import (
	"math"
	"slices"
	"testing"

	"fathomlux/scene/form"
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
		solid[0] = 1
		if s := g.Extremes(values, solid); s.Min != 1 {
			t.Errorf("step %g m: lowest %g with the dark cell inside an obstacle", row.stepM, s.Min)
		}
	}
}

// TestWithinAnArea: cells count by their middles, both ends of an area included; an area between middles keeps the nearest ones.
func TestWithinAnArea(t *testing.T) {
	t.Parallel()
	g := Grid{NX: 4, NY: 2, StepXM: 0.1, StepYM: 0.1} // middles at 50, 150, 250, 350 mm and 50, 150 mm
	solid := Solid{1: 1, 7: 0}
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
		open, _ := g.Within(row.area, solid).Values([]float64{0, 1, 2, 3, 4, 5, 6, 7})
		if !slices.Equal(open, row.open) {
			t.Errorf("%+v: cells %v count, want %v", row.area, open, row.open)
		}
	}
	if s := g.Extremes(make([]float64, 8), g.Within(space.Area{FromXM: 0.1, ToXM: 0.2, ToYM: 0.1}, solid)); s != (Statistics{}) {
		t.Errorf("an area without a cell has %+v", s)
	}
}

// disc is a grid over a round plan of radius r about the middle of a square, with its closed shares by 16 x 16 points a cell.
func disc(cells int, r float64) (Grid, Solid) {
	g := NewGrid(2*r, 2*r, 2*r/float64(cells))
	solid := make(Solid, g.Cells())
	const fine = 16
	for i := range solid {
		out := 0
		for k := range fine * fine {
			x := (float64(i%g.NX) + (float64(k%fine)+0.5)/fine) * g.StepXM
			y := (float64(i/g.NX) + (float64(k/fine)+0.5)/fine) * g.StepYM
			if math.Hypot(x-r, y-r) > r {
				out++
			}
		}
		solid[i] = float64(out) / (fine * fine)
	}
	return g, solid
}

// TestCutCellsWeighByArea: light that falls as (1 - (d/r)^2) over a disc has mean 1/2, standard deviation 1/sqrt(12), is evenly
// distributed from 0 to 1 (so that percentile p is p), and half of the area has 1/2 at least: closed forms, which whole cells
// of the bounding square, or cells by their middles alone, miss.
func TestCutCellsWeighByArea(t *testing.T) {
	t.Parallel()
	const r = 0.4
	g, solid := disc(40, r)
	values := make([]float64, g.Cells())
	for i := range values {
		d := math.Hypot(g.CentreX(i%g.NX)-r, g.CentreY(i/g.NX)-r) / r
		values[i] = math.Max(0, 1-d*d)
	}
	s := g.Summarise(values, solid, 0.5)
	near(t, "mean", s.Mean, 0.5, 0.002)
	near(t, "variation", s.CV, 2/math.Sqrt(12), 0.01)
	near(t, "5th percentile", s.P05, 0.05, 0.01)
	near(t, "95th percentile", s.P95, 0.95, 0.003)
	near(t, "share above", s.ShareAboveGoal, 0.5, 0.01)
	near(t, "share closed", solid.Share(), 1-math.Pi/4, 5e-4)
	if e := g.Extremes(values, solid); e.Mean != s.Mean || e.Min != s.Min || e.Max != s.Max {
		t.Errorf("extremes %+v, summary %+v", e, s)
	}
	p := Plane{Field: Field{Grid: g, Solid: solid}, PPFD: s}
	near(t, "photons", p.PhotonFlux(), s.Mean*math.Pi*r*r, 1e-3*s.Mean)
}

// TestSliversHaveNoExtremes: a cell that is open by less than half has part in the mean, and neither the lowest nor the highest
// value, nor a dark corner of its own.
func TestSliversHaveNoExtremes(t *testing.T) {
	t.Parallel()
	g := Grid{NX: 4, NY: 1, StepXM: 0.1, StepYM: 0.1}
	values, solid := []float64{9, 2, 3, 0}, Solid{0.75, 0, 0.5, 0.9}
	s := g.Extremes(values, solid)
	near(t, "mean", s.Mean, (0.25*9+2+0.5*3)/1.85, 1e-12)
	if s.Min != 2 || s.Max != 3 {
		t.Errorf("from %g to %g, want 2 to 3", s.Min, s.Max)
	}
	f := Field{Grid: g, Illuminance: values, PPFD: values, Solid: solid}
	if low, high := f.Spots(PPFD); low.XM != g.CentreX(1) || high.XM != g.CentreX(2) {
		t.Errorf("lowest at %+v, highest at %+v", low, high)
	}
	if found := DarkCorners(f, values, 1, form.Outline{}); len(found) != 0 {
		t.Errorf("dark: %+v", found)
	}
	found := DarkCorners(f, values, 2.5, form.Outline{})
	if len(found) != 1 || math.Abs(found[0].AreaShare-1/1.85) > 1e-12 {
		t.Errorf("dark: %+v", found)
	}
}

// TestEqualWeightsAreNone: values that all stand for half a cell have the statistics of whole cells.
func TestEqualWeightsAreNone(t *testing.T) {
	t.Parallel()
	values, half := []float64{4, 1, 9, 2, 7}, []float64{0.5, 0.5, 0.5, 0.5, 0.5}
	a, b := summarise(values, nil, 3), summarise(values, half, 3)
	for _, pair := range [][2]float64{{a.Mean, b.Mean}, {a.Min, b.Min}, {a.Max, b.Max}, {a.CV, b.CV}, {a.P05, b.P05},
		{a.P95, b.P95}, {a.ShareAboveGoal, b.ShareAboveGoal}} {
		near(t, "figure", pair[1], pair[0], 1e-12)
	}
}
