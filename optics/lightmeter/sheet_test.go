package lightmeter

import (
	"context"
	"math"
	"slices"
	"sync"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/study"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
	"fathomlux/scene/readings"
	"fathomlux/scene/space"
)

// sheets are those of the dim foyer by the optic of its modules, each made once.
var sheets = struct {
	sync.Mutex
	of map[string]*result.MeterSheet
}{of: map[string]*result.MeterSheet{}}

// dimSheet is the dim foyer with an optic on its modules, and its sheet.
func dimSheet(t *testing.T, optic string) (*scene.Scene, *result.MeterSheet) {
	t.Helper()
	sc := scenetest.DimFoyer(t)
	sc = study.WithOptic(sc, sc.Catalogue.Optics[optic])
	sheets.Lock()
	defer sheets.Unlock()
	if sheets.of[optic] == nil {
		s, err := Sheet(context.Background(), sc, 2)
		if err != nil {
			t.Fatal(err)
		}
		sheets.of[optic] = s
	}
	return sc, sheets.of[optic]
}

// TestSeriesFallsWithDepth: a reading that rises with depth, as beside a beam, tells nothing of the water. Narrow lenses leave
// few places of the grid where it falls.
func TestSeriesFallsWithDepth(t *testing.T) {
	t.Parallel()
	for _, optic := range []string{"round-40", "round-15", "bare-120", "round-25"}[:longtest.Pick(1, 4)] {
		sc, s := dimSheet(t, optic)
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
	sc, s := dimSheet(t, "round-40")
	if n := len(s.Places) + len(s.Series); n < fewestPlaces || n > mostPlaces || s.Plane != "floor" || s.Quantity != 0 || s.Places[0].DepthM != 0.42 {
		t.Errorf("%d places on %q", n, s.Plane)
	}
	first, last := s.Series[0], s.Series[len(s.Series)-1]
	if len(s.Series) < 3 || math.Abs(first.DepthM-0.02) > 1e-12 || math.Abs(last.DepthM-0.42) > 1e-12 || first.XM != last.XM {
		t.Errorf("series %+v", s.Series)
	}
	if first.XM > 0.56-besideM && first.XM < 0.62+besideM {
		t.Errorf("the series is measured under the brace, at x = %g m", first.XM)
	}
	sc.Goal.IlluminanceLx, sc.Goal.PPFD = 0, 40
	s, err := Sheet(context.Background(), sc, 1)
	if err != nil || s.Quantity != result.PPFD {
		t.Errorf("a goal in photons gives a sheet in lux (%v)", err)
	}
	sc.Tank.Obstacles[0].Box = space.Box{Max: space.Point{X: 1.18, Y: 0.43, Z: 0.01}}
	if s, err = Sheet(context.Background(), sc, 1); err != nil || len(s.Series) == 0 {
		t.Errorf("obstacles everywhere: %v", err)
	}
}

// TestFewPlacesTellAsMuch: the places that a sheet asks for narrow light and absorption as well, within 10 %, as the whole
// measurement grid with six even depths at the same place, which sheets asked for before: a fit to readings of the scene's own
// light says so, not the design. What the sheet promises is what that fit finds, where the sensor's place is off by nothing.
func TestFewPlacesTellAsMuch(t *testing.T) {
	t.Parallel()
	for _, optic := range []string{"round-40", "bare-120", "round-25", "round-60"}[:longtest.Pick(1, 4)] {
		sc, s := dimSheet(t, optic)
		few := fitAt(t, sc, slices.Concat(s.Places, s.Series))
		many := gridPlaces(sc, 0.42)
		one := s.Series[0]
		for _, one.DepthM = range []float64{0.02, 0.1, 0.18, 0.26, 0.34, 0.42} {
			many = append(many, one)
		}
		all := fitAt(t, sc, many)
		wide := func(i result.Interval) float64 { return i.High - i.Low }
		t.Logf("%s: %d places in place of %d: factor %.4f and %.4f, absorption %.4f and %.4f; promised %.4f, %.4f", optic,
			len(few.Readings), len(many), wide(few.Factor), wide(all.Factor), wide(few.ExtraPerM), wide(all.ExtraPerM), s.FactorError, s.PerMError)
		if len(few.Readings) >= len(many) || wide(few.Factor) > 1.1*wide(all.Factor) || wide(few.ExtraPerM) > 1.1*wide(all.ExtraPerM) {
			t.Errorf("%s: %d places leave the factor %.4f and the absorption %.4f 1/m wide, %d %.4f and %.4f", optic, len(few.Readings),
				wide(few.Factor), wide(few.ExtraPerM), len(many), wide(all.Factor), wide(all.ExtraPerM))
		}
	}
}

// fitAt is the fit to readings of a scene's own light at some places.
func fitAt(t *testing.T, sc *scene.Scene, places []result.SheetPlace) *result.Fit {
	t.Helper()
	var list []readings.Reading
	for _, p := range places {
		list = append(list, readings.Reading{XM: p.XM, YM: p.YM, DepthM: p.DepthM, Value: 1, Immersion: 1})
	}
	m, err := newMeter(context.Background(), sc, list, Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	f, err := m.fit(m.own)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
