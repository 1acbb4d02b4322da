package form_test

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// anyGround draws a ground of 1.2 m x 0.5 m.
func anyGround(t *rapid.T) form.Ground {
	g := form.Ground{LengthM: 1.2, WidthM: 0.5, NX: rapid.IntRange(2, 6).Draw(t, "nx"), NY: rapid.IntRange(2, 6).Draw(t, "ny")}
	for range g.NX * g.NY {
		g.HeightsM = append(g.HeightsM, rapid.Float64Range(0, 0.15).Draw(t, "height"))
	}
	return g
}

// TestGroundAgainstSteps: where a way goes down through the ground, against small steps; the height there is that of
// the way, and what leaves along the normal does not come back at once.
func TestGroundAgainstSteps(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		g := anyGround(t)
		from := space.Point{X: rapid.Float64Range(0, 1.2).Draw(t, "x"), Y: rapid.Float64Range(0, 0.5).Draw(t, "y"), Z: 0.2}
		to := space.Point{X: rapid.Float64Range(0, 1.2).Draw(t, "to x"), Y: rapid.Float64Range(0, 0.5).Draw(t, "to y"), Z: rapid.Float64Range(-0.05, 0.1).Draw(t, "to z")}
		d := space.Vector{X: to.X - from.X, Y: to.Y - from.Y, Z: to.Z - from.Z}
		long := d.Length()
		d = space.Vector{X: d.X / long, Y: d.Y / long, Z: d.Z / long}
		got, n := g.First(from, d, long)
		want := math.MaxFloat64
		for i := range 4000 {
			way := long * float64(i+1) / 4000
			if at := along(from, d, way); at.Z < g.HeightM(at.X, at.Y) {
				want = way
				break
			}
		}
		if got == math.MaxFloat64 {
			if want < got && depthUnder(&g, from, d, want, long) > 1e-9 {
				t.Fatalf("the ground at %g is not met", want)
			}
			return
		}
		at := along(from, d, got)
		if math.Abs(at.Z-g.HeightM(at.X, at.Y)) > 1e-9 || got > want+1e-9 {
			t.Fatalf("met at %g, stepwise %g; %g over the ground", got, want, at.Z-g.HeightM(at.X, at.Y))
		}
		if back, _ := g.First(at, n, 0.01); back < 1e-12 {
			t.Fatalf("what leaves the ground meets it at %g", back)
		}
		if n.Dot(d) > 1e-9 {
			t.Fatalf("the ground is met from below: %v along %v", n, d)
		}
	})
}

// depthUnder is how far a way gets under the ground.
func depthUnder(g *form.Ground, from space.Point, d space.Vector, a, b float64) (deepest float64) {
	for i := range 1000 {
		at := along(from, d, a+(b-a)*float64(i)/1000)
		deepest = max(deepest, g.HeightM(at.X, at.Y)-at.Z)
	}
	return deepest
}

func TestSlopes(t *testing.T) {
	t.Parallel()
	g := form.Slope(1.2, 0.5, [4]float64{0, 0, 0.05, 0.05})
	if g.Level() || g.HighestM() != 0.05 || g.HeightM(0.7, 0.25) != 0.025 {
		t.Errorf("%+v at its middle: %g", g, g.HeightM(0.7, 0.25))
	}
	cos := 0.5 / math.Hypot(0.5, 0.05)
	if n := g.Normal(0.3, 0.1); math.Abs(n.Z-cos) > 1e-15 || math.Abs(n.Y+0.1*cos) > 1e-15 || n.X != 0 {
		t.Errorf("normal %v", n)
	}
	if s := g.Stretch(space.Area{ToXM: 1, ToYM: 0.5}); math.Abs(s-1/cos) > 1e-14 {
		t.Errorf("the surface is %g of its plan, not %g", s, 1/cos)
	}
	var level form.Ground
	down := space.Vector{X: 0.6, Z: -0.8}
	if s, n := level.First(space.Point{X: 0.1, Y: 0.1, Z: 0.4}, down, 9); n.Z != 1 || !level.Level() || math.Abs(s-0.5) > 1e-15 || level.HeightM(1, 1) != 0 {
		t.Errorf("level ground at %g", s)
	}
	flat := form.Slope(1.2, 0.5, [4]float64{})
	if s, _ := flat.First(space.Point{X: 0.1, Y: 0.1, Z: 0.4}, down, 9); !flat.Level() || s != 0.5 {
		t.Errorf("a slope of zero is met at %g", s)
	}
}

// TestHeapsAreTheSame: the same bytes for a seed, other ones for another; within their area and height, on the ground.
func TestHeaps(t *testing.T) {
	t.Parallel()
	ground := form.Slope(1.2, 0.5, [4]float64{0, 0, 0.05, 0.05})
	seen := map[string]bool{}
	for seed := range uint64(50) {
		h := form.Heap{Area: space.Area{FromXM: 0.3, ToXM: 0.8, FromYM: 0.1, ToYM: 0.4}, HeightM: 0.2, Seed: seed}
		stones := h.Stones(&ground)
		text := fmt.Appendf(nil, "%v", stones)
		if !bytes.Equal(text, fmt.Appendf(nil, "%v", h.Stones(&ground))) || seen[string(text)] {
			t.Fatalf("heap %d is another one each time, or that of another seed", seed)
		}
		seen[string(text)] = true
		top, foot := 0.0, math.Inf(1)
		for _, s := range stones {
			b := s.Bounds()
			top, foot = max(top, b.Max.Z), min(foot, ground.HeightM(s.Middle.X, s.Middle.Y))
			if b.Min.X < 0.3-1e-12 || b.Max.X > 0.8+1e-12 || b.Min.Y < 0.1-1e-12 || b.Max.Y > 0.4+1e-12 {
				t.Errorf("heap %d: a stone at %v", seed, b)
			}
			if b.Max.Z < ground.HeightM(s.Middle.X, s.Middle.Y) {
				t.Errorf("heap %d: a stone lies in the ground", seed)
			}
		}
		if math.Abs(top-foot-0.2) > 1e-12 {
			t.Errorf("heap %d is %g m high", seed, top-foot)
		}
	}
}
