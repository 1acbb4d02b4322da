package direct

import (
	"math"
	"slices"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// TestJoinedImagesAreNear: far images of a board's dies, summed as one in their middle, leave mean and lowest
// alone within 0.1 %; cells that are off by more than 0.1 % of the mean are few, where the shadow of the rim ends an image's light,
// and none is off by 1 %. Boards of dies that stand apart, or behind narrow lenses, are never joined.
func TestJoinedImagesAreNear(t *testing.T) {
	t.Parallel()
	s := &setup{Tank: model.Tank{LengthM: 1.18, WidthM: 0.43, RimM: 0.06, Walls: glass},
		Model: model.Model{DepthM: 0.42, Water: clearWater()}}
	s.Spectra = append(s.Spectra, levelSpectrum(t))
	s.Beams = append(s.Beams, shape(t, beam.Shape{BeamRad: 60 * deg, FieldRad: 104 * deg}), shape(t, beam.Shape{BeamRad: 15 * deg}))
	every, stepM := 3, 0.06
	if longtest.Pick(false, true) { // bounds that hold on one of these grids
		every, stepM = 1, 0.03
	}
	for m := 0; m < 120; m += every {
		x, y := 0.02+float64(m%30)*0.039, 0.05+float64(m/30)*0.11
		for d := range 4 {
			at := space.Point{X: x + 0.003*float64(d%2*2-1), Y: y + 0.003*float64(d/2*2-1), Z: s.DepthM + 0.16}
			s.Sources = append(s.Sources, model.Source{Module: m, Frame: space.Down, Position: at, EmittedLm: 50, LeavingLm: 45})
		}
	}
	e := quick(t, s)
	g := result.NewGrid(s.LengthM, s.WidthM, stepM)
	for _, depthM := range []float64{0, s.DepthM} {
		all, apart := e.prepare(depthM), 0
		for i := range s.Sources {
			apart += len(all.viewsOf(&s.Sources[i], e.orders, all.track(&s.Sources[i])))
		}
		if n := len(slices.Concat(all.views...)); depthM > 0 && n >= apart*3/4 {
			t.Fatalf("%d views of %d: the images of four dies are not joined", n, apart)
		}
		got := plane(t, e, depthM, g)
		want := newField(g)
		for die := range 4 { // one of a board alone is neither joined nor in a ring
			var one []model.Source
			for i := die; i < len(s.Sources); i += 4 {
				one = append(one, s.Sources[i])
			}
			want.Add(plane(t, e.WithSources(one, e.orders), depthM, g))
		}
		mean := result.Summarise(want.Illuminance, 0).Mean
		off, worst := 0, 0.0
		for c := range want.Illuminance {
			one := math.Abs(got.Illuminance[c]-want.Illuminance[c]) / mean
			if worst = math.Max(worst, one); one > 0.001 {
				off++
			}
		}
		a, b := g.Extremes(got.Illuminance, nil), g.Extremes(want.Illuminance, nil)
		t.Logf("at %g m: %d of %d cells are off, by up to %.2g; mean by %.2g, lowest by %.2g", depthM, off, g.Cells(), worst, a.Mean/b.Mean-1, a.Min/b.Min-1)
		if off > g.Cells()/5 || worst > 0.01 || // most of them where a wall's edge ends all dies at one place
			math.Abs(a.Mean/b.Mean-1) > 1e-4 || math.Abs(a.Min/b.Min-1) > 1e-3 {
			t.Errorf("at %g m: %d of %d cells are off, by up to %g; mean %g and %g, lowest %g and %g", depthM, off, g.Cells(), worst, a.Mean, b.Mean, a.Min, b.Min)
		}
	}
	board := s.Sources[:4]
	if board[0].Beam = 1; e.prepare(0).joined(board) != nil {
		t.Error("dies behind a narrow lens are joined")
	}
	board[0].Beam, board[0].Position.X = 0, board[0].Position.X-0.05
	if e.prepare(0).joined(board) != nil {
		t.Error("dies that stand apart are joined")
	}
}

// TestRingsAreTheirDies: a board that is summed as a ring gives the light of its dies one by one, by mirrors and clear walls
// too, whose rim ends their light at unlike places; images mirrored twice are joined and end at one place, which shows in few
// cells and, by mirrors, in 2.3e-4 of the mean.
func TestRingsAreTheirDies(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]walls.Wall{"mirrors": {Kind: walls.Mirror, Reflectance: 0.9}, "glass": {Kind: walls.Glass, Index: 1.52}} {
		s := &setup{Tank: model.Tank{LengthM: 1.01, WidthM: 0.383, RimM: 0.06, Walls: [4]walls.Wall{end, end, end, end}},
			Model: model.Model{DepthM: 0.214, Water: clearWater()}}
		s.Spectra = append(s.Spectra, levelSpectrum(t))
		s.Beams = append(s.Beams, shape(t, beam.Shape{BeamRad: 120 * deg}))
		for d := range 4 {
			at := space.Point{X: 0.35 + 0.006*float64(d%2*2-1), Y: 0.19 + 0.006*float64(d/2*2-1), Z: s.DepthM + 0.2}
			s.Sources = append(s.Sources, model.Source{Frame: space.Down, Position: at, EmittedLm: 50, LeavingLm: 45})
		}
		e, g := quick(t, s), result.NewGrid(s.LengthM, s.WidthM, 0.02)
		if e.empty(s.DepthM, measured).ring(s.Sources) == nil {
			t.Fatal("the board is no ring")
		}
		got, want := plane(t, e, s.DepthM, g), newField(g)
		for i := range s.Sources {
			want.Add(plane(t, e.WithSources(s.Sources[i:i+1], e.orders), s.DepthM, g))
		}
		mean, off := result.Summarise(want.Illuminance, 0).Mean, 0
		for c, v := range want.Illuminance {
			if math.Abs(got.Illuminance[c]-v) > 0.002*mean {
				off++
			}
		}
		if a := result.Summarise(got.Illuminance, 0).Mean; off*10 > g.Cells() || math.Abs(a/mean-1) > 3e-4 {
			t.Errorf("%s: %d of %d cells are off, mean %g of %g", name, off, g.Cells(), a, mean)
		}
	}
}
