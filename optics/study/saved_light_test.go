package study

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// TestSavedIsShown: a scene that is changed on the page, step by step with an answer to each, and saved then, has by map the
// figures that the page showed last: the mean to 0.2 %, U0 to 0.5 %.
func TestSavedIsShown(t *testing.T) {
	t.Parallel()
	const stepM = 0.02
	for i, name := range []string{"pale", "cloudy", "cube", "white", "sand", "dark"}[:longtest.Pick(1, 6)] {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ctx, r := context.Background(), rand.New(rand.NewPCG(uint64(i), 16))
			sc := paleTank(t, name)
			s, err := optics.NewSession(sc, optics.LightOptions{StepM: stepM, Workers: 2})
			if err != nil {
				t.Fatal(err)
			}
			at := edit.SettingOf(sc)
			var shown *scene.Scene
			for range longtest.Pick(3, 8) {
				at = moved(r, at)
				if shown, err = edit.Set(sc, at); err != nil {
					t.Fatal(err)
				}
				_ = glance(t, s, shown)
			}
			g := glance(t, s, shown)
			text, err := edit.Rewrite(shown)
			if err != nil {
				t.Fatal(err)
			}
			saved := parsed(t, string(text))
			m, err := optics.Map(ctx, saved, optics.Options{StepM: stepM, Workers: 2, Planes: []scene.PlaneRef{optics.JudgedPlane(saved)}})
			if err != nil {
				t.Fatal(err)
			}
			page, file := g.Plane.Illuminance, m.Planes[0].Illuminance
			mean, even := page.Mean/file.Mean-1, page.MinOverMean/file.MinOverMean-1
			if math.Abs(mean) > 0.002 || math.Abs(even) > 0.005 {
				t.Errorf("the page showed %g lx, U0 %.4f; map has %g lx, U0 %.4f, of\n%s", page.Mean, page.MinOverMean, file.Mean, file.MinOverMean, text)
			}
			t.Logf("mean %+.3f %%, U0 %+.3f %% from map", 100*mean, 100*even)
		})
	}
}

// moved is a setting after a move of the hand: one rail's height, place, tilt or current, a module, or the water.
func moved(r *rand.Rand, at edit.Setting) edit.Setting {
	rail := &at.Rails[0]
	rail.Modules = append([]edit.Placed(nil), rail.Modules...)
	switch r.IntN(6) {
	case 0:
		rail.AboveWaterM += 0.001 * float64(r.IntN(60)-20)
	case 1:
		rail.YM += 0.001 * float64(r.IntN(40)-20)
	case 2:
		rail.TiltRad = float64(r.IntN(20)-10) * math.Pi / 180
	case 3:
		rail.CurrentA = 0.25 + 0.01*float64(r.IntN(25))
	case 4:
		at.WaterDepthM -= 0.001 * float64(r.IntN(30))
	case 5:
		rail.Modules[r.IntN(len(rail.Modules))].XM += 0.001 * float64(r.IntN(20)-10)
	}
	return at
}
