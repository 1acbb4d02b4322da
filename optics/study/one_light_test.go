package study

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// paleTanks are tanks of 900 x 450 mm over 450 mm of water, and a cube, that differ in what sends light back.
var paleTanks = map[string]string{
	"dark":   "walls: {front: glass, left: {paint: 0.05}, right: {paint: 0.05}, back: {paint: 0.05}}\n  floor: {diffuse: 0.05}",
	"sand":   "floor: {diffuse: 0.6}",
	"pale":   "walls: {front: glass, left: {paint: 0.6}, right: {paint: 0.6}, back: {paint: 0.6}}\n  floor: {diffuse: 0.6}",
	"white":  "walls: {front: {paint: 0.8}, left: {paint: 0.8}, right: {paint: 0.8}, back: {paint: 0.8}}\n  floor: {diffuse: 0.8}",
	"cloudy": "walls: {front: glass, left: {paint: 0.6}, right: {paint: 0.6}, back: {paint: 0.6}}\n  floor: {diffuse: 0.6}",
}

// paleTank returns one of them, or the cube.
func paleTank(t *testing.T, name string) *scene.Scene {
	t.Helper()
	size, kind, count := "length: 900 mm\n  width: 450 mm\n  height: 490 mm", "clear", 6
	if name == "cloudy" {
		kind = "cloudy"
	}
	walls, depth := paleTanks[name], 450
	if name == "cube" {
		size, walls, depth, count = "length: 300 mm\n  width: 300 mm\n  height: 320 mm", paleTanks["white"], 290, 1
	}
	return parsed(t, fmt.Sprintf(`
tank:
  %s
  water: {depth: %d mm, kind: %s}
  %s
rails:
  - {length: %d mm, above_water: 130 mm, modules: {part: quad-neutral, optic: round-60, count: %d, spacing: 130 mm, current: 350 mA}}
goal: {plane: floor, illuminance: 3000 lx, uniformity: 0.5}
`, size, depth, kind, walls, 40+count*130, count))
}

// drawnTank returns a tank of any kind by a seed: walls, floor, water, cover, obstacles, and one to three rails.
func drawnTank(t *testing.T, seed uint64) *scene.Scene {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 13))
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	between := func(low, high float64) float64 { return math.Round(low + r.Float64()*(high-low)) }
	wall := func() string {
		return pick("glass", "acrylic", fmt.Sprintf("{film: %.2f}", 0.05+0.8*r.Float64()), fmt.Sprintf("{paint: %.2f}", 0.05+0.8*r.Float64()), fmt.Sprintf("{paint: %.2f}", 0.05+0.8*r.Float64()))
	}
	long, wide, deep := between(300, 1300), between(250, 600), between(150, 550)
	text := fmt.Sprintf("tank:\n  length: %g mm\n  width: %g mm\n  height: %g mm\n  water: {depth: %g mm, kind: %s}\n", long, wide, deep+60, deep,
		pick("pure", "clear", "tea", "cloudy", "reef, salinity: 35 g/kg"))
	text += fmt.Sprintf("  walls: {front: %s, left: %s, right: %s, back: %s%s}\n  floor: {diffuse: %.2f}\n", wall(), wall(), wall(), wall(),
		pick("", "", ", dirt: 0.2", ", thickness: 10 mm", ", thickness: 15 mm, dirt: 5 %"), 0.05+0.75*r.Float64())
	text += pick("", "  cover: {material: glass, thickness: 4 mm, above_water: 30 mm}\n")
	ambient := pick("", fmt.Sprintf("ambient: {hood: {length: %g mm, width: %g mm, height: %g mm, inside: %.2f}}\n", long+between(0, 100), wide+between(0, 60), between(250, 400), r.Float64()))
	if x, y := between(20, long*0.6), between(20, wide*0.5); r.IntN(2) == 0 {
		text += fmt.Sprintf("  obstacles: [{from: [%g mm, %g mm, 0 mm], to: [%g mm, %g mm, %g mm]}]\n", x, y, x+between(20, long*0.3), y+between(20, wide*0.4), between(30, deep*0.7))
	}
	text += "rails:\n"
	rails := 1 + r.IntN(3)
	for i := range rails {
		text += fmt.Sprintf("  - {name: bar %d, length: %g mm, y: %g mm, above_water: %g mm, tilt: %g deg, modules: {part: %s, optic: %s, count: %d, spacing: %g mm, current: 350 mA}}\n", i+1, long-10,
			wide*(float64(i)+0.5)/float64(rails), between(80, 250), tiltOf(r, 0, 0, 15), pick("quad-neutral", "quad-blue"), pick("round-40", "round-60", "round-90", "bare-120"), 1+r.IntN(4), math.Max(60, math.Round(long/5)))
	}
	return parsed(t, text+ambient+"goal: {plane: floor, illuminance: 1000 lx, uniformity: 0.3}\n")
}

func tiltOf(r *rand.Rand, list ...float64) float64 { return list[r.IntN(len(list))] }

func parsed(t *testing.T, text string) *scene.Scene {
	t.Helper()
	sc, err := scene.Parse("tank.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return sc
}

// histories is how many photons TestOneLight follows in each tank in place of the usual number, then in every drawn tank:
// FATHOMLUX_LONG=1 go test ./optics/study -run TestOneLight -histories 100000000 -timeout 1h
var histories = flag.Int64("histories", 0, "photons that hold each tank's light, 0 for the usual number")

// TestOneLight: a map, a sweep of the scene as it is, a comparison, the page and a search all tell the light that photons
// alone find, in tanks that bounce and scatter light in many ways: within 0.3 % of the mean, and 1 % of the lowest place for
// those that add modules up. Cells stay within three standard errors in 98.9 of 100.
func TestOneLight(t *testing.T) {
	t.Parallel()
	var tanks []*scene.Scene
	for _, name := range []string{"cloudy", "cube", "white", "pale", "sand", "dark"}[:longtest.Pick(0, 6)] {
		tanks = append(tanks, paleTank(t, name))
	}
	every := uint64(2)
	if *histories > 0 {
		every = 1
	}
	for seed := uint64(0); seed < longtest.Pick[uint64](1, 18); seed += every {
		tanks = append(tanks, drawnTank(t, seed))
	}
	for i, sc := range tanks {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			oneLight(t, sc, cmp.Or(*histories, longtest.Pick[int64](1<<19, 1<<21)))
		})
	}
}

func oneLight(t *testing.T, sc *scene.Scene, photons int64) {
	ctx, stepM := context.Background(), 0.02
	planes := []scene.PlaneRef{optics.JudgedPlane(sc)}
	m, err := optics.Map(ctx, sc, optics.Options{StepM: stepM, Workers: 2, Planes: planes})
	if err != nil {
		t.Fatal(err)
	}
	traced, err := optics.Map(ctx, sc, optics.Options{StepM: stepM, Workers: 2, Planes: planes, Engine: optics.Traced, Photons: photons, Seed: 77})
	if err != nil {
		t.Fatal(err)
	}
	p, q := &m.Planes[0], &traced.Planes[0]
	beyond := 0
	for i, v := range p.Field.Illuminance {
		if !p.Field.Solid.Closed(i) && math.Abs(v-q.Field.Illuminance[i]) > 3*math.Hypot(p.ErrorLx[i], q.ErrorLx[i])+0.005*p.Illuminance.Mean {
			beyond++
		}
	}
	if off := math.Abs(p.Illuminance.Mean/q.Illuminance.Mean - 1); off > 0.003+3*q.MeanErrorLx/q.Illuminance.Mean || beyond*1000 > 11*len(p.Field.Illuminance) { // 1.03 % in the worst of 24 tanks
		t.Errorf("mean %g lx, by photons %g +- %g: %.2f %% apart; %d of %d cells are beyond three standard errors", p.Illuminance.Mean, q.Illuminance.Mean, q.MeanErrorLx,
			100*(p.Illuminance.Mean/q.Illuminance.Mean-1), beyond, len(p.Field.Illuminance))
	}
	t.Logf("mean %.2f %% from that of photons (error %.2f %%), %d of %d cells beyond", 100*(p.Illuminance.Mean/q.Illuminance.Mean-1), 100*q.MeanErrorLx/q.Illuminance.Mean, beyond, len(p.Field.Illuminance))
	told := map[string]result.Statistics{}
	axis, err := edit.ParseRange(fmt.Sprintf("current=%gmA", sc.Rails[0].Modules[0].CurrentA*1000))
	if err != nil {
		t.Fatal(err)
	}
	o := SweepOptions{Axes: []edit.Range{axis}, StepM: stepM, Workers: 2}
	swept, err := Sweep(ctx, sc, o)
	if err != nil {
		t.Fatal(err)
	}
	told["sweep"], told["sweep's own"] = swept.Candidates[0].Illuminance, swept.Own.Illuminance
	s, err := optics.NewSession(sc, optics.LightOptions{StepM: stepM, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	g := glance(t, s, sc)
	told["page"] = g.Plane.Illuminance
	for name, v := range told {
		if math.Abs(v.Mean/p.Illuminance.Mean-1) > 0.003 || math.Abs(v.Min/p.Illuminance.Min-1) > 0.01+0.002*p.Illuminance.Mean/p.Illuminance.Min {
			t.Errorf("%s: mean %g, lowest %g lx; the map has %g and %g", name, v.Mean, v.Min, p.Illuminance.Mean, p.Illuminance.Min)
		}
	}
}
