package direct

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// lively is a tank with glass, a box and three sources, one of them tilted.
func lively(t tester) *Engine {
	s := tank(t)
	s.Walls = glass
	s.Boxes = []space.Box{{Min: space.Point{X: 0.5, Y: 0, Z: 0.46}, Max: space.Point{X: 0.56, Y: 0.4, Z: 0.48}}}
	hang(s, 0.2, 0.2, 0.15)
	hang(s, 0.55, 0.15, 0.15)
	hang(s, 1, 0.25, 0.15).Frame = space.Tilted(20 * deg)
	return engine(t, s)
}

// TestPointsAreCellsOfPlanes: the light at the centres of a grid's cells is that of the plane. Both sum the same terms, in
// another order at most.
func TestPointsAreCellsOfPlanes(t *testing.T) {
	e := lively(t)
	g := result.NewGrid(1.2, 0.4, 0.05)
	g.Points = true
	var points []Point
	var want, wantPPFD []float64
	for _, depthM := range []float64{0.42, 0, 0.2} {
		f := plane(t, e, depthM, g)
		for i := range g.Cells() {
			points = append(points, Point{X: g.CentreX(i % g.NX), Y: g.CentreY(i / g.NX), DepthM: depthM})
		}
		want, wantPPFD = append(want, f.Illuminance...), append(wantPPFD, f.PPFD...)
	}
	lux, ppfd, err := e.At(context.Background(), points)
	if err != nil {
		t.Fatal(err)
	}
	for i := range points {
		if math.Abs(lux[i]-want[i]) > 1e-9*want[i] || math.Abs(ppfd[i]-wantPPFD[i]) > 1e-9*wantPPFD[i] {
			t.Fatalf("%+v: %g lx and %g umol/m2/s, the plane has %g and %g", points[i], lux[i], ppfd[i], want[i], wantPPFD[i])
		}
	}
}

// TestPointsAtTheWalls: the edge of the tank is a place like any other, and the order of points does not matter.
func TestPointsAtTheWalls(t *testing.T) {
	e := lively(t)
	points := []Point{{0, 0, 0.42}, {1.2, 0.4, 0.42}, {0.2, 0.2, 0}, {0, 0.2, 0.1}, {0.2, 0.2, 0.42}}
	lux, _, err := e.At(context.Background(), points)
	if err != nil {
		t.Fatal(err)
	}
	for i := range points {
		if !(lux[i] > 0) || math.IsInf(lux[i], 0) {
			t.Errorf("%+v: %g lx", points[i], lux[i])
		}
		alone, _, _ := e.At(context.Background(), points[i:i+1])
		if alone[0] != lux[i] {
			t.Errorf("%+v: %g lx alone, %g among others", points[i], alone[0], lux[i])
		}
	}
	if inside, _, _ := e.At(context.Background(), []Point{{1e-9, 1e-9, 0.42}}); math.Abs(inside[0]-lux[0]) > 1e-6*lux[0] {
		t.Errorf("%g lx in the corner, %g a nanometre inside", lux[0], inside[0])
	}
	if none, _, err := e.At(context.Background(), nil); len(none) != 0 || err != nil {
		t.Errorf("no points: %v, %v", none, err)
	}
}

// TestOtherWater: on the axis a grey absorption takes exp(-a d) and leaves all else.
func TestOtherWater(t *testing.T) {
	s := tank(t)
	hang(s, 0.6, 0.2, 0.15)
	e := engine(t, s)
	points := []Point{{0.6, 0.2, 0.1}, {0.6, 0.2, 0.42}}
	before, _, _ := e.At(context.Background(), points)
	after, _, _ := e.WithWater(e.Water().WithExtra(2)).At(context.Background(), points)
	for i, p := range points {
		// The axis is between nodes of no table: what is left is rounding and the table of the water, 1e-6.
		near(t, "share left", after[i]/before[i], math.Exp(-2*p.DepthM), 2e-6)
	}
	if again, _, _ := e.At(context.Background(), points); again[0] != before[0] {
		t.Error("the engine itself has other water now")
	}
}

func BenchmarkAt(b *testing.B) {
	e := lively(b)
	var points []Point
	for i := range 200 {
		points = append(points, Point{X: 1.2 * float64(i) / 200, Y: 0.1, DepthM: 0.04 * float64(i%10)})
	}
	for b.Loop() {
		if _, _, err := e.At(context.Background(), points); err != nil {
			b.Fatal(err)
		}
	}
}
