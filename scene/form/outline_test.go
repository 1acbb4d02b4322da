package form_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// ell is an outline with one corner that points to the inside.
var ell = form.Outline{Corners: []form.Corner{{}, {XM: 2}, {XM: 2, YM: 1}, {XM: 1, YM: 1}, {XM: 1, YM: 2}, {YM: 2}},
	Edges: []int{0, 1, 2, 3, 4, 5}}

// ring is a regular outline of so many corners about a circle of 1 m.
func ring(corners int) (o form.Outline) {
	for i := range corners {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		o.Corners, o.Edges = append(o.Corners, form.Corner{XM: 1 + c, YM: 1 + s}), append(o.Edges, i)
	}
	return o
}

// TestFenceAgainstSteps: where a way first leaves an outline or enters it, against small steps with another test of inside.
func TestFenceAgainstSteps(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 1))
	for _, o := range []form.Outline{ell, ring(7), ring(180)} {
		f := form.NewFence(o)
		for range 60 {
			at := space.Point{X: 2.4*r.Float64() - 0.2, Y: 2.4*r.Float64() - 0.2, Z: 5}
			s, c := math.Sincos(2 * math.Pi * r.Float64())
			d := space.Vector{X: 0.8 * c, Y: 0.8 * s, Z: 0.6}
			inside := o.Holds(at)
			if f.Holds(at, d) != inside {
				t.Fatalf("%v is told inside and outside", at)
			}
			want, step := 4.0, 1e-3
			for way := 0.0; way < want; way += step {
				if o.Holds(space.Point{X: at.X + way*d.X, Y: at.Y + way*d.Y}) != inside {
					want = way
				}
			}
			got, edge := f.Next(at, d, 4, !inside)
			if math.Abs(got-want) > step || (edge >= 0) != (got < 4) {
				t.Errorf("%d corners: from %v along %v: edge %d at %g, stepwise %g", len(o.Corners), at, d, edge, got, want)
			}
		}
	}
}

// TestOnAnEdge: a ray that starts on the edge that has turned it does not meet it again, but meets one it runs out by.
func TestOnAnEdge(t *testing.T) {
	f := form.NewFence(ell)
	at := space.Point{X: 1.5, Y: 1 + 1e-12}
	if way, edge := f.Next(at, space.Vector{X: 0.1, Y: -1}, 9, false); edge != 0 || math.Abs(way-1) > 1e-9 {
		t.Errorf("to the inside: edge %d at %g", edge, way)
	}
	if way, edge := f.Next(at, space.Vector{X: 0.1, Y: 1}, 9, false); edge != 2 || way != 0 {
		t.Errorf("to the outside: edge %d at %g", edge, way)
	}
	if !f.Holds(at, space.Vector{Y: -1}) || f.Holds(at, space.Vector{Y: 1}) {
		t.Error("a place on an edge is not where it goes")
	}
}

func TestWithin(t *testing.T) {
	if got := ell.AreaM2(); math.Abs(got-3) > 1e-15 {
		t.Errorf("area %g, not 3", got)
	}
	if got, mid := ell.Within(space.Area{FromXM: 0.5, ToXM: 1.5, FromYM: 0.5, ToYM: 1.5}); math.Abs(got-0.75) > 1e-15 ||
		math.Abs(mid.XM-(1-0.25*0.25/0.75)) > 1e-15 { // a square of 1 m without a quarter
		t.Errorf("area %g about x = %g", got, mid.XM)
	}
	sum, x := 0.0, 0.0
	for i := range 100 {
		area, mid := ell.Within(space.Area{FromXM: 0.2 * float64(i%10), ToXM: 0.2 * float64(i%10+1), FromYM: 0.2 * float64(i/10), ToYM: 0.2 * float64(i/10+1)})
		sum, x = sum+area, x+area*mid.XM
	}
	if math.Abs(sum-3) > 1e-12 || math.Abs(x/3-2.5/3) > 1e-12 { // the ell: 2 m2 about x = 1 and 1 m2 about x = 0.5
		t.Errorf("cells of %g m2 about x = %g", sum, x/3)
	}
}

// TestReach: bars end where the outline does within their width, in closed form: at a cut of 45 degrees, at a circle, and in
// both arms of a tank with a gap.
func TestReach(t *testing.T) {
	draw := func(points []form.Point) form.Outline {
		o, _, err := form.Draw(points)
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	gap := form.Outline{Corners: []form.Corner{{}, {XM: 3}, {XM: 3, YM: 2}, {XM: 2, YM: 2}, {XM: 2, YM: 1}, {XM: 1, YM: 1}, {XM: 1, YM: 2}, {YM: 2}}}
	cut, round := draw(form.CutCorner(0.7, 0.6, 0.3, 1)), draw(form.Round(0.5))
	chord := 0.25 - math.Sqrt(0.25*0.25-0.05*0.05)
	for _, c := range []struct {
		what      string
		of        form.Outline
		low, high float64
		along     bool
		want      []float64
	}{
		{"a cut, along x", cut, 0.1, 0.14, true, []float64{0, 0.54}},
		{"a cut, along y", cut, 0.5, 0.54, false, []float64{0.1, 0.6}},
		{"beside the cut", cut, 0.4, 0.5, true, []float64{0, 0.7}},
		{"across a circle's middle", round, 0.2, 0.3, true, []float64{0, 0.5}},
		{"across a circle", round, 0.3, 0.35, false, []float64{chord, 0.5 - chord}},
		{"two arms", gap, 1.2, 1.4, true, []float64{0, 1, 2, 3}},
		{"over the edge of the gap", gap, 0.9, 1.1, true, []float64{0, 3}},
		{"beside it", gap, 2.1, 2.2, true, nil},
	} {
		got := c.of.Reach(c.low, c.high, c.along)
		for i := range c.want {
			if len(got) != len(c.want) || math.Abs(got[i]-c.want[i]) > 2e-4 {
				t.Errorf("%s: %v, not %v", c.what, got, c.want)
				break
			}
		}
		if len(c.want) == 0 && got != nil {
			t.Errorf("%s: %v", c.what, got)
		}
	}
}

// TestAgainstAGeometryLibrary: area, middle, inside and distance of random stars against package planar of orb.
func TestAgainstAGeometryLibrary(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 1))
	for range 40 {
		o, n := form.Outline{}, 3+r.IntN(20)
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.8*r.Float64()) / float64(n))
			k := 0.3 + 0.7*r.Float64()
			o.Corners, o.Edges = append(o.Corners, form.Corner{XM: 1 + k*c, YM: 1 + k*s}), append(o.Edges, i)
		}
		var ring orb.Ring
		for i := range n + 1 {
			ring = append(ring, orb.Point{o.Corners[i%n].XM, o.Corners[i%n].YM})
		}
		mid, area := planar.CentroidArea(ring)
		got, own := o.Within(space.Area{ToXM: 3, ToYM: 3})
		if math.Abs(got-area)+math.Abs(o.AreaM2()-area) > 1e-12 || math.Abs(own.XM-mid[0])+math.Abs(own.YM-mid[1]) > 1e-9 {
			t.Errorf("%d corners: %g m2 about %v, not %g about %v", n, got, own, area, mid)
		}
		f := form.NewFence(o)
		for range 50 {
			at := space.Point{X: 2 * r.Float64(), Y: 2 * r.Float64()}
			inside := planar.RingContains(ring, orb.Point{at.X, at.Y})
			if o.Holds(at) != inside || f.Holds(at, space.Vector{}) != inside {
				t.Errorf("%v: inside is %v", at, o.Holds(at))
			}
			edge := planar.DistanceFrom(orb.LineString(ring), orb.Point{at.X, at.Y})
			if off := o.EdgeM(form.Corner{XM: at.X, YM: at.Y}); math.Abs(off-edge) > 1e-12 {
				t.Errorf("%v: %g m from the edge, not %g", at, off, edge)
			}
		}
	}
}
