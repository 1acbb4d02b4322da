package form_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// anySolid draws a solid of any kind about the middle of a cube of 1 m.
func anySolid(t *rapid.T) form.Solid {
	half := rapid.Float64Range(0.02, 0.3)
	return form.NewSolid(form.Kind(rapid.IntRange(0, len(form.Kinds)-1).Draw(t, "kind")), space.Point{X: 0.5, Y: 0.5, Z: 0.5},
		space.Vector{X: half.Draw(t, "x"), Y: half.Draw(t, "y"), Z: half.Draw(t, "z")}, rapid.Float64Range(-3, 3).Draw(t, "turn"))
}

// direction draws a direction.
func direction(t *rapid.T) space.Vector {
	z, turn := rapid.Float64Range(-1, 1).Draw(t, "up"), rapid.Float64Range(0, 6.2).Draw(t, "around")
	s, c := math.Sincos(turn)
	r := math.Sqrt(1 - z*z)
	return space.Vector{X: r * c, Y: r * s, Z: z}
}

func along(from space.Point, d space.Vector, way float64) space.Point {
	return space.Point{X: from.X + way*d.X, Y: from.Y + way*d.Y, Z: from.Z + way*d.Z}
}

// TestSolidsAgainstSteps: where a way meets a solid, against small steps along it; there it lies within the bounds, on
// the face that is named, and goes against its normal; a way that goes on from there does not meet it again.
func TestSolidsAgainstSteps(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s, d := anySolid(t), direction(t)
		aim := rapid.Float64Range(0.2, 0.8)
		to := space.Point{X: aim.Draw(t, "aim x") + 0.00137, Y: aim.Draw(t, "aim y") + 0.00139, Z: aim.Draw(t, "aim z") + 0.00141} // along no face
		from := along(to, d, -1.2)
		way, face := s.First(from, d)
		first := math.MaxFloat64
		for i := range 5000 {
			if at := along(from, d, 0.0005*float64(i)); s.Holds(at) {
				first = 0.0005 * float64(i)
				break
			}
		}
		if way == math.MaxFloat64 {
			if first < way {
				t.Fatalf("a way into %+v meets nothing", s)
			}
			return
		}
		in := along(from, d, way+1e-9)
		if through := s.Holds(along(from, d, way+0.0011)); through && math.Abs(first-way) > 0.00051 {
			t.Fatalf("%+v is met at %g, not %g", s, way, first)
		}
		b := s.Bounds()
		b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z = b.Min.X-1e-8, b.Min.Y-1e-8, b.Min.Z-1e-8, b.Max.X+1e-8, b.Max.Y+1e-8, b.Max.Z+1e-8
		if in.X < b.Min.X || in.Y < b.Min.Y || in.Z < b.Min.Z || in.X > b.Max.X || in.Y > b.Max.Y || in.Z > b.Max.Z {
			t.Fatalf("%v is met outside the bounds %v", in, b)
		}
		at := along(from, d, way)
		n := s.Normal(face, at)
		if math.Abs(n.Length()-1) > 1e-12 || n.Dot(d) > 0 {
			t.Fatalf("%+v: normal %v against a way along %v", s, n, d)
		}
		if s.Holds(along(at, n, 1e-7)) || n.Dot(d) < -0.1 && !s.Holds(along(at, n, -1e-7)) && !edge(s, at) {
			t.Fatalf("%+v: %v is no outward normal at %v", s, n, at)
		}
		if again, _ := s.First(at, n); again < math.MaxFloat64 {
			t.Fatalf("a way that leaves %+v meets it again", s)
		}
	})
}

// edge tells whether a place lies within some micrometres of more than one face.
func edge(s form.Solid, at space.Point) bool {
	inside := 0
	for _, v := range []space.Vector{{X: 1e-5}, {Y: 1e-5}, {Z: 1e-5}, {X: -1e-5}, {Y: -1e-5}, {Z: -1e-5}} {
		if s.Holds(along(at, v, 1)) {
			inside++
		}
	}
	return inside < 3
}

// TestPatchesCoverSolids: areas against closed forms (box, cylinder, wedge; ellipsoid of revolution: oblate
// spheroid, 2 pi a^2 (1 + (1-e^2)/e atanh e), handbook formula), and a way that meets a solid finds the patch whose
// heights it has.
func TestPatchesCoverSolids(t *testing.T) {
	t.Parallel()
	everywhere := func(space.Point) bool { return true }
	half := space.Vector{X: 0.1, Y: 0.05, Z: 0.2}
	e := math.Sqrt(1 - 0.2*0.2/(0.3*0.3))
	for _, c := range []struct {
		kind form.Kind
		half space.Vector
		want map[string]float64
	}{
		{form.Box, half, map[string]float64{"top": 0.02, "underside": 0.02, "front": 0.08, "back": 0.08, "left": 0.04, "right": 0.04}},
		{form.Cylinder, space.Vector{X: 0.1, Y: 0.1, Z: 0.2}, map[string]float64{"top": math.Pi * 0.01, "underside": math.Pi * 0.01, "side": 0.08 * math.Pi}},
		{form.Lying, space.Vector{X: 0.2, Y: 0.1, Z: 0.1}, map[string]float64{"left": math.Pi * 0.01, "right": math.Pi * 0.01, "top": 0.04 * math.Pi, "underside": 0.04 * math.Pi}},
		{form.Ellipsoid, space.Vector{X: 0.3, Y: 0.3, Z: 0.2}, map[string]float64{"top": math.Pi * 0.09 * (1 + (1-e*e)/e*math.Atanh(e)), "underside": math.Pi * 0.09 * (1 + (1-e*e)/e*math.Atanh(e))}},
		{form.Wedge, half, map[string]float64{"slope": 0.2 * math.Hypot(0.1, 0.4), "back": 0.08, "left": 0.02, "right": 0.02, "underside": 0.02}},
	} {
		s := form.NewSolid(c.kind, space.Point{X: 0.5, Y: 0.5, Z: 0.5}, c.half, 0.7)
		got := map[string]float64{}
		for _, p := range s.Patches(everywhere) {
			got[p.Face] += p.AreaM2
		}
		for face, want := range c.want {
			if math.Abs(got[face]/want-1) > 2e-3 { // midpoints over patches
				t.Errorf("%s: %s has %g m2, not %g", form.Kinds[c.kind], face, got[face], want)
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: faces %v", form.Kinds[c.kind], got)
		}
		above := s.Patches(func(p space.Point) bool { return p.Z > 0.5 })
		whole, upper := 0.0, 0.0
		for i, p := range s.Patches(everywhere) {
			whole, upper = whole+p.AreaM2, upper+above[i].AreaM2
		}
		if c.kind != form.Wedge && math.Abs(upper/whole-0.5) > 1e-9 {
			t.Errorf("%s: %g of %g m2 lie in its upper half", form.Kinds[c.kind], upper, whole)
		}
	}
}

func TestPlacesFindTheirPatch(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s, d := anySolid(t), direction(t)
		from := along(space.Point{X: 0.5, Y: 0.5, Z: 0.5}, d, -1.2)
		way, face := s.First(from, d)
		if way == math.MaxFloat64 {
			return
		}
		at := along(from, d, way)
		patches := s.Patches(func(space.Point) bool { return true })
		k := s.PatchAt(face, at)
		if k < 0 || k >= len(patches) {
			t.Fatalf("patch %d of %d", k, len(patches))
		}
		// its places reach to within half a sample of its ends
		if p, slack := patches[k], s.Half.Z/4; at.Z < p.LowM-slack || at.Z > p.TopM+slack {
			t.Fatalf("%+v: %v counts to the patch from %g to %g of %s", s, at, p.LowM, p.TopM, p.Face)
		}
	})
}

// TestPilesFindTheFirst: of many solids the one that is met first, against asking each.
func TestPilesFindTheFirst(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var list []form.Solid
		for range rapid.IntRange(1, 30).Draw(t, "solids") {
			s := anySolid(t)
			s.Middle.X, s.Half = s.Middle.X+rapid.Float64Range(-0.5, 2).Draw(t, "off"), space.Vector{X: s.Half.X / 3, Y: s.Half.Y / 3, Z: s.Half.Z / 3}
			list = append(list, s)
		}
		d, within := direction(t), rapid.Float64Range(0, 3).Draw(t, "within")
		from := along(space.Point{X: 0.7, Y: 0.5, Z: 0.5}, d, -1.5)
		want, of, face := math.MaxFloat64, 0, 0
		for i := range list {
			if s, f := list[i].First(from, d); s < want && s < within {
				want, of, face = s, i, f
			}
		}
		if s, i, f := form.NewPile(list).Find(from, d, within); s != want || i != of || f != face {
			t.Fatalf("solid %d at %g, not %d at %g", i, s, of, want)
		}
	})
}
