package optics

import (
	"math"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/space"
)

// TestLightOnAStand: of a stand over all of the floor under a narrow beam from high above, a map tells the light on top, in the
// middle and under it; what is left is exp(-0.5 LAI) of each way, which is nearly vertical there, and floating leaves take their
// share of all (O1, O4 of the worked examples). Straight light alone reaches the floor between black walls; 2 % are for ways aslant,
// and for photons.
func TestLightOnAStand(t *testing.T) {
	t.Parallel()
	light := func(lai, floats float64) [3]float64 {
		sc := bare(t, 0)
		sc.Rails[0].AboveWaterM, sc.Rails[0].Modules[0].Optic = 1.5, sc.Catalogue.Optics["round-10"]
		sc.Tank.Plants = []scene.Plant{{Name: "lawn", DensityPerM: lai / 0.2,
			Box: space.Box{Max: space.Point{X: sc.Tank.LengthM, Y: sc.Tank.WidthM, Z: 0.2}}}}
		sc.Tank.Floating = &scene.Floating{CoverShare: floats}
		m := compute(t, sc, Options{StepM: 0.08, Sections: true, Workers: 2})
		if len(m.Stands) != 3 || len(m.Planes) != 3 {
			t.Fatalf("%d rows of stands, %d planes", len(m.Stands), len(m.Planes))
		}
		return [3]float64{m.Stands[0].Illuminance.Mean, m.Stands[1].Illuminance.Mean, m.Stands[2].Illuminance.Mean}
	}
	none, both := light(0, 0), light(2, 0.4)
	for i, want := range []float64{1, math.Exp(-0.5), math.Exp(-1)} {
		if got := both[i] / none[i]; math.Abs(got/(0.6*want)-1) > 0.02 {
			t.Errorf("plane %d: floating leaves and those below let %.4f pass, want %.4f", i, got, 0.6*want)
		}
	}
}
