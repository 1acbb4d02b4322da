package view

import (
	"math"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/space"
)

// TestScreenHidesTheDie: Q7 of the worked examples (geometry): a screen whose edge is a below the emitting face and b in front
// of a die hides it from eyes above the line of slope a/b through both.
func TestScreenHidesTheDie(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf)
	r := &sc.Rails[0]
	face := 0.45
	l := &die{source: &model.Source{Position: space.Point{X: 0.3, Y: r.YM + 0.004, Z: face}}}
	b := r.Profile.WidthM/2 + 0.004
	for _, c := range []struct{ below, before float64 }{{0.1, 0.5}, {0.3, 0.2}, {0.02, 3}} {
		eye := space.Point{X: -0.7, Y: l.source.Position.Y - c.before, Z: face - c.below}
		a := screenM(r, face, eye, l)
		if want := b * c.below / c.before; math.Abs(a-want) > 1e-12 {
			t.Errorf("%+v: %g m, not %g", c, a, want)
		}
		eye.Z += 0.05
		if higher := screenM(r, face, eye, l); !(higher < a) {
			t.Errorf("%+v: %g m for a higher eye, %g for the lower one", c, higher, a)
		}
	}
	if a := screenM(r, face, space.Point{X: 0.3, Y: r.YM + 0.005, Z: 0.1}, l); a != 0 {
		t.Errorf("under the rail: %g m", a)
	}
	if a := screenM(r, face, space.Point{X: 0.3, Y: -1, Z: face + 0.2}, l); a != 0 {
		t.Errorf("over the rail: %g m", a)
	}
}

// TestScreensInTheWay: with a strip of the height that is told before the rail no module is in sight; with one of half of it
// all are (Q7). The dies give E = I cos/d2 at the eye (inverse-square cosine law), and L = I/(A cos) (definition).
func TestScreensInTheWay(t *testing.T) {
	t.Parallel()
	o := Options{Eye: space.Point{X: 0.25, Y: -0.8, Z: 0.3}, Toward: space.Point{X: 0.3, Y: 0.15, Z: 0.3}, AcrossRad: 0.5, Width: 16, Height: 16}
	_, w := lookAt(t, o, open...)
	sc := scenetest.Read(t, scenetest.Shelf, open...)
	g := w.glare(sc, o)
	if len(g.Modules) != 3 || g.All != 3 || len(g.Screens) != 1 || !(g.Screens[0].HeightM > 0.002) {
		t.Fatalf("%+v", g)
	}
	lux := 0.0
	for i := range w.dies {
		c := w.dies[i].source.Position
		d := space.Vector{X: c.X - o.Eye.X, Y: c.Y - o.Eye.Y, Z: c.Z - o.Eye.Z}
		far := d.Length()
		back := scaled(d, -1/far)
		look := unit(space.Vector{X: 0.05, Y: 0.95})
		lux += w.dies[i].cd(back) / (far * far) * d.Dot(look) / far
		if i == 0 {
			cos := -back.Z // the die looks straight down
			want := w.dies[i].cd(back) / (math.Pi * dieRadiusM * dieRadiusM * cos)
			if got := g.Modules[0].LuminanceCd; got < 0.9*want || got > 1.1*want { // other dies of it are a little brighter
				t.Errorf("%g cd/m2, not %g", got, want)
			}
		}
	}
	if math.Abs(g.DiesLx/lux-1) > 1e-9 {
		t.Errorf("%g lx from the dies, not %g", g.DiesLx, lux)
	}
	r := &sc.Rails[0]
	face, front := w.DepthM+r.AboveWaterM, r.YM-r.Profile.WidthM/2
	for share, want := range map[float64]int{1: 0, 0.5: 3} {
		w.boxes = model.NewObstacles([]space.Box{{Min: space.Point{X: -1, Y: front - 1e-4, Z: face - share*g.Screens[0].HeightM},
			Max: space.Point{X: 2, Y: front, Z: face + 0.02}}})
		if with := w.glare(sc, o); len(with.Modules) != want {
			t.Errorf("a screen of %g of its height leaves %d modules in sight, not %d", share, len(with.Modules), want)
		}
	}
}

// TestLightAtTheEye: the light of a tank on a face at the eye is the sum over the picture of luminance times solid angle times
// cosine: k2 cos4 a pixel, k its width at unit distance (photometry of a plane picture). From above no die is in sight.
func TestLightAtTheEye(t *testing.T) {
	t.Parallel()
	o := Options{Eye: space.Point{X: 0.3, Y: 0.15, Z: 1.6}, Toward: space.Point{X: 0.3, Y: 0.15}, AcrossRad: 0.9, Width: 400, Height: 400}
	seen, _ := lookAt(t, o, open...)
	k, sum := 2*math.Tan(o.AcrossRad/2)/400, 0.0
	for i, c := range seen.Light {
		x, y := k*(float64(i%400)-199.5), k*(float64(i/400)-199.5)
		cos2 := 1 / (1 + x*x + y*y)
		sum += c.Y * k * k * cos2 * cos2
	}
	if g := seen.Glare; !(sum > 0.1) || math.Abs(g.TankLx/sum-1) > 0.01 || g.DiesLx != 0 {
		t.Errorf("%g lx, by the picture %g; %g from dies", g.TankLx, sum, g.DiesLx)
	}
}
