package optics

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/scenetest"
)

// TestALowerBarStandsInTheWay: under the middle of a bar that hangs between a lamp and the floor it is dark, beside its geometric
// shadow nothing changes; a turned bar hides as well. Closed form: the shadow of a bar of half width w at
// a height h under the lamp reaches w H/h sideways on a plane at H, here the surface.
func TestALowerBarStandsInTheWay(t *testing.T) {
	t.Parallel()
	const lamp = `
  - {name: high, length: 100 mm, x: 250 mm, y: 150 mm, above_water: 300 mm, profile: u-30x15, modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}}
  - {name: low, length: 500 mm, x: 50 mm, y: 150 mm, above_water: 90 mm, profile: u-30x15, %s modules: {part: quad-neutral, optic: bare-120, x: 500 mm, current: 350 mA}}`
	two := func(low, turn string) []float64 {
		text := "rails:" + lamp
		text = strings.Replace(text, "%s", turn, 1)
		text = strings.Replace(text, "above_water: 90 mm", low, 1)
		sc := scenetest.Read(t, scenetest.Shelf, "rails:\n  - length: 500 mm\n    above_water: 150 mm\n    modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}", text)
		m := compute(t, sc, Options{StepM: 0.02, Engine: Straight, PerModule: true, Planes: nil})
		return m.Planes[0].Modules[0].Illuminance
	}
	shaded, open := two("above_water: 90 mm", ""), two("above_water: 310 mm", "")
	const nx = 30
	reach := 0.015 * 0.3 / (0.3 - 0.09 - barOverDiesM - 0.015) // the upper edges of the bar are nearest to the lamp
	for i, lux := range shaded {
		y := 0.02 * (float64(i/nx) + 0.5)
		switch off := math.Abs(y - 0.15); {
		case off < 0.012 && i%nx > 4 && i%nx < 25 && lux > 0:
			t.Fatalf("cell %d, %g m from the middle: %g lx in the shadow", i, off, lux)
		case off > reach+0.02 && math.Abs(lux-open[i]) > 1e-9*open[i]:
			t.Fatalf("cell %d, %g m from the middle, beside the shadow: %g lx, not %g", i, off, lux, open[i])
		}
	}
	sum := func(list []float64) (s float64) {
		for _, v := range list {
			s += v
		}
		return s
	}
	for i, lux := range two("above_water: 90 mm", "turn: 180 deg,") { // the same bar, cut into pieces
		if math.Abs(lux-shaded[i]) > 1e-9*open[i] {
			t.Fatalf("cell %d: %g lx behind a bar of many pieces, %g of one", i, lux, shaded[i])
		}
	}
	along, across, all := sum(shaded), sum(two("above_water: 90 mm", "turn: 90 deg,")), sum(open)
	if !(along < across && across < 0.9*all) { // the tank is longer than wide
		t.Errorf("%g lx in all behind a bar along the tank, %g across it, %g without", along, across, all)
	}
}
