package view

import (
	"context"
	"math"
	"reflect"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/stack"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// open are changes to a scene that give it pale sand and a pane in front.
var open = []string{"floor: {diffuse: 0}", "floor: {diffuse: 0.4}", "front: {paint: 0}", "front: glass", "modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
	"modules: {part: quad-neutral, optic: bare-120, count: 3, spacing: 150 mm, current: 350 mA}"}

func lookAt(t *testing.T, o Options, changes ...string) (*result.Seen, *sight) {
	t.Helper()
	sc := scenetest.Read(t, scenetest.Shelf, changes...)
	o.StepM, o.Photons, o.Workers = 0.02, 1<<16, 2
	seen, err := Compute(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	faces, err := optics.LightFaces(context.Background(), sc, optics.FacesOptions{StepM: o.StepM, Photons: o.Photons, Workers: 2, ThingStepM: thingStepM, WaterStepM: waterStepM})
	if err != nil {
		t.Fatal(err)
	}
	return seen, newSight(sc, faces, o)
}

// TestFloorFromAbove: the luminance of the floor, straight down through the surface, is E rho/pi times T/n^2 (Q1 and Q2 of the
// worked examples: Lambert; basic radiance), and what the water leaves of it.
func TestFloorFromAbove(t *testing.T) {
	t.Parallel()
	o := Options{Eye: space.Point{X: 0.2, Y: 0.1, Z: 2}, Toward: space.Point{X: 0.2, Y: 0.1}, AcrossRad: 0.02, Width: 16, Height: 16}
	seen, w := lookAt(t, o, open...)
	mean := 0.0
	for i, c := range seen.Light {
		if mean += c.Y / float64(len(seen.Light)); !seen.IntoTank[i] {
			t.Fatal("a line of sight straight down misses the water")
		}
	}
	n := w.index
	rs, _ := stack.Fresnel(1, n, 1)
	want := w.ground.Reflectance * lux(&w.faces.Floor[0], 0.2, 0.1) / math.Pi * (1 - rs) / (n * n) * w.hues[0].after(w.DepthM).Y
	longtest.Held(t, "luminance, cd/m2", mean, want, 0.01*want)
	if !(math.Abs(mean/want-1) < 0.01) { // the picture is 40 mm wide
		t.Errorf("floor from above: %g cd/m2, not %g", mean, want)
	}
}

// TestThroughThePane: Q2 and Q3 of the worked examples: through a pane of glass at right angles a share of 0.953481 goes, and a
// place at 300 mm stands at 225.1 mm. Fresnel's equations, and Snell's law for small angles.
func TestThroughThePane(t *testing.T) {
	const n = 1.333
	r1, _ := stack.Fresnel(n, 1.52, 1)
	r2, _ := stack.Fresnel(1.52, 1, 1)
	if share := (1 - r1) * (1 - r2) / (1 - r1*r2); math.Abs(share-0.953481) > 1e-6 || math.Abs(share/(n*n)-0.536601) > 1e-6 {
		t.Errorf("a share of %.6f goes through, luminance falls to %.6f", share, share/(n*n))
	}
	_, w := lookAt(t, Options{Eye: space.Point{Y: -1}, AcrossRad: 0.1, Width: 16, Height: 16}, open...)
	cos := math.Cos(1e-3)
	back := w.panes[0].InWater(math.Sqrt(cos*cos+n*n-1), n)
	longtest.Held(t, "share through the pane", 1-back, 0.953481, 1e-3)
	if math.Abs(1-back-0.953481) > 1e-3 { // its glass has an index of its own
		t.Errorf("the front pane lets %g through", 1-back)
	}
	d := bent(unit(space.Vector{X: 1e-3, Y: 1}), space.Vector{Y: 1}, 1/n)
	apparent := 0.3 * d.X / d.Y / 1e-3
	longtest.Held(t, "apparent depth, m", apparent, 0.2251, 1e-4)
	if math.Abs(apparent-0.2251) > 1e-4 {
		t.Errorf("300 mm look like %g m", apparent)
	}
}

// TestUndersideIsAMirror: from below, beyond 48.6 degrees from the vertical, the surface shows the floor as a mirror does (Q6: the
// critical angle).
func TestUndersideIsAMirror(t *testing.T) {
	t.Parallel()
	_, w := lookAt(t, Options{Eye: space.Point{Y: -1}, AcrossRad: 0.1, Width: 16, Height: 16}, open...)
	at, d := space.Point{X: 0.1, Y: 0.1, Z: w.DepthM - 0.02}, unit(space.Vector{X: 1, Z: 0.8})
	w.glow = nil // which belongs to the way
	up := &ray{sight: w, share: 1}
	up.water(at, d, path{weight: 1})
	down := &ray{sight: w, share: 1}
	down.water(moved(at, d, 0.02/d.Z), space.Vector{X: d.X, Z: -d.Z}, path{weight: 1, wayM: 0.02 / d.Z})
	longtest.Held(t, "luminance by way of the surface, cd/m2", up.light.Y, down.light.Y, 1e-9*down.light.Y)
	if !(math.Abs(up.light.Y/down.light.Y-1) < 1e-9) {
		t.Errorf("by way of the surface %g cd/m2, straight %g", up.light.Y, down.light.Y)
	}
}

// TestTwoHalvesByTheirReflectance: in the same light, floors of 0.2 and 0.6 have luminances of 1 to 3, but for what they throw back
// at themselves (Q5).
func TestTwoHalvesByTheirReflectance(t *testing.T) {
	t.Parallel()
	_, w := lookAt(t, Options{Eye: space.Point{Y: -1}, AcrossRad: 0.1, Width: 16, Height: 16}, open...)
	w.glow = nil
	luminance := func(share float64) float64 {
		w.groundMatt.Share = share
		r := &ray{sight: w, share: 1, glowTimes: 1}
		r.water(space.Point{X: 0.1, Y: 0.1, Z: 0.05}, space.Vector{Z: -1}, path{weight: 1})
		return r.light.Y
	}
	if ratio := luminance(0.6) / luminance(0.2); !(math.Abs(ratio-3) < 1e-9) {
		t.Errorf("luminances of 1 to %g", ratio)
	}
}

// TestTheSameView: the picture is the same with any number of workers.
func TestTheSameView(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf)
	o := Options{Eye: space.Point{X: 0.3, Y: -1, Z: 0.3}, Toward: space.Point{X: 0.3, Y: 0.1, Z: 0.1}, AcrossRad: 0.7, Width: 48, Height: 32, StepM: 0.02, Photons: 1 << 14, RoomCd: 2}
	var first *result.Seen
	for workers := 1; workers <= 3; workers += 2 {
		o.Workers = workers
		seen, err := Compute(context.Background(), sc, o)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = seen
		} else if !reflect.DeepEqual(first, seen) {
			t.Error("three workers see something else than one")
		}
		for i, c := range seen.Light {
			if !(c.Y >= 0) || math.IsInf(c.Y, 0) {
				t.Fatalf("pixel %d: %+v", i, c)
			}
		}
	}
}

// TestThingsAtThePane: the end of a box or of a thing that lies in the plane of the front pane is seen behind the pane at every
// place: the room in the pane by Fresnel's equations, and through it the outside of the box that the room lights, or
// under water nothing of a black thing. A dark place among lit ones would be the pane missed, a lit one the box missed.
func TestThingsAtThePane(t *testing.T) {
	t.Parallel()
	const ends = "floor: {diffuse: 0.4}\n  obstacles: [{name: bar, from: [200 mm, 0 mm, 320 mm], to: [300 mm, 300 mm, 340 mm]}]\n  " +
		"things: [{name: stone, shape: box, at: [450 mm, 50 mm], size: [100 mm, 100 mm, 200 mm], reflectance: 0}]"
	_, w := lookAt(t, Options{Eye: space.Point{Y: -1}, AcrossRad: 0.1, Width: 16, Height: 16, RoomCd: 5}, append(open[2:], open[0], ends)...)
	w.glow = nil
	for i := range 200 {
		u, v := math.Mod(0.7549*float64(i), 1), math.Mod(0.5698*float64(i), 1) // evenly spread, and never at even places
		for _, c := range []struct {
			at   space.Point
			want func(cos float64) float64
		}{
			{space.Point{X: 0.201 + 0.098*u, Z: 0.321 + 0.018*v}, func(cos float64) float64 {
				back := w.panes[0].InAir(cos)
				return back + (1-back)*outsideShare
			}},
			{space.Point{X: 0.401 + 0.098*u, Z: 0.001 + 0.198*v}, func(cos float64) float64 {
				return w.panes[0].InWater(math.Sqrt(cos*cos+w.index*w.index-1), w.index)
			}},
		} {
			eye := space.Point{X: 0.3*v - 0.1, Y: -1 - u, Z: 0.33*u + 0.1}
			d := unit(space.Vector{X: c.at.X - eye.X, Y: c.at.Y - eye.Y, Z: c.at.Z - eye.Z})
			r := &ray{sight: w, share: 1, glowTimes: 1}
			r.air(eye, d, path{weight: 1})
			if want := c.want(d.Y) * w.roomCd; !(math.Abs(r.light.Y-want) < 1e-9) {
				t.Fatalf("at %+v %g cd/m2, not %g", c.at, r.light.Y, want)
			}
		}
	}
}

// TestWallsOfBoxesWithThings: with a pebble in it an upright box shows the walls that it has without: each its own, and from the
// same end.
func TestWallsOfBoxesWithThings(t *testing.T) {
	t.Parallel()
	changes := append([]string{"above_water: 150 mm", "above_water: 150 mm\n    y: 80 mm"}, open[:5]...)
	changes = append(changes, "modules: {part: quad-neutral, optic: bare-120, x: 100 mm, current: 350 mA}")
	pebble := append(changes[:len(changes):len(changes)], "floor: {diffuse: 0.4}", "floor: {diffuse: 0.4}\n  things: [{name: pebble, shape: box, at: [300 mm, 150 mm], size: [2 mm, 2 mm, 2 mm], reflectance: 0}]")
	o := Options{Eye: space.Point{Y: -1}, AcrossRad: 0.1, Width: 16, Height: 16}
	_, plain := lookAt(t, o, changes...)
	_, other := lookAt(t, o, pebble...)
	// halves of the front, right, back and left pane, from and to
	for edge, halves := range [][3]space.Point{{{}, {X: 0.3}, {X: 0.6}}, {{X: 0.6}, {X: 0.6, Y: 0.15}, {X: 0.6, Y: 0.3}},
		{{Y: 0.3}, {X: 0.3, Y: 0.3}, {X: 0.6, Y: 0.3}}, {{}, {Y: 0.15}, {Y: 0.3}}} {
		for half, from := range halves[:2] {
			a, b := plain.halfLux(edge, from, halves[half+1]), other.halfLux(edge, from, halves[half+1])
			if !(math.Abs(a/b-1) < 0.1) { // of few photons
				t.Errorf("from %+v on %g lx, with a pebble %g", from, a, b)
			}
		}
	}
}

// halfLux is the mean of places between two of a pane.
func (w *sight) halfLux(edge int, from, to space.Point) (mean float64) {
	const n = 10
	for i := range n {
		u, v := (float64(i)+0.5)/n, w.DepthM/n
		for j := range n {
			at := space.Point{X: from.X + u*(to.X-from.X), Y: from.Y + u*(to.Y-from.Y), Z: v * (float64(j) + 0.5)}
			mean += w.wallLux(&w.panes[edge], 0, at) / (n * n)
		}
	}
	return mean
}
