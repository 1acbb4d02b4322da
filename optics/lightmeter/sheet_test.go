package lightmeter

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/study"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// TestSeriesFallsWithDepth: a reading that rises with depth, as beside a beam, tells nothing of the water. Narrow lenses leave
// few places of the grid where it falls.
func TestSeriesFallsWithDepth(t *testing.T) {
	t.Parallel()
	for _, optic := range longtest.Pick([]string{"round-15", "bare-120"}, []string{"round-15", "round-25", "round-40", "bare-120"}) {
		sc := scenetest.DimFoyer(t)
		sc = study.WithOptic(sc, sc.Catalogue.Optics[optic])
		s, err := Sheet(context.Background(), sc, 1)
		if err != nil {
			t.Fatal(err)
		}
		warm, _ := optics.Warmed(sc, false)
		var points []optics.Point
		for _, p := range s.Series {
			points = append(points, optics.Point{X: p.XM, Y: p.YM, DepthM: p.DepthM})
		}
		lux, _ := straight(t, warm, points, sc.Tank.Water.ExtraAbsorbPerM)
		for i := range lux[1:] {
			if lux[i+1] > lux[i] {
				t.Errorf("%s: at x %g m, y %g m the light rises with depth: %.0f lx", optic, points[0].X, points[0].Y, lux)
				break
			}
		}
	}
}

func TestMeterSheet(t *testing.T) {
	t.Parallel()
	sc := scenetest.DimFoyer(t)
	s, err := Sheet(context.Background(), sc, 2)
	if err != nil {
		t.Fatal(err)
	}
	g := result.StandardGrid(1.18, 0.43)
	if len(s.Grid) != g.Cells() || s.Plane != "floor" || s.Quantity != 0 || s.Grid[0].DepthM != 0.42 {
		t.Errorf("%d places on %q, want %d", len(s.Grid), s.Plane, g.Cells())
	}
	first, last := s.Series[0], s.Series[len(s.Series)-1]
	if len(s.Series) < leastAbsorption || math.Abs(first.DepthM-0.02) > 1e-12 || math.Abs(last.DepthM-0.42) > 1e-12 || first.XM != last.XM {
		t.Errorf("series %+v", s.Series)
	}
	if first.XM > 0.56-besideM && first.XM < 0.62+besideM {
		t.Errorf("the series is measured under the brace, at x = %g m", first.XM)
	}
	sc.Goal.IlluminanceLx, sc.Goal.PPFD = 0, 40
	if s, err = Sheet(context.Background(), sc, 1); err != nil || s.Quantity != result.PPFD {
		t.Errorf("a goal in photons gives a sheet in lux (%v)", err)
	}
	sc.Tank.Obstacles[0].Box = space.Box{Max: space.Point{X: 1.18, Y: 0.43, Z: 0.01}}
	if s, err = Sheet(context.Background(), sc, 1); err != nil || len(s.Series) == 0 {
		t.Errorf("obstacles everywhere: %v", err)
	}
}
