package lightmeter

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/longtest"
)

// TestResponseIsTheEngine holds the series against the engine between its nodes, but for the noise of the rest of the light:
// photons fly a little otherwise in other water, and from closer places in haze; at 9 1/m that is 9e-4 of what little is left.
func TestResponseIsTheEngine(t *testing.T) {
	t.Parallel()
	sc := scenetest.DimFoyer(t)
	list := eachLit(walk())
	for i := range list {
		list[i].Photons = i%2 == 1
	}
	m, err := newMeter(context.Background(), sc, list, Options{Workers: 2, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, perM := range longtest.Pick([]float64{0.4, 9}, []float64{0, 0.4, 2.3, 9}) {
		var points []optics.Point
		for _, r := range walk() {
			points = append(points, optics.Point{X: r.XM, Y: r.YM, DepthM: r.DepthM})
		}
		lux, ppfd := straight(t, sc, points, perM)
		for i := range points {
			want := map[bool]float64{false: lux[i], true: ppfd[i]}[list[i].Photons]
			limit := 4e-4
			if perM == 9 {
				limit = 1e-3
			}
			if got, _ := m.response.at(i, perM); math.Abs(got/want-1) > limit {
				t.Fatalf("%g 1/m, place %d, photons %v: %g, the engine has %g", perM, i, list[i].Photons, got, want)
			}
		}
		const h = 1e-4
		up, _ := m.response.at(3, perM+h)
		down, _ := m.response.at(3, perM-h)
		if _, slope := m.response.at(3, perM); math.Abs(slope-(up-down)/(2*h)) > 1e-5*math.Abs(slope) {
			t.Errorf("slope %g at %g 1/m, differences give %g", slope, perM, (up-down)/(2*h))
		}
	}
}
