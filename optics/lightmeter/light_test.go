package lightmeter

import (
	"context"
	"math"
	"sync"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
	"fathomlux/scene/readings"
)

// whiteTank is the foyer tank with white sand and white walls, where light comes back from everywhere.
func whiteTank(t *testing.T) *scene.Scene {
	sc := *scenetest.Example(t, "foyer")
	sc.Tank.FloorReflectance = 0.6
	for _, w := range []*scene.Wall{&sc.Tank.Walls.Front, &sc.Tank.Walls.Back, &sc.Tank.Walls.Left, &sc.Tank.Walls.Right} {
		*w = scene.Wall{Kind: scene.PaintWall, Reflectance: 0.8}
	}
	return &sc
}

// fillTraced gives the places the light of photons alone, which knows nothing of sums, spreading or planes between: means over
// squares of 10 mm around them.
func fillTraced(t *testing.T, sc *scene.Scene, list []readings.Reading) []readings.Reading {
	t.Helper()
	o := optics.Options{Engine: optics.Traced, StepM: longtest.Pick(0.02, 0.01), Workers: 2, Photons: longtest.Pick[int64](1<<21, 1<<23), Seed: 1234}
	at := map[float64]int{}
	for _, r := range list {
		if _, ok := at[r.DepthM]; !ok {
			at[r.DepthM] = len(o.Planes)
			o.Planes = append(o.Planes, scene.PlaneRef{DepthM: r.DepthM})
		}
	}
	a, err := optics.Map(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	out := append([]readings.Reading(nil), list...)
	for i, r := range out {
		out[i].Value = 0
		f := a.Planes[at[r.DepthM]].Field
		x, y := r.XM/f.Grid.StepXM-0.5, r.YM/f.Grid.StepYM-0.5
		for k := range 4 { // bilinear
			ix, iy := int(x)+k%2, int(y)+k/2
			out[i].Value += (1 - math.Abs(x-float64(ix))) * (1 - math.Abs(y-float64(iy))) * f.Illuminance[iy*f.Grid.NX+ix]
		}
	}
	return out
}

// TestMeterCountsBouncedLight: in a white tank the truth comes out, from readings that photons alone have made.
func TestMeterCountsBouncedLight(t *testing.T) {
	t.Parallel()
	sc := whiteTank(t)
	list := fillTraced(t, edit.Calibrated(sc, trueFactor, truePerM), append(walk()[:24], walk()[26:]...)) // not close below the modules, where light changes within a square
	full, _, err := Fit(context.Background(), sc, list, Options{Workers: 2, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	// Photons leave a noise of 1 % to 2 % in a place, of those that made the readings and of those of the fit. Six other pairs of
	// seeds were off by 0.8 % in the factor and by 0.016 1/m in the absorption, root mean squares; a quarter more is allowed here.
	if math.Abs(full.FluxFactor/trueFactor-1) > 0.01 || math.Abs(full.ExtraPerM.Value-truePerM) > 0.02 {
		t.Errorf("factor %g, absorption %g", full.FluxFactor, full.ExtraPerM.Value)
	}
	if full.Scatter < 0.01 || full.Scatter > 0.02 {
		t.Errorf("scatter %g: the noise is not that of the photons", full.Scatter)
	}
	if f := full.Factor; !(f.Low < trueFactor && trueFactor < f.High) {
		t.Errorf("the true factor %g is outside %v", trueFactor, f)
	}
	if c := full.ExtraPerM; !(c.Low < truePerM && truePerM < c.High) {
		t.Errorf("the true absorption %g is outside %v", truePerM, c)
	}
}

// without returns the scene with some modules dead.
func without(t *testing.T, sc *scene.Scene, dead string) *scene.Scene {
	t.Helper()
	rest, err := edit.Without(sc, dead)
	if err != nil {
		t.Fatal(err)
	}
	return rest
}

// walked is a meter for all places of a walk in the dim foyer, and the true light there. Tests read it alone.
var walked struct {
	sync.Once
	*meter
	truth []readings.Reading
}

// walkedMeter makes it once.
func walkedMeter(t *testing.T) (m *meter, truth []readings.Reading) {
	t.Helper()
	walked.Do(func() {
		sc := scenetest.DimFoyer(t)
		walked.truth = fill(t, edit.Calibrated(sc, trueFactor, truePerM), walk())
		walked.meter = meters(t, sc, walked.truth, Options{Workers: 2}, 0)[0]
	})
	if walked.meter == nil {
		t.Fatal("there is no meter; another test says why")
	}
	return walked.meter, walked.truth
}

// scaled are values by place, changed by a function of their readings.
func scaled(list []readings.Reading, values []float64, by func(int, readings.Reading) float64) (out []float64) {
	for i, r := range list {
		out = append(out, values[i]*by(i, r))
	}
	return out
}

// shown are the values of readings.
func shown(list []readings.Reading) (values []float64) {
	for _, r := range list {
		values = append(values, r.Value)
	}
	return values
}
