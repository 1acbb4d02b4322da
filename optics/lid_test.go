package optics

import (
	"math"
	"testing"

	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// TestWhatTheLidThrowsAside: the sum of straight light and the rest is the light by photons alone, under a twin-wall sheet and
// under a pane with drops, within three standard errors and 0.1 %; what is thrown aside makes light more even and leaves most of
// it, while polycarbonate takes what its data sheets say beside glass.
func TestWhatTheLidThrowsAside(t *testing.T) {
	t.Parallel()
	var even []float64
	for i, c := range []scene.Cover{{Material: scene.Polycarbonate, ThicknessM: 0.006, AboveWaterM: 0.03},
		{Material: scene.TwinWall, ThicknessM: 0.01, AboveWaterM: 0.03, ScatteredShare: 0.15, Asymmetry: 0.9},
		{Material: scene.ClearGlass, ThicknessM: 0.004, AboveWaterM: 0.03, ScatteredShare: 0.6, Asymmetry: 0.7}} {
		sc := scenetest.Example(t, "foyer")
		sc.Tank.Cover = &c
		o := Options{StepM: 0.06, Workers: 2}
		full := floorOf(t, sc, o)
		even = append(even, full.Illuminance.CV)
		if i == 0 {
			continue
		}
		o.Engine, o.Photons = Traced, longtest.Pick[int64](1<<17, 1<<21)
		traced := floorOf(t, sc, o)
		slack := 3*math.Hypot(full.MeanErrorLx, traced.MeanErrorLx) + 0.001*traced.Illuminance.Mean
		if d := full.Illuminance.Mean - traced.Illuminance.Mean; math.Abs(d) > slack {
			t.Errorf("cover %d: mean %.1f lx, by photons %.1f lx, further apart than %.1f", i, full.Illuminance.Mean, traced.Illuminance.Mean, slack)
		}
	}
	if !(even[2] < even[1] && even[1] < even[0]) {
		t.Errorf("coefficients of variation %v do not fall with what is thrown aside", even)
	}
}

// TestMaintainedByParts: the shares of lamp and lid multiply; yellow water takes exp(-a d) of a narrow blue light at 440 nm, less
// of white light in lumens than in photons, and nothing where the goal's plane lies at the surface.
func TestMaintainedByParts(t *testing.T) {
	t.Parallel()
	sc := scenetest.Example(t, "foyer")
	if got := Maintained(sc); got != 1 {
		t.Errorf("light when new keeps %g", got)
	}
	sc.Maintenance = scene.Maintenance{Lamp: 0.9, Lid: 0.8}
	if got := Maintained(sc); math.Abs(got-0.72) > 1e-12 {
		t.Errorf("lamp and lid leave %g", got)
	}
	sc.Maintenance = scene.Maintenance{Lamp: 1, Lid: 1, YellowingPerM: 0.6}
	lumens := Maintained(sc)
	sc.Goal.IlluminanceLx, sc.Goal.PPFD = 0, 50
	photons := Maintained(sc)
	if blue := math.Exp(-0.6 * sc.Tank.Water.DepthM); !(blue < photons && photons < lumens && lumens < 1) {
		t.Errorf("yellow water leaves %g of the lumens, %g of the photons, %g at 440 nm", lumens, photons, blue)
	}
	sc.Goal.Plane.DepthM = 0
	if got := Maintained(sc); got != 1 {
		t.Errorf("yellow water takes of light above it: %g", got)
	}
	aged, err := Map(t.Context(), withYellowing(scenetest.Example(t, "foyer")), Options{StepM: 0.1, Engine: Straight})
	if err != nil || math.Abs(aged.Maintenance-lumens) > 1e-9 || aged.Goal.Maintenance != aged.Maintenance {
		t.Errorf("a map is judged with %+v, want %g (%v)", aged.Maintenance, lumens, err)
	}
}

func withYellowing(sc *scene.Scene) *scene.Scene {
	sc.Maintenance.YellowingPerM = 0.6
	return sc
}
