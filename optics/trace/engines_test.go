package trace

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/longtest"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// anyModel draws a tank with one to four sources. Straight ones have neither diffuse faces nor cover nor scattering, so that
// the direct sum is the whole of their light.
func anyModel(t tester, r *rand.Rand, straight bool) *setup {
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	s := &setup{Tank: model.Tank{LengthM: between(0.3, 1.5), WidthM: between(0.2, 0.7), RimM: between(0.01, 0.1)},
		Model: model.Model{DepthM: between(0.15, 0.6), Spectra: []photometry.Spectrum{whiteSpectrum(t)}, Water: water.Measured(between(0.2, 3), 25, 0)}}
	for i := range s.Walls {
		s.Walls[i] = []walls.Wall{glass, mirror(between(0.3, 0.95)), diffuse(0), glass}[r.IntN(4)]
	}
	if !straight {
		s.Water = water.New(water.Constituents{CDOM440PerM: between(0, 3), CDOMSlopePerNm: 0.017, ParticleScatterPerM: between(0, 2), ParticleExponent: 1, Asymmetry: 0.9}, 25, 0)
		s.FloorReflectance = between(0, 0.8)
		s.Walls[r.IntN(4)] = diffuse(between(0, 0.9))
		film := walls.Wall{Kind: walls.Film, Index: 1.52, Reflectance: between(0, 0.9), Depth: between(0, 0.05)}
		s.Walls[r.IntN(4)] = film
		s.Walls[r.IntN(4)] = []walls.Wall{film, {Kind: walls.Diffuse, Index: 1.52, Reflectance: between(0, 0.9)}, glass}[r.IntN(3)]
		for i := range s.Walls {
			s.Walls[i].Lost = between(0, 0.2) * float64(r.IntN(2))
		}
		if r.IntN(3) > 0 {
			s.Cover = &model.Cover{UndersideM: between(0.01, 0.05), ThicknessM: 0.005, Index: 1.5, AbsorbPerM: func(nm float64) float64 { return 3 + nm/300 }}
		}
	}
	if r.IntN(2) == 0 {
		x, y, z := between(0, s.LengthM), between(0, s.WidthM), between(0, s.DepthM+0.05)
		s.Boxes = []space.Box{{Min: space.Point{X: x, Y: y, Z: z}, Max: space.Point{X: x + 0.1, Y: y + 0.07, Z: z + 0.05}}}
	}
	s.Beams = []*beam.Beam{shape(t, beam.Shape{BeamRad: between(15, 130) * deg, StrayShare: between(0, 0.1)}),
		shape(t, beam.Shape{BeamRad: 60 * deg, BeamAcrossRad: 25 * deg, FieldRad: 100 * deg, FieldAcrossRad: 60 * deg})}
	for i := range 1 + r.IntN(4) {
		// Not near a wall: there the direct sum has peaks that no raster of points integrates.
		src := hang(s, i, space.Point{X: between(0.04, s.LengthM-0.04), Y: between(0.04, s.WidthM-0.04), Z: s.DepthM + between(0.06, 0.3)})
		src.Beam = r.IntN(2)
		src.Frame = space.Tilted(float64(i%2) * between(-50, 50) * deg)
	}
	return s
}

// directMeans returns the direct sum over the cells of a grid, each the mean of fine*fine points.
func directMeans(t tester, s *setup, p Plane, fine int) []float64 {
	t.Helper()
	e, err := direct.New(context.Background(), s.build(), direct.Options{Workers: 2, Attenuation: water.Unscattered})
	if err != nil {
		t.Fatal(err)
	}
	g, nx := p.Grid, p.Grid.NX
	l, err := e.Plane(context.Background(), p.DepthM, result.Grid{NX: nx * fine, NY: g.NY * fine, StepXM: g.StepXM / float64(fine), StepYM: g.StepYM / float64(fine)}, false)
	if err != nil {
		t.Fatal(err)
	}
	means := make([]float64, g.Cells())
	for i, v := range l.Whole.Illuminance {
		ix, iy := i%(nx*fine)/fine, i/(nx*fine)/fine
		means[iy*nx+ix] += v / float64(fine*fine)
	}
	return means
}

// raster is the number of points along a side of a coarse cell whose mean is the cell's; with 20, peaks of light that grazes a
// wall or a box show as differences of up to 0.2 % of a mean.
const raster = 48

func coarse(s *setup) result.Grid { return result.NewGrid(s.LengthM, s.WidthM, s.LengthM/10) }

func TestStraightLightIsTheDirectSum(t *testing.T) {
	// Ten scenes in full without anything that turns light back, where all light is straight, and four with everything, whose
	// straight part is held against the direct sum of what is neither absorbed nor scattered.
	r := rand.New(rand.NewPCG(11, 3))
	cells, off := 0, 0
	black, lively := longtest.Pick(1, 10), longtest.Pick(1, 4)
	for i := range black + lively {
		only := All
		if i >= black {
			only = Straight
		}
		s := anyModel(t, r, only == All)
		planes := []Plane{{DepthM: s.DepthM * (0.3 + 0.5*r.Float64()), Grid: coarse(s)}, {DepthM: s.DepthM, Grid: coarse(s)}}
		a := traced(t, s, Options{Photons: longtest.Pick[int64](3<<17, 3<<19), Seed: uint64(i), Planes: planes, Only: only})
		for k, p := range planes {
			want, got := directMeans(t, s, p, raster), a.Planes[k]
			all := mean(want)
			// Noise beside what the raster leaves: in one scene of ten, and where most histories end elsewhere, it is 0.1 % of the mean.
			near(t, "mean", mean(got.Field.Illuminance)/all, 1, 0.002+3*got.MeanErrorLx/all)
			for c := range want {
				cells++
				if d := math.Abs(got.Field.Illuminance[c] - want[c]); d > 3*got.ErrorLx[c] {
					off++
				}
			}
			t.Logf("scene %d plane %d: mean %.1f lx, traced %+.3f %% of it (error %.3f %%)", i, k, all, 100*(mean(got.Field.Illuminance)/all-1), 100*got.MeanErrorLx/all)
		}
	}
	t.Logf("%d of %d cells are more than three standard errors off", off, cells)
	if float64(off) > 0.01*float64(cells) {
		t.Errorf("%d of %d cells are more than three standard errors off", off, cells)
	}
}

// shiftOut moves the sources of a model out beside its walls or corners and turns them towards it, but for every third.
func shiftOut(s *setup, r *rand.Rand) {
	for i := range s.Sources {
		p, out := &s.Sources[i].Position, 0.02+0.1*r.Float64()
		side := r.IntN(6)
		if side <= 2 { // left, and both of its corners
			p.X = -out
		} else if side == 3 {
			p.X = s.LengthM + out
		}
		if side == 1 || side == 4 {
			p.Y = -out
		} else if side == 2 || side == 5 {
			p.Y = s.WidthM + out
		}
		p.Z = s.DepthM + s.RimM*2*r.Float64() + 0.01
		if i%3 > 0 {
			continue
		}
		level := math.Hypot(s.LengthM/2-p.X, s.WidthM/2-p.Y)
		x, y, h := (s.LengthM/2-p.X)/level, (s.WidthM/2-p.Y)/level, math.Sqrt(0.5)
		s.Sources[i].Frame = space.Frame{Along: space.Vector{X: h * x, Y: h * y, Z: h}, Across: space.Vector{X: -y, Y: x}, Aim: space.Vector{X: h * x, Y: h * y, Z: -h}}
	}
}

func TestSourceBelowTheRimBesideTheTank(t *testing.T) {
	// No light of it gets in, and all of it is spill, with a cover over the rim or without: a real one does not reach out there.
	for _, cover := range []*model.Cover{nil, {UndersideM: 0.02, ThicknessM: 0.004, Index: 1.52, AbsorbPerM: func(float64) float64 { return 4 }}} {
		s := foyer(t)
		s.Boxes, s.Sources, s.Cover = nil, nil, cover
		hang(s, 0, space.Point{X: -0.05, Y: 0.02, Z: s.DepthM + 0.05})
		hang(s, 1, space.Point{X: 0.6, Y: s.WidthM + 0.03, Z: s.DepthM + 0.04})
		for name, b := range map[string]result.FluxBalance{"direct": directBooks(t, s).Balance(), "traced": traced(t, s, Options{Photons: 1 << 17}).Balance} {
			if math.Abs(b.Spill-200) > 1e-9 || b.Entered != 0 { // 200 lm, added up from many parts
				t.Errorf("%s: %+v", name, b)
			}
		}
	}
}

func TestSourceBesideACoveredTank(t *testing.T) {
	// With covers well over the rim, on it and below it: where the light of modules beside the tank ends, by either engine. Light
	// that the surface throws up the cover sends down again, by photons alone.
	for _, rimM := range []float64{0.01, 0.03, 0.06} {
		s := foyer(t)
		s.RimM, s.FloorReflectance, s.Boxes[0].Min.X, s.Boxes[0].Max.X = rimM, 0, -0.2, 0.05
		for i := range s.Sources {
			s.Sources[i].Position.X = [2]float64{-0.06, s.LengthM + 0.06}[i%2]
		}
		want, got := directBooks(t, s).Balance(), traced(t, s, Options{Photons: longtest.Pick[int64](1<<19, 1<<20)}).Balance
		share := func(lm float64) float64 { return lm / want.Emitted }
		near(t, "spill", share(got.Spill), share(want.Spill), 0.002)
		near(t, "cover", share(got.Cover), share(want.Cover), 0.003)
		near(t, "entered", share(got.Entered), share(want.Entered), 0.003)
		near(t, "obstacles", share(got.Obstacles), share(want.Obstacles), 0.003)
		if t.Failed() {
			t.Fatalf("rim at %v m: direct %+v, traced %+v", rimM, want, got)
		}
	}
}

// directBooks returns a direct engine, which has flux balances.
func directBooks(t tester, s *setup) *direct.Engine {
	t.Helper()
	e, err := direct.New(context.Background(), s.build(), direct.Options{Workers: 2, Attenuation: water.Unscattered})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestBalanceAgreesWithTheDirectSum(t *testing.T) {
	// Where nothing turns light back the rays of the direct sum and the photons must end in the same places. Light that the
	// surface reflects is followed by photons alone, to walls, boxes or out, so that those are held together. In a third of the
	// scenes, sixty in full, all sources hang beside the tank, above the rim or below it; there spill must agree by itself.
	r := rand.New(rand.NewPCG(21, 4))
	above := longtest.Pick(2, 40)
	for i := range above + longtest.Pick(1, 20) {
		s := anyModel(t, r, true)
		longtest.Drawn(t)
		if i >= above {
			shiftOut(s, r)
		}
		books, answer := directBooks(t, s), traced(t, s, Options{Photons: 1 << 19, Seed: uint64(i)})
		for of, pair := range map[string][2]result.FluxBalance{"lumens": {books.Balance(), answer.Balance},
			"photons": {books.Photons(), answer.Micro.Closed()}} {
			want, got := pair[0], pair[1]
			share := func(flux float64) float64 { return flux / want.Emitted }
			dry := func(b result.FluxBalance) float64 { return b.Walls + b.Obstacles + b.Surface + b.Spill }
			near(t, of+", emitted", share(got.Emitted), 1, 1e-9)
			near(t, of+", sum", share(want.Sum()), 1, 1e-9)
			near(t, of+", cover", share(got.Cover), share(want.Cover), 0.002)
			near(t, of+", water", share(got.Water), share(want.Water), 0.002)
			near(t, of+", floor", share(got.Floor), share(want.Floor), 0.002)
			near(t, of+", entered", share(got.Entered), share(want.Entered), 0.002)
			near(t, of+", walls, boxes, surface and spill", share(dry(got)), share(dry(want)), 0.002)
			if i >= above {
				near(t, of+", spill", share(got.Spill), share(want.Spill), 0.002)
				near(t, of+", obstacles", share(got.Obstacles), share(want.Obstacles), 0.002)
			}
			if t.Failed() {
				t.Fatalf("scene %d: direct %+v, traced %+v", i, want, got)
			}
		}
	}
}

func TestFullIsTraced(t *testing.T) {
	// Direct sum plus rest against all traced, lx and umol/m2/s, with everything on.
	r := rand.New(rand.NewPCG(5, 8))
	for i := range longtest.Pick(1, 3) {
		s := foyer(t)
		if i > 0 {
			s = anyModel(t, r, false)
		}
		planes := []Plane{{DepthM: s.DepthM / 3, Grid: coarse(s)}, {DepthM: s.DepthM, Grid: coarse(s)}}
		photons := longtest.Pick[int64](1<<18, 1<<20)
		all := traced(t, s, Options{Photons: 2 * photons, Seed: 1, Planes: planes})
		rest := traced(t, s, Options{Photons: photons, Seed: 2, Planes: planes, Only: Rest})
		for k, p := range planes {
			want, got := mean(all.Planes[k].Field.Illuminance), mean(directMeans(t, s, p, raster))+mean(rest.Planes[k].Field.Illuminance)
			spread := math.Hypot(all.Planes[k].MeanErrorLx, rest.Planes[k].MeanErrorLx) / want
			t.Logf("scene %d plane %d: full %.1f lx, of which rest %.1f, is %+.3f %% off (error %.3f %%)", i, k, got, mean(rest.Planes[k].Field.Illuminance), 100*(got/want-1), 100*spread)
			near(t, "full over traced", got/want, 1, 0.003)
		}
	}
}

func TestSourceBesideTheTank(t *testing.T) {
	// A source outside looks in over the rim; what meets the wall from outside is spill in both engines.
	s := foyer(t)
	s.Boxes, s.Sources = nil, nil
	src := hang(s, 0, space.Point{X: -0.05, Y: 0.2, Z: s.DepthM + 0.16})
	src.Frame = space.Frame{Along: space.Vector{X: math.Sqrt(0.5), Z: math.Sqrt(0.5)}, Across: space.Vector{Y: 1}, Aim: space.Vector{X: math.Sqrt(0.5), Z: -math.Sqrt(0.5)}}
	p := Plane{DepthM: s.DepthM, Grid: coarse(s)}
	a, want := traced(t, s, Options{Photons: longtest.Pick[int64](1<<19, 1<<21), Planes: []Plane{p}, Only: Straight}), mean(directMeans(t, s, p, 48))
	if !(want > 10) {
		t.Fatalf("mean of %g lx", want)
	}
	near(t, "mean", mean(a.Planes[0].Field.Illuminance), want, 4*a.Planes[0].MeanErrorLx+0.001*want)
}

// TestWallsBothWays: what comes straight to the walls under water by the direct sum, and by photons.
func TestWallsBothWays(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 18))
	for k := range longtest.Pick(2, 30) {
		s := anyModel(t, r, true)
		e, err := direct.New(context.Background(), s.build(), direct.Options{Workers: 2, Attenuation: water.Unscattered})
		if err != nil {
			t.Fatal(err)
		}
		o := Options{Photons: 1 << 18, Only: Straight}
		for side := model.Left; side <= model.Back; side++ {
			along := s.LengthM
			if side < model.Front {
				along = s.WidthM
			}
			o.Planes = append(o.Planes, Plane{On: OnWall, Wall: side, Grid: result.NewGrid(along, s.DepthM, 0.01)})
		}
		a := traced(t, s, o)
		for i, p := range a.Planes {
			f, err := e.Wall(context.Background(), model.Side(i), p.Field.Grid)
			if err != nil {
				t.Fatal(err)
			}
			all := mean(p.Field.Illuminance)
			// Peaks close to the surface are narrower than cells: a hundredth on top of the photons' own error.
			near(t, fmt.Sprintf("tank %d, wall %d: %.0f lx", k, i, all), mean(f.Illuminance)/all, 1, 0.01+4*p.MeanErrorLx/all)
			near(t, "photons", mean(f.PPFD)/mean(p.Field.PPFD), 1, 0.015+4*p.MeanErrorLx/all)
		}
	}
}
