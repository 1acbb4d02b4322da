package view

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// sightOf readies a scene, and follows the same light by photons.
func sightOf(t *testing.T, sc *scene.Scene) (*sight, result.FluxBalance) {
	t.Helper()
	faces, err := optics.LightFaces(context.Background(), sc, optics.FacesOptions{StepM: 0.015, Photons: longtest.Pick[int64](1<<18, 1<<19), Workers: 2, Even: true, ThingStepM: thingStepM, WaterStepM: waterStepM})
	if err != nil {
		t.Fatal(err)
	}
	a, err := trace.Run(context.Background(), faces.Model, trace.Options{Photons: longtest.Pick[int64](1<<19, 1<<21), Seed: 5, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	w := newSight(sc, faces, Options{})
	w.dies, w.lamps = nil, nil // which are points by chance hardly met
	return w, a.Balance
}

// leaving sums the luminances over the outside of a face and all directions: the lumens that go out there. The face begins at
// a corner and has two sides; n is its normal to the outside.
func leaving(w *sight, corner space.Point, a, b, n space.Vector, rays int) float64 {
	random := rand.New(rand.NewPCG(1, 2))
	area := a.Length() * b.Length()
	a1, b1, sum := unit(a), unit(b), 0.0
	for range rays {
		u, v := random.Float64(), random.Float64()
		sin2, turn := random.Float64(), 2*math.Pi*random.Float64() // after Lambert
		x, y, z := math.Sqrt(sin2)*math.Cos(turn), math.Sqrt(sin2)*math.Sin(turn), math.Sqrt(1-sin2)
		const offM = 1e-4
		at := space.Point{X: corner.X + u*a.X + v*b.X + offM*n.X, Y: corner.Y + u*a.Y + v*b.Y + offM*n.Y, Z: corner.Z + u*a.Z + v*b.Z + offM*n.Z}
		d := space.Vector{X: x*a1.X + y*b1.X - z*n.X, Y: x*a1.Y + y*b1.Y - z*n.Y, Z: x*a1.Z + y*b1.Z - z*n.Z}
		r := &ray{sight: w, share: 1, glowTimes: 1}
		r.air(at, d, path{weight: 1})
		sum += r.light.Y
	}
	return math.Pi * area * sum / float64(rays)
}

// throughSides is what leaves through the four walls of a box under water.
func throughSides(w *sight, t model.Tank, rays int) (lm float64) {
	x, y, z := space.Vector{X: t.LengthM}, space.Vector{Y: t.WidthM}, space.Vector{Z: w.DepthM}
	lm += leaving(w, space.Point{}, x, z, space.Vector{Y: -1}, rays)
	lm += leaving(w, space.Point{Y: t.WidthM}, x, z, space.Vector{Y: 1}, rays)
	lm += leaving(w, space.Point{}, y, z, space.Vector{X: -1}, rays)
	return lm + leaving(w, space.Point{X: t.LengthM}, y, z, space.Vector{X: 1}, rays)
}

// clearSides are changes to the scene that give it panes on all sides and narrow light, none of which leaves straight.
var clearSides = []string{"height: 360 mm", "height: 301 mm", "front: {paint: 0}", "front: glass", "back: {paint: 0}", "back: glass", "left: {paint: 0}", "left: glass", "right: {paint: 0}", "right: glass",
	"bare-120, count: 1", "round-15, count: 3, spacing: 120 mm"}

// TestWhatLeavesThroughThePanes: luminances over all directions add up to the lumens that photons carry out through the
// panes (conservation of energy): of a pale floor, and of cloudy water over a black floor. What comes straight from the
// lamps is told apart by black floors in clear water. With four times as
// many photons for the view, and four times as many for the balance, both are within 0.9 %.
func TestWhatLeavesThroughThePanes(t *testing.T) {
	t.Parallel()
	black, straight := sightOf(t, scenetest.Read(t, scenetest.Shelf, clearSides...))
	if lm := throughSides(black, must(black.Tank()), 2000); lm > 1e-3*straight.Entered {
		t.Errorf("of a black floor in clear water %g lm are seen to leave", lm)
	}
	for name, change := range map[string][]string{
		"pale floor":   {"floor: {diffuse: 0}", "floor: {diffuse: 0.5}"},
		"cloudy water": {"kind: pure", "kind: cloudy"},
	} {
		sc := scenetest.Read(t, scenetest.Shelf, append(change, clearSides...)...)
		w, all := sightOf(t, sc)
		unscattered, err := optics.Map(context.Background(), sc, optics.Options{Engine: optics.Straight, StepM: 0.05, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		lm := throughSides(w, must(w.Tank()), longtest.Pick(8000, 100000))
		want := all.Walls - unscattered.Balance.Walls
		t.Logf("%s: %.2f %% apart", name, 100*(lm/want-1))
		if !(math.Abs(lm/want-1) < longtest.Pick(0.03, 0.015)) {
			t.Errorf("%s: %g lm are seen to leave, photons carry %g beside %g that come straight", name, lm, want, unscattered.Balance.Walls)
		}
	}
}

func must(t model.Tank, err error) model.Tank {
	if err != nil {
		panic(err)
	}
	return t
}

// TestClosedMattBox: the light that matt walls and floor keep by their luminances, E = pi L / rho of which 1 - rho stays, and
// what is seen to leave through the surface, are together what has entered (conservation of energy).
func TestClosedMattBox(t *testing.T) {
	t.Parallel()
	paint := func(side string) []string { return []string{side + ": {paint: 0}", side + ": {paint: 0.6}"} }
	changes := append(append(append([]string{"height: 360 mm", "height: 301 mm"}, append(paint("front"), paint("back")...)...), append(paint("left"), paint("right")...)...), "floor: {diffuse: 0}", "floor: {diffuse: 0.6}")
	w, balance := sightOf(t, scenetest.Read(t, scenetest.Shelf, changes...))
	w.glow = nil
	tank, kept := must(w.Tank()), 0.0
	look := func(at space.Point, d space.Vector) float64 { // from just before a face
		r := &ray{sight: w, share: 1}
		r.water(at, d, path{weight: 1})
		return math.Pi * r.light.Y / 0.6 * (1 - 0.6)
	}
	const n, offM = 60, 1e-6
	for i := range n * n {
		u, v := (float64(i%n)+0.5)/n, (float64(i/n)+0.5)/n
		x, y, z := u*tank.LengthM, v*tank.WidthM, v*w.DepthM
		kept += look(space.Point{X: x, Y: y, Z: offM}, space.Vector{Z: -1}) * tank.LengthM * tank.WidthM / (n * n)
		kept += look(space.Point{X: x, Y: offM, Z: z}, space.Vector{Y: -1}) * tank.LengthM * w.DepthM / (n * n)
		kept += look(space.Point{X: x, Y: tank.WidthM - offM, Z: z}, space.Vector{Y: 1}) * tank.LengthM * w.DepthM / (n * n)
		y = u * tank.WidthM
		kept += look(space.Point{X: offM, Y: y, Z: z}, space.Vector{X: -1}) * tank.WidthM * w.DepthM / (n * n)
		kept += look(space.Point{X: tank.LengthM - offM, Y: y, Z: z}, space.Vector{X: 1}) * tank.WidthM * w.DepthM / (n * n)
	}
	up := leaving(w, space.Point{Z: w.DepthM}, space.Vector{X: tank.LengthM}, space.Vector{Y: tank.WidthM}, space.Vector{Z: 1}, longtest.Pick(20000, 100000))
	t.Logf("walls and floor %.2f %% apart, surface %.2f %%, all %.2f %%", 100*(kept/(balance.Walls+balance.Floor)-1), 100*(up/balance.Returned-1),
		100*((kept+up+balance.Water)/balance.Entered-1))
	if want := balance.Walls + balance.Floor; !(math.Abs(kept/want-1) < 0.02) {
		t.Errorf("by luminances walls and floor keep %g lm, by photons %g", kept, want)
	}
	if !(math.Abs(up/balance.Returned-1) < 0.03) {
		t.Errorf("%g lm are seen to leave through the surface, photons carry %g", up, balance.Returned)
	}
	if whole := kept + up + balance.Water; !(math.Abs(whole/balance.Entered-1) < 0.02) {
		t.Errorf("%g lm are seen of %g that enter", whole, balance.Entered)
	}
}

// TestUniformMattCube: in uniform light every face of a matt cube has the same luminance, rho E / pi (Q4: closure).
func TestUniformMattCube(t *testing.T) {
	t.Parallel()
	cube := []string{"length: 600 mm", "length: 300 mm", "length: 500 mm", "length: 200 mm", "floor: {diffuse: 0}", "floor: {diffuse: 0.5}"}
	for _, side := range []string{"front", "back", "left", "right"} {
		cube = append(cube, side+": {paint: 0}", side+": {paint: 0.5}")
	}
	w, _ := sightOf(t, scenetest.Read(t, scenetest.Shelf, cube...))
	w.glow = nil
	for _, fields := range append(w.faces.Walls, w.faces.Floor) {
		for i := range fields[0].Illuminance {
			fields[0].Illuminance[i] = 800
		}
	}
	for k := range w.hues[0].straight {
		w.hues[0].straight[k] = w.hues[0].straight[0]
	}
	random := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		d := unit(space.Vector{X: random.NormFloat64(), Y: random.NormFloat64(), Z: -math.Abs(random.NormFloat64())})
		r := &ray{sight: w, share: 1}
		r.water(space.Point{X: 0.3 * random.Float64(), Y: 0.3 * random.Float64(), Z: 0.3 * random.Float64()}, d, path{weight: 1})
		if want := 0.5 * 800 / math.Pi; math.Abs(r.light.Y/want-1) > 1e-9 {
			t.Fatalf("along %v: %g cd/m2, not %g", d, r.light.Y, want)
		}
	}
}
