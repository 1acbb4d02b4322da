package direct

import (
	"context"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/longtest"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// drawModel draws a tank with two to four sources, any walls, perhaps a cover, boxes and tilted or oval optics.
func drawModel(t *rapid.T) *setup {
	between := func(low, high float64, name string) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	s := &setup{Tank: model.Tank{LengthM: between(0.3, 2, "length"), WidthM: between(0.2, 0.8, "width"), RimM: between(0, 0.1, "rim"), FloorReflectance: between(0, 1, "floor")},
		Model: model.Model{DepthM: between(0.1, 0.8, "depth"), Spectra: []photometry.Spectrum{levelSpectrum(t)}}}
	s.Water = water.New(water.Constituents{CDOM440PerM: between(0, 3, "colour"), CDOMSlopePerNm: 0.017, ParticleScatterPerM: between(0, 1, "particles"), Asymmetry: 0.9}, 25, 0)
	for i := range s.Walls {
		s.Walls[i] = walls.Wall{Kind: walls.Kind(rapid.IntRange(0, 2).Draw(t, "wall")), Index: 1.52, Reflectance: between(0, 1, "share")}
	}
	if rapid.Bool().Draw(t, "covered") {
		s.Cover = &model.Cover{UndersideM: 0.02, ThicknessM: 0.005, Index: 1.5, AbsorbPerM: func(float64) float64 { return 4 }}
	}
	if rapid.Bool().Draw(t, "boxed") {
		x, y, z := between(0, s.LengthM, "box x"), between(0, s.WidthM, "box y"), between(0, s.DepthM+0.05, "box z")
		s.Boxes = []space.Box{{Min: space.Point{X: x, Y: y, Z: z}, Max: space.Point{X: x + 0.1, Y: y + 0.07, Z: z + 0.05}}}
	}
	s.Beams = []*beam.Beam{shape(t, beam.Shape{BeamRad: between(10, 130, "beam") * deg, StrayShare: math.Floor(between(0, 100, "stray")) / 1000}),
		shape(t, beam.Shape{BeamRad: 60 * deg, BeamAcrossRad: 25 * deg})}
	for i := range rapid.IntRange(2, 4).Draw(t, "sources") {
		src := hang(s, beside(between(-0.1, s.LengthM+0.1, "x"), s.LengthM), between(0.01, s.WidthM-0.01, "y"), between(0.04, 0.4, "height"))
		src.Beam = rapid.IntRange(0, 1).Draw(t, "optic")
		src.Frame = space.Tilted(float64(i%2) * between(-60, 60, "tilt") * deg)
		src.LeavingLm *= 0.9
	}
	return s
}

// beside moves a source off a wall's plane, where it would be on both sides at once.
func beside(x, length float64) float64 {
	for _, wall := range [2]float64{0, length} {
		if math.Abs(x-wall) < 0.01 {
			return wall + 0.01
		}
	}
	return x
}

// quick readies a model with few rays for its flux balance; the fields do not depend on them but for the orders of images.
func quick(t tester, s *setup) *Engine {
	t.Helper()
	e, err := New(context.Background(), s.build(), Options{Workers: 2, Attenuation: water.Direct, Rays: 4000})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

var coarse = func(s *setup) result.Grid { return result.NewGrid(s.LengthM, s.WidthM, s.LengthM/16) }

// TestBalanceClosesAndAgreesWithTheFloor draws 200 scenes at least in full, however few rapid is asked for at a time.
func TestBalanceClosesAndAgreesWithTheFloor(t *testing.T) {
	scenes := 0
	for scenes < longtest.Pick(1, 200) && !t.Failed() {
		longtest.Check(t, func(t *rapid.T) {
			s := drawModel(t)
			booksClose(t, s)
			floorGetsWhatBooksSay(t, s)
			scenes++
		})
	}
}

// booksClose checks that the entries of a model's flux balance are shares of what is emitted, and that they add up to it.
func booksClose(t *rapid.T, s *setup) {
	b := quick(t, s).Balance()
	emitted := 0.0
	for _, src := range s.Sources {
		emitted += src.EmittedLm
	}
	if math.Abs(b.Emitted-emitted) > 1e-9*emitted || math.Abs(b.Sum()-emitted) > 1e-9*emitted {
		t.Fatalf("flux balance sums to %g lm of %g, and the sources emit %g", b.Sum(), b.Emitted, emitted)
	}
	for _, v := range []float64{b.Optic, b.Cover, b.Spill, b.Surface, b.Water, b.Walls, b.Floor, b.Obstacles, b.Unfollowed} {
		if v < -1e-9*b.Emitted {
			t.Fatalf("a negative entry in %+v", b)
		}
	}
}

// floorGetsWhatBooksSay checks that the field on a black floor holds the flux that the flux balance's rays bring there, within 1 % of
// what is emitted. Rays and sum go separate ways; the field's cells become smaller until shadows and spots are resolved.
func floorGetsWhatBooksSay(t *rapid.T, s *setup) {
	dark := *s
	dark.FloorReflectance = 0 // such a floor keeps in the flux balance whatever arrives
	e := engine(t, &dark)
	b := e.Balance()
	var got float64
	for _, share := range [3]float64{0.5, 0.125, 0.03125} {
		got = flux(plane(t, e, s.DepthM, result.NewGrid(s.LengthM, s.WidthM, share*narrowestSpot(s))))
		if math.Abs(got-b.Floor) < 0.01*b.Emitted {
			return
		}
	}
	t.Fatalf("the field brings %g lm to the floor, the flux balance %g, of %g", got, b.Floor, b.Emitted)
}

// narrowestSpot returns the half width in metres of the smallest spot that a source could light on the floor, at most a
// sixteenth of the tank.
func narrowestSpot(s *setup) float64 {
	radius := s.LengthM / 16
	for _, src := range s.Sources {
		along, across := s.Beams[src.Beam].FullAngles(0.5)
		path := src.Position.Z - s.DepthM/4 // the water bends beams together, as three quarters of its depth would
		radius = min(radius, path*math.Tan(min(along, across)/2))
	}
	return radius
}

func TestDoublingFluxDoublesTheField(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		once := plane(t, quick(t, s), s.DepthM, coarse(s))
		for i := range s.Sources {
			s.Sources[i].EmittedLm *= 2
			s.Sources[i].LeavingLm *= 2
		}
		twice := plane(t, quick(t, s), s.DepthM, coarse(s))
		for i := range once.Illuminance {
			if twice.Illuminance[i] != 2*once.Illuminance[i] || twice.PPFD[i] != 2*once.PPFD[i] {
				t.Fatalf("cell %d: %g and %g", i, once.Illuminance[i], twice.Illuminance[i])
			}
		}
	})
}

func TestMirroredStageGivesMirroredField(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		s.Boxes = nil // the edge of a shadow may fall on a cell's centre
		one := plane(t, quick(t, s), s.DepthM, coarse(s))
		m := *s
		m.Walls[model.Left], m.Walls[model.Right] = s.Walls[model.Right], s.Walls[model.Left]
		m.Sources = slices.Clone(s.Sources)
		for i := range m.Sources {
			m.Sources[i].Position.X = s.LengthM - m.Sources[i].Position.X
		}
		other := plane(t, quick(t, &m), s.DepthM, coarse(s))
		peak := slices.Max(one.Illuminance)
		for iy := range one.Grid.NY {
			for ix := range one.Grid.NX {
				a, b := one.Illuminance[iy*one.Grid.NX+ix], other.Illuminance[iy*one.Grid.NX+one.Grid.NX-1-ix]
				if math.Abs(a-b) > 1e-8*peak {
					t.Fatalf("column %d, row %d: %g and %g", ix, iy, a, b)
				}
			}
		}
	})
}

func TestShiftedSourcesShiftTheField(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		s.Walls, s.Boxes, s.LengthM = black, nil, 1.6
		s.RimM = -s.DepthM // walls without height take no light on its way through the air
		step := 0.1
		row := func() []float64 {
			return quick(t, s).prepare(s.DepthM).line(cellRow{y: s.WidthM / 3, stepM: step, n: 16}).lux
		}
		for i := range s.Sources {
			s.Sources[i].Position.X = 0.2 + 0.3*float64(i)
		}
		before := row()
		for i := range s.Sources {
			s.Sources[i].Position.X += 2 * step
		}
		after := row()
		for i := 2; i < len(after); i++ {
			if math.Abs(after[i]-before[i-2]) > 1e-9*(1+before[i-2]) {
				t.Fatalf("cell %d: %g and %g", i, before[i-2], after[i])
			}
		}
	})
}

func TestMoreAbsorptionNeverBrightens(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		colour := rapid.Float64Range(0, 3).Draw(t, "first colour")
		more := colour + rapid.Float64Range(0, 3).Draw(t, "more colour")
		s.Water = water.New(water.Constituents{CDOM440PerM: colour, CDOMSlopePerNm: 0.015}, 25, 0)
		e := quick(t, s)
		clear := plane(t, e, s.DepthM, coarse(s))
		s.Water = water.New(water.Constituents{CDOM440PerM: more, CDOMSlopePerNm: 0.015}, 25, 0)
		stained := quick(t, s)
		stained.orders = e.orders // the same images on both sides
		dim := plane(t, stained, s.DepthM, coarse(s))
		for i := range clear.Illuminance {
			if dim.Illuminance[i] > clear.Illuminance[i]*(1+1e-6)+1e-9 || dim.PPFD[i] > clear.PPFD[i]*(1+1e-6)+1e-9 {
				t.Fatalf("cell %d: %g lx, then %g", i, clear.Illuminance[i], dim.Illuminance[i])
			}
		}
	})
}

func TestSpansGiveWhatCellsGive(t *testing.T) {
	// Rows are cut into spans that are summed in bulk; cell by cell with every check the sum is the same.
	longtest.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		e := quick(t, s)
		const n = 48
		sum := e.prepare(s.DepthM)
		y := rapid.Float64Range(0, s.WidthM).Draw(t, "row")
		for _, views := range sum.views {
			for i := range views {
				row := cellRow{y: y, stepM: s.LengthM / n, n: n}
				im := sum.image(&views[i], row)
				fast, slow := newRow(n), newRow(n)
				im.add(fast)
				alone := sum.image(&views[i], row)
				alone.traced(slow, span{0, n})
				peak := views[i].track.nodes[0].lux * im.source.LeavingLm * 10
				for k := range fast.lux {
					if math.Abs(fast.lux[k]-slow.lux[k]) > 1e-8*peak {
						t.Fatalf("cell %d: %g in spans, %g alone", k, fast.lux[k], slow.lux[k])
					}
				}
			}
		}
	})
}

func TestSameBytesForAnyNumberOfWorkers(t *testing.T) {
	s := quads(t, 6)
	var first Light
	for _, workers := range []int{1, 2, 7} {
		e, err := New(context.Background(), s.build(), Options{Workers: workers, Attenuation: water.Direct})
		if err != nil {
			t.Fatal(err)
		}
		l, err := e.Plane(context.Background(), s.DepthM, result.NewGrid(s.LengthM, s.WidthM, 0.01), workers == 2)
		if err != nil {
			t.Fatal(err)
		}
		if workers == 1 {
			first = l
			continue
		}
		if !slices.Equal(first.Whole.Illuminance, l.Whole.Illuminance) || !slices.Equal(first.Whole.PPFD, l.Whole.PPFD) {
			t.Errorf("%d workers give other bytes than one", workers)
		}
	}
}

func TestModulesAddUpToTheWhole(t *testing.T) {
	s := quads(t, 3)
	l, err := quick(t, s).Plane(context.Background(), 0.2, result.NewGrid(s.LengthM, s.WidthM, 0.02), true)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Modules) != 3 {
		t.Fatalf("%d modules", len(l.Modules))
	}
	for i, whole := range l.Whole.Illuminance {
		if sum := l.Modules[0].Illuminance[i] + l.Modules[1].Illuminance[i] + l.Modules[2].Illuminance[i]; sum != whole {
			t.Fatalf("cell %d: %g, modules sum to %g", i, whole, sum)
		}
	}
}

func TestCancelledContextStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	e := engine(t, quads(t, 1))
	cancel()
	if _, err := e.Plane(ctx, 0.2, result.NewGrid(1, 1, 0.1), false); err != context.Canceled {
		t.Errorf("error %v", err)
	}
}

// TestBenchGivesWhatThePlaneGives: light read off lanes is that of rays to each place, but in few places at edges of light.
func TestBenchGivesWhatThePlaneGives(t *testing.T) {
	longtest.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		e, g := quick(t, s), result.NewGrid(s.LengthM, s.WidthM, s.LengthM/40)
		g.Points = true
		whole, alone := plane(t, e, s.DepthM, g), fieldOf(e.Bench(s.DepthM, g), s.Sources, e.Orders(), 2)
		peak, off := slices.Max(whole.Illuminance), 0
		for i, want := range whole.Illuminance {
			if math.Abs(want-alone.Illuminance[i]) > 5e-4*peak {
				off++
			}
		}
		if off*20 > len(whole.Illuminance) {
			t.Fatalf("%d of %d places are off", off, len(whole.Illuminance))
		}
	})
}
