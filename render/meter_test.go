package render

import (
	"bytes"
	"context"
	"image/png"
	"math"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/scene"
	"fathomlux/scene/finding"
)

const meterScene = `tank: {length: 600 mm, width: 300 mm, height: 360 mm, water: {depth: 330 mm}}
rails: [{length: 500 mm, above_water: 100 mm, modules: {part: single-neutral, optic: bare-120, count: 1, current: 350 mA}}]
`

// TestMeterPictures: a chart for each quantity that was measured, and the plan of the residuals; all of them decode.
func TestMeterPictures(t *testing.T) {
	sc, err := scene.Parse("tank.yaml", []byte(meterScene), nil)
	if err != nil {
		t.Fatal(err)
	}
	f := &result.Fit{Title: "tank", Sensors: []result.SensorFactor{{Name: "a", Readings: 12}, {Name: "b", Readings: 3}}, Scatter: 0.04, Stated: 0.03, Verdict: finding.WaterClearest.Of()}
	for i := range 15 {
		r := result.Measured{XM: 0.04 * float64(i), YM: 0.1, DepthM: 0.33, Line: i + 2, Measured: 1000 + 10*float64(i), Fitted: 1000, Residual: 0.01 * float64(i)}
		if i >= 12 {
			r.Sensor, r.Quantity, r.DepthM = 1, result.PPFD, 0.05*float64(i)/12
		}
		f.Readings = append(f.Readings, r)
	}
	for _, c := range []struct {
		fit  func() *result.Fit
		want []string
	}{
		{func() *result.Fit { return f }, []string{"measured-computed.png", "measured-computed-ppfd.png", "residual-map.png"}},
		{func() *result.Fit { g := *f; g.Readings = f.Readings[:12]; return &g }, []string{"measured-computed.png", "residual-map.png"}},
	} {
		pictures, err := Meter(context.Background(), c.fit(), sc, Look{PixelFactor: 1, Version: "test"}, 2)
		if err != nil {
			t.Fatal(err)
		}
		if len(pictures) != len(c.want) {
			t.Fatalf("%d pictures, want %v", len(pictures), c.want)
		}
		for i, p := range pictures {
			if _, err := png.Decode(bytes.NewReader(p.Data)); err != nil || p.Name != c.want[i] {
				t.Errorf("%s, want %s: %v", p.Name, c.want[i], err)
			}
		}
	}
}

// TestReadingsAsSeries: one series a sensor and one of the outliers, in both panels alike; what is not above 0 has no place.
func TestReadingsAsSeries(t *testing.T) {
	t.Parallel()
	f := &result.Fit{Scatter: 0.05, Sensors: []result.SensorFactor{{Name: "old", Readings: 2}, {Name: "new", Readings: 1}}, Readings: []result.Measured{
		{Line: 2, Measured: 110, Fitted: 100, DepthM: 0.2}, {Line: 3, Measured: 1000, Fitted: 100, Outlier: true}, {Line: 4, Sensor: 1, Measured: 95, Fitted: 100},
		{Line: 5, Measured: 50, Fitted: 0}, {Line: 6, Measured: 0, Fitted: 9}, {Line: 7, Measured: 1, Fitted: 1, Quantity: result.PPFD}}}
	pairs, off := againstSeries(f, Look{}, 0)
	if len(pairs) != 3 || pairs[0].Name != "old (2 readings)" || pairs[1].Name != "new (1 readings)" || pairs[2].Labels[0] != "line 3" {
		t.Fatalf("%+v", pairs)
	}
	if x, y := off[0].X[0], off[0].Y[0]; x != 200 || math.Abs(y-10) > 1e-9 || len(off) != 3 {
		t.Errorf("the first deviation stands at %g mm, %g %%", x, y)
	}
	d, ok := againstDrawing(f, Look{Version: "1.2"}, 0)
	c, _ := d.picture.(chart.Chart)
	if !ok || !c.Panels[0].X.Log || c.Footer != "fathomlux 1.2" { // 1000 lies far above 95
		t.Errorf("drawn %v, logarithmic %v, footer %q", ok, c.Panels[0].X.Log, c.Footer)
	}
	if _, ok := againstDrawing(&result.Fit{}, Look{}, 0); ok {
		t.Error("a chart of nothing")
	}
}

// TestDepthsInOrder: the depth with most places comes first, however often one place was read; of equal ones the deepest.
func TestDepthsInOrder(t *testing.T) {
	f := &result.Fit{}
	for i := range 6 {
		f.Readings = append(f.Readings, result.Measured{XM: 0.3, DepthM: 0.1}, result.Measured{XM: 0.1 * float64(i%3), DepthM: 0.33}, result.Measured{XM: 0.1 * float64(i%3), DepthM: 0.2})
	}
	got := depthsOf(f.Readings)
	if len(got) != 3 || got[0][0].DepthM != 0.33 || got[1][0].DepthM != 0.2 || got[2][0].DepthM != 0.1 || len(got[2]) != 6 || placesOf(got[2]) != 1 {
		t.Errorf("%+v", got)
	}
}
