package result

import (
	"math"
	"testing"

	"fathomlux/scene/form"
	"fathomlux/scene/unit"
	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %.3g", what, got, want, tolerance)
	}
}

func TestUniformityOfReadings(t *testing.T) {
	// G1, G2: street-lighting readings with printed ratios 0.58 and 0.38 (electricalnotes, November 2021); the coefficient of
	// variation, population form, recomputed as 0.33558.
	s := Summarise([]float64{26, 27, 13, 12, 15, 14, 26, 32, 22}, 20)
	near(t, "mean", s.Mean, 20.7778, 1e-4)
	near(t, "min/mean", s.MinOverMean, 0.58, 0.005)
	near(t, "min/mean recomputed", s.MinOverMean, 0.577540, 1e-6)
	near(t, "min/max", s.MinOverMax, 0.38, 0.005001) // 0.375 prints as 0.38
	near(t, "min/max recomputed", s.MinOverMax, 0.375, 1e-9)
	near(t, "cv", s.CV, 0.33558, 1e-5)
	near(t, "share above 20", s.ShareAboveGoal, 5.0/9, 1e-12)
}

func TestStandardSpacing(t *testing.T) {
	// G3: EN 12464-1, after Stockmar 1992: exactly 0.2, 1 and 5 m. G4: the formula's own values beside the printed table.
	for _, row := range []struct{ side, spacing, tolerance float64 }{
		{1, 0.2, 1e-12}, {10, 1, 1e-12}, {100, 5, 1e-12},
		{0.4, 0.1054, 5e-5}, {0.6, 0.1399, 5e-5}, {2, 0.3247, 5e-5}, {5, 0.6160, 5e-5}, {25, 1.8974, 5e-5}, {50, 3.0801, 5e-5},
		{10000, 10, 0}, // never above 10 m
	} {
		near(t, "spacing", standardSpacingM(row.side), row.spacing, row.tolerance)
	}
}

func TestStandardGrid(t *testing.T) {
	// G5: cells with an aspect between 0.5 and 2, none wider than the spacing allows.
	rapid.Check(t, func(t *rapid.T) {
		l, w := rapid.Float64Range(0.1, 20).Draw(t, "length"), rapid.Float64Range(0.1, 20).Draw(t, "width")
		g := StandardGrid(l, w)
		if a := g.StepXM / g.StepYM; a < 0.5-1e-9 || a > 2+1e-9 {
			t.Fatalf("aspect %g of %+v", a, g)
		}
		if math.Abs(float64(g.NX)*g.StepXM-l) > 1e-9 || math.Abs(float64(g.NY)*g.StepYM-w) > 1e-9 {
			t.Fatalf("%+v does not fill %g x %g", g, l, w)
		}
		if p := standardSpacingM(math.Max(l, w)); g.StepXM > p+1e-9 || g.StepYM > p+1e-9 {
			t.Fatalf("%+v is wider than %g", g, p)
		}
	})
}

func TestStandardGridTakesTheShorterSideOfALongPlan(t *testing.T) {
	// EN 12464-1: the longer side counts, but the shorter one where the plan is at least twice as long as wide. By hand:
	// p(0.43) = 0.2 * 5^log10(0.43) = 0.1109 m; p(0.6) = 0.1399 m.
	if g := StandardGrid(1.18, 0.43); g.NX != 11 || g.NY != 4 {
		t.Errorf("long plan: %+v", g)
	}
	if g := StandardGrid(0.6, 0.4); g.NX != 5 || g.NY != 3 {
		t.Errorf("short plan: %+v", g)
	}
}

func TestPercentiles(t *testing.T) {
	values := make([]float64, 101)
	for i := range values {
		values[i] = float64((i * 37) % 101) // 0 to 100 in another order
	}
	s := Summarise(values, 0)
	near(t, "p05", s.P05, 5, 1e-12)
	near(t, "p95", s.P95, 95, 1e-12)
	near(t, "between ranks", Summarise([]float64{0, 10}, 0).P05, 0.5, 1e-12)
}

func TestFineGrid(t *testing.T) {
	if step := FineStepM(1.18, 0.43); step != 0.005 {
		t.Errorf("foyer tank: step %g m", step)
	}
	if g := NewGrid(1.18, 0.43, 0.005); g.NX != 236 || g.NY != 86 || g.Cells() != 20296 {
		t.Errorf("grid %+v", g)
	}
	if g := NewGrid(20, 10, FineStepM(20, 10)); g.Cells() > fineCells {
		t.Errorf("a public tank gets %d cells", g.Cells())
	}
	if g := NewGrid(0.2, 0.1, 5); g.Cells() != 1 {
		t.Errorf("a step wider than the tank gives %+v", g)
	}
}

// fill makes a field of 10 by 6 cells of 10 mm with 100 lx, and the given cells dark.
func fill(dark ...[2]int) Field {
	f := Field{Grid: Grid{NX: 10, NY: 6, StepXM: 0.01, StepYM: 0.01}, Illuminance: make([]float64, 60)}
	for i := range f.Illuminance {
		f.Illuminance[i] = 100
	}
	for k, d := range dark {
		f.Illuminance[d[1]*10+d[0]] = 10 + float64(k)
	}
	return f
}

func TestDarkCorners(t *testing.T) {
	f := fill([2]int{0, 5}, [2]int{1, 5}, [2]int{0, 4}, [2]int{9, 0})
	found := DarkCorners(f, f.Illuminance, 50, form.Outline{})
	if len(found) != 2 {
		t.Fatalf("%d corners: %+v", len(found), found)
	}
	c := found[0]
	if c.Where != "back left" || found[1].Where != "front right" {
		t.Errorf("places %q and %q", c.Where, found[1].Where)
	}
	near(t, "from x", c.FromXM, 0, 1e-12)
	near(t, "to x", c.ToXM, 0.02, 1e-12)
	near(t, "from y", c.FromYM, 0.04, 1e-12)
	near(t, "to y", c.ToYM, 0.06, 1e-12)
	near(t, "share", c.AreaShare, 3.0/60, 1e-12)
	near(t, "lowest", c.LowestLx, 10, 0)
	near(t, "lowest x", c.LowestXM, 0.005, 1e-12)
}

func TestDarkCornersByPhotonsAroundAnObstacle(t *testing.T) {
	// The obstacle's own cells are dark and no corner; what is dark around it is measured against what is left of the plane.
	f := fill([2]int{4, 2}, [2]int{5, 2}, [2]int{6, 2})
	f.PPFD = make([]float64, 60)
	for i := range f.PPFD {
		f.PPFD[i] = 2
	}
	f.PPFD[2*10+4], f.PPFD[2*10+5], f.PPFD[2*10+6] = 0, 0, 0.5
	f.Solid = make(Solid, 60)
	f.Solid[2*10+4], f.Solid[2*10+5] = 1, 1
	found := DarkCorners(f, f.PPFD, 1, form.Outline{})
	if len(found) != 1 {
		t.Fatalf("%d corners: %+v", len(found), found)
	}
	near(t, "share", found[0].AreaShare, 1.0/58, 1e-12)
	near(t, "lowest", found[0].Lowest, 0.5, 0)
	near(t, "in lx", found[0].LowestLx, 12, 0)
	near(t, "from x", found[0].FromXM, 0.06, 1e-12)
	if open, _ := f.Solid.Values(f.PPFD); Summarise(open, 0).Min != 0.5 || len(open) != 58 {
		t.Errorf("%d open cells", len(open))
	}
}

func TestPlacesInWords(t *testing.T) {
	row := func(y int) (cells [][2]int) {
		for x := range 10 {
			cells = append(cells, [2]int{x, y})
		}
		return cells
	}
	column := func(x int) (cells [][2]int) {
		for y := range 6 {
			cells = append(cells, [2]int{x, y})
		}
		return cells
	}
	ring := append(append(row(0), row(5)...), [2]int{0, 1}, [2]int{0, 2}, [2]int{0, 3}, [2]int{0, 4})
	for where, cells := range map[string][][2]int{
		"along the front": row(0), "along the back": row(5), "middle": {{5, 3}}, "left middle": {{0, 3}}, "back middle": {{5, 5}},
		"along the right": column(9), "across, from x 70 to 80 mm": column(7), "across, from x 50 to 60 mm": column(5),
		"lengthwise, from y 30 to 40 mm": row(3), "lengthwise, from y 10 to 20 mm": row(1), "all round the edge": ring, "almost everywhere": append(append(append(row(0), row(1)...), row(2)...), append(row(3), row(4)...)...),
	} {
		f := fill(cells...)
		found := DarkCorners(f, f.Illuminance, 99, form.Outline{})
		if len(found) != 1 || found[0].Place(unit.Metric) != where {
			t.Errorf("%v: %+v, want %q", cells, found, where)
		}
	}
}

func TestPatchesPartitionTheDark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := fill()
		dark := 0
		for i := range f.Illuminance {
			f.Illuminance[i] = rapid.Float64Range(0, 100).Draw(t, "lux")
			if f.Illuminance[i] < 40 {
				dark++
			}
		}
		var share float64
		for _, c := range DarkCorners(f, f.Illuminance, 40, form.Outline{}) {
			share += c.AreaShare
			if !(c.Lowest < 40) || c.FromXM >= c.ToXM || c.FromYM >= c.ToYM || c.Where == "" {
				t.Fatalf("odd patch %+v", c)
			}
		}
		if math.Abs(share-float64(dark)/60) > 1e-12 {
			t.Fatalf("patches cover %g, dark cells %d of 60", share, dark)
		}
	})
}

func TestSummaryOfNothing(t *testing.T) {
	if s := Summarise(nil, 1); s != (Statistics{}) {
		t.Errorf("%+v", s)
	}
	if s := Summarise([]float64{0, 0}, 0); s.MinOverMean != 0 || s.MinOverMax != 0 || s.CV != 0 {
		t.Errorf("%+v", s)
	}
}
