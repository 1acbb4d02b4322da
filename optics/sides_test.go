package optics_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// lumens is what comes to a wall.
func lumens(w result.Wall) float64 {
	g := w.Field.Grid
	return w.Illuminance.Mean * float64(g.Cells()) * g.StepXM * g.StepYM
}

// TestBlackWallsTakeWhatComesToThem: conservation of energy: the lumens on four black walls of a full tank are what the
// flux balance of all light gives the walls, straight and scattered.
func TestBlackWallsTakeWhatComesToThem(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"pure", "cloudy"} {
		sc := scenetest.Read(t, scenetest.Shelf, "height: 360 mm", "height: 300 mm", "kind: pure", "kind: "+kind)
		m := mapOf(t, sc, optics.Options{Walls: []string{"left", "right", "front", "back"}})
		all := 0.0
		for _, w := range m.Walls {
			all += lumens(w)
		}
		if b := m.Balance.Walls; len(m.Walls) != 4 || !(math.Abs(all/b-1) < 0.01) || b < 0.05*m.Balance.Emitted {
			t.Errorf("%s: %d walls get %g lm, the balance gives them %g of %g", kind, len(m.Walls), all, b, m.Balance.Emitted)
		}
		left, right := m.Walls[0], m.Walls[1]
		if left.Name != "left" || left.Ends != [2]string{"front", "back"} || math.Abs(left.Illuminance.Mean/right.Illuminance.Mean-1) > 0.02 {
			t.Errorf("%s has %g lx, %s %g in a tank that is its own mirror image", left.Name, left.Illuminance.Mean, right.Name, right.Illuminance.Mean)
		}
	}
}

// TestSidesOfShapedTanks: a tank with a corner cut off by next to nothing, and one with a pebble, have the walls of the
// rectangular empty one (P4 of the worked examples: limit). All light is counted by photons there, straight light is summed
// here. The module hangs in a corner, so that each wall has its own light, by its halves too.
func TestSidesOfShapedTanks(t *testing.T) {
	t.Parallel()
	corner := []string{"above_water: 150 mm", "above_water: 150 mm\n    y: 80 mm", "count: 1,", "x: 100 mm,"}
	cut := []string{"height: 360 mm", "height: 360 mm\n  outline: {corner: {cut: 1 mm, at: front right}}"}
	pebble := []string{"  floor: {diffuse: 0}", "  floor: {diffuse: 0}\n  things: [{name: pebble, shape: box, at: [300 mm, 150 mm], size: [2 mm, 2 mm, 2 mm], reflectance: 0}]"}
	o := optics.Options{Walls: []string{"left", "right", "front", "back"}, Planes: []scene.PlaneRef{{Name: "surface"}}}
	a := mapOf(t, scenetest.Read(t, scenetest.Shelf, corner...), o)
	for _, change := range [][]string{append(cut, pebble...), cut, pebble}[:longtest.Pick(1, 3)] {
		sc := scenetest.Read(t, scenetest.Shelf, append(corner, change...)...)
		b := mapOf(t, sc, o)
		if names := optics.Sides(sc); len(change) > 2 && (len(names) != 5 || !slices.Contains(names, "front right side")) {
			t.Fatalf("sides: %v", names)
		}
		for _, w := range a.Walls {
			other := b.Walls[slices.IndexFunc(b.Walls, func(v result.Wall) bool { return v.Name == w.Name })]
			if w.Ends != other.Ends || math.Abs(w.Illuminance.Mean/other.Illuminance.Mean-1) > 0.01 {
				t.Errorf("%s: %g lx between %v, shaped %g between %v", w.Name, w.Illuminance.Mean, w.Ends, other.Illuminance.Mean, other.Ends)
			}
			// halves, so that a wall that runs the other way shows
			if x, y := half(w), half(other); math.Abs(x/y-1) > 0.02 {
				t.Errorf("%s: first half %g of the mean, shaped %g", w.Name, x, y)
			}
			if w.Illuminance.Min < 0.5*other.Illuminance.Min || w.ErrorLx > 0.02*w.Illuminance.Mean || !(w.ErrorLx > 0) {
				t.Errorf("%s: lowest %g and %g lx, error %g", w.Name, w.Illuminance.Min, other.Illuminance.Min, w.ErrorLx)
			}
		}
	}
}

// half is the mean of the first half of a wall over that of all of it.
func half(w result.Wall) float64 {
	first, g := 0.0, w.Field.Grid
	for i, v := range w.Field.Illuminance {
		if i%g.NX < g.NX/2 {
			first += v
		}
	}
	return first / float64(g.NX/2*g.NY) / w.Illuminance.Mean
}

// TestObstaclesAtAWall: what stands at a wall covers a part of it, which no figure counts.
func TestObstaclesAtAWall(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf, "  floor: {diffuse: 0}", "  floor: {diffuse: 0}\n  obstacles: [{name: filter, from: [0 mm, 0 mm, 0 mm], to: [60 mm, 300 mm, 150 mm]}]")
	m := mapOf(t, sc, optics.Options{Walls: []string{"left", "front"}})
	for i, want := range []float64{0.5, 0.05} { // 150 of 300 mm; 60 x 150 of 600 x 300 mm
		if w := m.Walls[i]; math.Abs(w.Field.Solid.Share()-want) > 0.04 || w.Illuminance.Min <= 0 {
			t.Errorf("%s: %g is covered, lowest %g lx", w.Name, w.Field.Solid.Share(), w.Illuminance.Min)
		}
	}
}

func TestWallsThatCannotBeHad(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf)
	for want, o := range map[string]optics.Options{
		`no face "roof"; it has left, right, front, back`: {Walls: []string{"roof"}},
		"front is given twice":                            {Walls: []string{"front", "front"}},
		"the engine traced does not know":                 {Walls: []string{"front"}, Engine: optics.Traced},
		"the engine straight does not know":               {Walls: []string{"front"}, Engine: optics.Straight},
		"a step of 0.1 mm makes":                          {Walls: []string{"front"}, StepM: 1e-4},
	} {
		if _, err := optics.Map(t.Context(), sc, o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, not %q", err, want)
		}
	}
}
