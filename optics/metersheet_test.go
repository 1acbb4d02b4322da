package optics

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

func TestMeterSheet(t *testing.T) {
	t.Parallel()
	sc := foyer(t)
	s, err := MeterSheet(context.Background(), sc, 2)
	if err != nil {
		t.Fatal(err)
	}
	g := result.StandardGrid(1.18, 0.43)
	if len(s.Grid) != g.Cells() || s.Plane != "floor" || s.Photons || s.Grid[0].DepthM != 0.42 {
		t.Errorf("%d places on %q, want %d", len(s.Grid), s.Plane, g.Cells())
	}
	first, last := s.Series[0], s.Series[len(s.Series)-1]
	if len(s.Series) < leastClarity || math.Abs(first.DepthM-0.02) > 1e-12 || math.Abs(last.DepthM-0.42) > 1e-12 || first.XM != last.XM {
		t.Errorf("series %+v", s.Series)
	}
	if first.XM > 0.56-besideM && first.XM < 0.62+besideM {
		t.Errorf("the series is measured under the brace, at x = %g m", first.XM)
	}
	sc.Goal.IlluminanceLx, sc.Goal.PPFD = 0, 40
	if s, err = MeterSheet(context.Background(), sc, 1); err != nil || !s.Photons {
		t.Errorf("a goal in photons gives a sheet in lux (%v)", err)
	}
	sc.Tank.Obstacles[0].Box = space.Box{Max: space.Point{X: 1.18, Y: 0.43, Z: 0.01}}
	if s, err = MeterSheet(context.Background(), sc, 1); err != nil || len(s.Series) == 0 {
		t.Errorf("obstacles everywhere: %v", err)
	}
}
