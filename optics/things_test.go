package optics_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// stony is a tank with a slope and things of some kinds. Its water does not scatter, which takes fewer photons.
const stony = `tank:
  length: 600 mm
  width: 300 mm
  height: 400 mm
  water: {depth: 360 mm, half_depth: 900 mm}
  floor: {substrate: gravel, front: 0 mm, back: 90 mm}
  things:
    - {name: stem, shape: cylinder, at: [150 mm, 120 mm], size: [60 mm, 60 mm, 180 mm], reflectance: 0.3}
    - {name: stone, shape: ellipsoid, at: [430 mm, 150 mm], size: [120 mm, 90 mm, 70 mm], turn: 30 deg}
    - {name: heap, rocks: {x: 220..360 mm, y: 130..280 mm, height: 120 mm, seed: 2}}
rails:
  - {length: 500 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 200 mm, current: 350 mA}, {part: quad-neutral, optic: round-60, x: 420 mm, current: 350 mA}]}
`

func parsed(t *testing.T, text string) *scene.Scene {
	t.Helper()
	sc, err := scene.Parse("tank.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

func mapOf(t *testing.T, sc *scene.Scene, o optics.Options) *result.Map {
	t.Helper()
	o.StepM, o.Workers = 0.02, 2
	m, err := optics.Map(t.Context(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestSlopesAndThingsByBothEngines: the sum by sight with the rest from photons, and photons alone: planes, the slope's
// surface and each face, and a balance that closes.
func TestSlopesAndThingsByBothEngines(t *testing.T) {
	t.Parallel()
	sc := parsed(t, stony)
	full, traced := mapOf(t, sc, optics.Options{}), mapOf(t, sc, optics.Options{Engine: optics.Traced, Photons: 1 << 17})
	for i, p := range full.Planes {
		want := traced.Planes[i]
		if tolerance := 4*math.Hypot(p.MeanErrorLx, want.MeanErrorLx) + 0.004*want.Illuminance.Mean; math.Abs(p.Illuminance.Mean-want.Illuminance.Mean) > tolerance {
			t.Errorf("%s: %g lx, traced %g", p.Name, p.Illuminance.Mean, want.Illuminance.Mean)
		}
		if p.Field.Solid.Share() != want.Field.Solid.Share() || p.Name != "surface" && p.Field.Solid.Share() < 0.01 {
			t.Errorf("%s: %g is filled", p.Name, p.Field.Solid.Share())
		}
	}
	if b := full.Balance; math.Abs(b.Sum()-b.Emitted) > 1e-9*b.Emitted || math.Abs(b.Obstacles/traced.Balance.Obstacles-1) > 0.03 || math.Abs(b.Floor/traced.Balance.Floor-1) > 0.02 {
		t.Errorf("%+v, traced %+v", b, traced.Balance)
	}
	if len(full.Faces) < 7 || len(full.Faces) != len(traced.Faces) {
		t.Fatalf("%d faces, traced %d", len(full.Faces), len(traced.Faces))
	}
	for i, f := range full.Faces {
		want := traced.Faces[i]
		if math.Abs(f.MeanLx-want.MeanLx) > 4*math.Hypot(f.ErrorLx, want.ErrorLx)+0.02*want.MeanLx || f.AreaM2 != want.AreaM2 || f.LeastLx > f.MeanLx*1.0001 || f.LeastPPFD > f.MeanPPFD*1.0001 {
			t.Errorf("%+v, traced %+v", f, want)
		}
	}
}

// TestASlopeUnderAFarLamp: P6. Where one lamp hangs far above, the illuminance on a slope is that of the level ground
// times the cosine of its angle.
func TestASlopeUnderAFarLamp(t *testing.T) {
	t.Parallel()
	text := `tank:
  length: 200 mm
  width: 200 mm
  height: 300 mm
  water: {depth: 200 mm, half_depth: 1000 m}
  floor: {diffuse: 0, FLOOR}
  walls: {front: {paint: 0}, back: {paint: 0}, left: {paint: 0}, right: {paint: 0}}
rails:
  - {length: 200 mm, above_water: 19 m, modules: [{part: quad-neutral, optic: round-25, x: 100 mm, current: 350 mA}]}
`
	floor := func(heights string) result.Plane {
		m := mapOf(t, parsed(t, strings.Replace(text, "FLOOR", heights, 1)), optics.Options{Cold: true})
		return m.Planes[2]
	}
	level, slope := floor("front: 0 mm, back: 0 mm"), floor("front: 0 mm, back: 100 mm")
	cos := 200 / math.Hypot(200, 100)
	// 0.5 %: the lamp, 19 m away, is not endlessly far; it reflects a little from the water, the same for both
	if got := slope.Illuminance.Mean / level.Illuminance.Mean / cos; math.Abs(got-1) > 0.005 {
		t.Errorf("%g lx on the slope, %g on the level: %g of its cosine", slope.Illuminance.Mean, level.Illuminance.Mean, got)
	}
	for i, v := range slope.Field.Illuminance {
		if want := level.Field.Illuminance[i] * cos; math.Abs(v/want-1) > 0.02 {
			t.Errorf("cell %d: %g, not %g", i, v, want)
		}
	}
}

// TestABareBottom: glass with a gap of air over a base sends back more than a substrate of the same reflectance, as it
// mirrors totally beyond the critical angle; under a black base nothing but that is left.
func TestABareBottom(t *testing.T) {
	t.Parallel()
	floor := func(f string) *result.Map {
		text := strings.Replace(stony[:strings.Index(stony, "  things:")]+stony[strings.Index(stony, "rails:"):], "{substrate: gravel, front: 0 mm, back: 90 mm}", f, 1)
		return mapOf(t, parsed(t, text), optics.Options{Engine: optics.Traced, Photons: 1 << 15})
	}
	for _, share := range []string{"0", "0.3"} {
		matt, pane := floor("{diffuse: "+share+"}").Balance, floor("{film: "+share+"}").Balance
		if pane.Floor >= matt.Floor || math.Abs(pane.Sum()-pane.Emitted) > 1e-9*pane.Emitted {
			t.Errorf("over %s the floor keeps %g lm of the light under a pane, %g without", share, pane.Floor, matt.Floor)
		}
	}
}

// TestOtherCommandsJudgeTheSlope: the light that is added up from single modules is that of the map, on the surface of
// the slope, with the same cells left out.
func TestOtherCommandsJudgeTheSlope(t *testing.T) {
	t.Parallel()
	sc := parsed(t, stony+"goal: {plane: floor, illuminance: 100 lx}\n")
	l, err := optics.NewLight(sc, optics.LightOptions{StepM: 0.02, Workers: 2, Histories: 1 << 11})
	if err != nil {
		t.Fatal(err)
	}
	lit, err := l.Scene(t.Context(), sc)
	if err != nil {
		t.Fatal(err)
	}
	got, want := lit.Plane(), mapOf(t, sc, optics.Options{Engine: optics.Traced, Photons: 1 << 16}).Planes[2]
	for i, v := range want.Field.Illuminance {
		g, solid := got.Field, want.Field.Solid[i]
		if off := math.Abs(g.Illuminance[i] - v); g.Solid[i] != solid || solid == 0 && off > 6*want.ErrorLx[i]+0.1*want.Illuminance.Mean {
			t.Fatalf("cell %d: %g lx, in the map %g; %g is filled, in the map %g", i, g.Illuminance[i], v, g.Solid[i], solid)
		}
	}
	if math.Abs(got.Illuminance.Mean/want.Illuminance.Mean-1) > 0.01 { // by other photons
		t.Errorf("mean %g, in the map %g", got.Illuminance.Mean, want.Illuminance.Mean)
	}
}
