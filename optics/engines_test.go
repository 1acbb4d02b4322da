package optics

import (
	"context"
	"math"
	"reflect"
	"strings"
	"sync"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
	"fathomlux/scene/operating"
	"fathomlux/scene/photometry"
)

// pale makes of the test shelf a tank that turns light back: a pale floor, pale and clear walls, a cover, hazy water.
var pale = []string{"floor: {diffuse: 0}", "floor: {diffuse: 0.5}\n  cover: {material: glass, thickness: 4 mm, above_water: 30 mm}",
	"kind: pure", "kind: cloudy", "front: {paint: 0}", "front: glass", "back: {paint: 0}", "back: {paint: 0.6}"}

// paleStepM is the cell of paleLight.
const paleStepM = 0.06

var palest = struct {
	sync.Mutex
	*result.Map
}{}

// paleLight is all light of the pale shelf, computed once for the tests that read it.
func paleLight(t *testing.T) *result.Map {
	t.Helper()
	palest.Lock()
	defer palest.Unlock()
	if palest.Map == nil {
		palest.Map = compute(t, scenetest.Read(t, scenetest.Shelf, pale...), Options{StepM: paleStepM, Workers: 2})
	}
	return palest.Map
}

func TestEnginesAgree(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, pale...)
	stepM := longtest.Pick(paleStepM, 0.02)
	full := longtest.Pick(paleLight, func(t *testing.T) *result.Map {
		return compute(t, sc, Options{StepM: stepM, Workers: 2})
	})(t)
	traced := compute(t, sc, Options{StepM: stepM, Workers: 2, Engine: Traced, Photons: longtest.Pick[int64](500_000, 1_500_000)})
	for i, p := range full.Planes {
		q := traced.Planes[i]
		// Four standard errors of both, and 0.1 % for images that the direct sum leaves out and points that stand for cells.
		slack := 4*math.Hypot(p.MeanErrorLx, q.MeanErrorLx) + 0.001*q.Illuminance.Mean
		if math.Abs(p.Illuminance.Mean-q.Illuminance.Mean) > slack {
			t.Errorf("%s: full %g lx, traced %g lx, further apart than %g", p.Name, p.Illuminance.Mean, q.Illuminance.Mean, slack)
		}
		if math.Abs(p.PPFD.Mean/q.PPFD.Mean-1) > longtest.Pick(0.009, 0.005) {
			t.Errorf("%s: full %g, traced %g umol/m2/s", p.Name, p.PPFD.Mean, q.PPFD.Mean)
		}
	}
	for _, m := range []*result.Map{full, traced} {
		if b := m.Balance; b.Unfollowed != 0 || math.Abs(b.Sum()-b.Emitted) > 1e-9*b.Emitted {
			t.Errorf("%s: flux balance %+v", m.Engine, b)
		}
	}
}

// photonsOf is the photon flux of the modules of a scene in its balance of heat.
func photonsOf(sc *scene.Scene) (umolS float64) {
	warm, _ := Warmed(sc, false)
	for _, rm := range Modules(warm) {
		s, _ := photometry.NewSpectrum(sc.Catalogue.Spectra[rm.Module.Part.Spectrum].Power)
		umolS += rm.Module.FluxLm() * s.PPFDPerLux()
	}
	return umolS
}

// TestBalancesOfExamples: by full and traced all lumens and photons that the modules of the examples emit are found again within 0.01 %, no entry is
// negative or left open, and the floor has taken what its plane got and did not send back.
func TestBalancesOfExamples(t *testing.T) {
	t.Parallel()
	for _, name := range longtest.Pick([]string{"foyer"}, []string{"foyer", "shelf", "frag"}) {
		sc := scenetest.Example(t, name)
		_, op, err := operating.WorkingJunctions(sc)
		if err != nil {
			t.Fatal(err)
		}
		for _, engine := range []Engine{Full, Traced} {
			m := compute(t, sc, Options{StepM: longtest.Pick(0.03, 0.01), Workers: 2, Engine: engine, Seed: 3, Planes: []scene.PlaneRef{{Name: "floor", DepthM: sc.Tank.Water.DepthM}}})
			g := m.Planes[0].Field.Grid
			area := float64(g.Cells()) * g.StepXM * g.StepYM
			for _, c := range []struct {
				of            string
				b             result.FluxBalance
				emitted, mean float64
			}{{"lm", m.Balance, op.FluxLm, m.Planes[0].Illuminance.Mean}, {"umol/s", m.Photons, photonsOf(sc), m.Planes[0].PPFD.Mean}} {
				b := c.b
				if math.Abs(b.Emitted-c.emitted) > 1e-4*c.emitted || math.Abs(b.Sum()-c.emitted) > 1e-4*c.emitted || b.Unfollowed != 0 {
					t.Errorf("%s by %s: %+v sums to %g, the modules emit %g %s", name, engine, b, b.Sum(), c.emitted, c.of)
				}
				for _, v := range []float64{b.Optic, b.Cover, b.Spill, b.Surface, b.Water, b.Walls, b.Floor, b.Obstacles, b.Returned, b.Entered} {
					if v < 0 {
						t.Errorf("%s by %s: a negative entry in %+v", name, engine, b)
					}
				}
				floor := (1 - sc.Tank.FloorReflectance) * area * c.mean
				t.Logf("%s by %s: sum %.9f, floor %.5f %s", name, engine, b.Sum()/b.Emitted, b.Floor/floor, c.of)
				if math.Abs(b.Floor/floor-1) > 0.005 {
					t.Errorf("%s by %s: the floor has taken %g %s, its plane got %g", name, engine, b.Floor, c.of, floor)
				}
			}
		}
	}
}

func TestFullIsBrighterThanDirect(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, pale...)
	plain, full := compute(t, sc, Options{StepM: paleStepM, Engine: Straight}), paleLight(t)
	if plain.Engine != "straight" || full.Engine != "full" || plain.Tracing != nil || full.Tracing == nil {
		t.Fatalf("engines %q and %q", plain.Engine, full.Engine)
	}
	if len(plain.Warnings) == 0 || !strings.Contains(plain.Warnings[0].String(), "does not follow") {
		t.Errorf("direct warns %q", plain.Warnings)
	}
	if len(full.Warnings) != 0 {
		t.Errorf("full warns %q", full.Warnings)
	}
	floor := full.Planes[2]
	if !(floor.Illuminance.Mean > 1.05*plain.Planes[2].Illuminance.Mean) {
		t.Errorf("floor %g lx, direct %g lx", floor.Illuminance.Mean, plain.Planes[2].Illuminance.Mean)
	}
	if full.Tracing.Error > 0.01 || len(floor.ErrorLx) != floor.Field.Grid.Cells() || !(floor.MeanErrorLx > 0) {
		t.Errorf("tracing %+v, error of the mean %g", full.Tracing, floor.MeanErrorLx)
	}
}

func TestDarkTankNeedsNoTracing(t *testing.T) {
	// Black faces and pure water: what full adds is a trace of molecular scattering and surface reflection.
	plain, full := compute(t, scenetest.Read(t, scenetest.Shelf), Options{StepM: 0.02, Engine: Straight}), compute(t, scenetest.Read(t, scenetest.Shelf), Options{StepM: 0.02, Engine: Full})
	for i := range plain.Planes {
		if a, b := plain.Planes[i].Illuminance.Mean, full.Planes[i].Illuminance.Mean; math.Abs(a/b-1) > 0.002 {
			t.Errorf("%s: direct %g, full %g", plain.Planes[i].Name, a, b)
		}
	}
}

func TestFullIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf, append(pale, "count: 1", "count: 2, spacing: 200 mm")...)
	o := Options{StepM: 0.1, Seed: 4, PerModule: true}
	first := compute(t, sc, o)
	o.Workers = 7
	if again := compute(t, sc, o); !reflect.DeepEqual(first, again) {
		t.Error("seven workers give another answer than one")
	}
	for _, p := range first.Planes {
		for c, v := range p.Field.Illuminance {
			if sum := p.Modules[0].Illuminance[c] + p.Modules[1].Illuminance[c]; math.Abs(sum-v) > 1e-9*v {
				t.Fatalf("%s, cell %d: modules sum to %g of %g", p.Name, c, sum, v)
			}
		}
	}
}

func TestTracingOptionsAreChecked(t *testing.T) {
	for want, o := range map[string]Options{
		"no engine":                {Engine: "best"},
		"photons are not usable":   {Engine: Full, Photons: -1},
		"error of 7 is not usable": {Engine: Traced, Error: 7},
		"traced alone":             {Engine: Full, Photons: 10},
	} {
		o.StepM = 0.05
		if _, err := Map(context.Background(), scenetest.Read(t, scenetest.Shelf), o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v does not say %q", o, err, want)
		}
	}
	m := compute(t, scenetest.Read(t, scenetest.Shelf, pale...), Options{StepM: 0.05, Engine: Traced, Photons: 3000, Error: 1e-4})
	if len(m.Warnings) != 1 || !strings.Contains(m.Warnings[0].String(), "tracing stopped at") {
		t.Errorf("warnings %q", m.Warnings)
	}
}

// TestRoughIsTheSameLightWithLessWork: a rough map traces a small part of the histories and finds the same mean within its own
// standard error; its books close as those of any map.
func TestRoughIsTheSameLightWithLessWork(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, pale...)
	whole, rough := compute(t, sc, Options{StepM: 0.05}), compute(t, sc, Options{StepM: 0.05, Rough: 16})
	if part := float64(rough.Tracing.Photons) / float64(whole.Tracing.Photons); part > 0.1 {
		t.Errorf("it traces %g of the histories", part)
	}
	for i, p := range rough.Planes {
		want := whole.Planes[i]
		if off := p.Illuminance.Mean - want.Illuminance.Mean; off == 0 || math.Abs(off) > 4*math.Hypot(p.MeanErrorLx, want.MeanErrorLx) {
			t.Errorf("%s: a mean of %g lx, not %g, with an error of %g", p.Name, p.Illuminance.Mean, want.Illuminance.Mean, p.MeanErrorLx)
		}
	}
	if b := rough.Balance; math.Abs(b.Sum()/b.Emitted-1) > 1e-6 {
		t.Errorf("entries sum to %g lm of %g", b.Sum(), b.Emitted)
	}
	if b := compute(t, sc, Options{StepM: 0.05, Engine: Straight, Rough: 16}).Balance; math.Abs(b.Sum()/b.Emitted-1) > 1e-6 {
		t.Errorf("straight entries sum to %g lm of %g", b.Sum(), b.Emitted)
	}
}
