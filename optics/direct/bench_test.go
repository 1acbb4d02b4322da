package direct

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// quads hangs n boards of four dies 6 mm apart over a planted tank of 1180 mm x 430 mm with three glass walls and a black back,
// under a brace: the tank of examples/foyer, without its file.
func quads(b tester, n int) *setup {
	s := tank(b)
	s.LengthM, s.WidthM = 1.18, 0.43
	s.Walls = glass
	s.Walls[model.Back] = walls.Wall{Kind: walls.Diffuse, Reflectance: 0.08}
	s.Cover = &model.Cover{UndersideM: 0.03, ThicknessM: 0.004, Index: 1.52, AbsorbPerM: func(float64) float64 { return 5 }}
	s.Boxes = []space.Box{{Min: space.Point{X: 0.56, Z: 0.47}, Max: space.Point{X: 0.62, Y: 0.43, Z: 0.48}}}
	for i := range n {
		x := 1.18 / 2 * (1 + 0.92*(float64(i)-float64(n-1)/2)/(float64(n)/2))
		for _, d := range [4][2]float64{{-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
			src := hang(s, x+0.003*d[0], 0.215+0.003*d[1], 0.16)
			src.Module = i
		}
	}
	return s
}

// BenchmarkInnermost measures the sum with nothing between source and cell, in (source, cell) pairs of lx and PPFD together.
func BenchmarkInnermost(b *testing.B) {
	s := quads(b, 6)
	e := engine(b, s)
	g := result.NewGrid(1.18, 0.43, 0.005)
	t := e.prepare(s.DepthM).track(&s.Sources[0])
	lux, ppfd := make([]float64, g.NX), make([]float64, g.NX)
	pairs := 0
	b.ResetTimer()
	for range b.N {
		for iy := range g.NY {
			for _, src := range s.Sources {
				dy := g.CentreY(iy) - src.Position.Y
				addPlain(lux, ppfd, t.pairs, t.row(plainRow{first: g.CentreX(0) - src.Position.X, step: g.StepXM, fixed2: dy * dy, lumens: src.LeavingLm}))
				pairs += g.NX
			}
		}
	}
	b.ReportMetric(float64(pairs)/b.Elapsed().Seconds()/1e6, "Mpair/s")
}

// BenchmarkPlane measures one plane of the foyer tank at 5 mm with images, brace and all dies, on all cores.
func BenchmarkPlane(b *testing.B) {
	e, err := New(context.Background(), quads(b, 6).build(), Options{Workers: runtime.GOMAXPROCS(0), Attenuation: 1})
	if err != nil {
		b.Fatal(err)
	}
	g := result.NewGrid(1.18, 0.43, 0.005)
	for b.Loop() {
		plane(b, e, 0.42, g)
	}
}

// BenchmarkModule measures the straight light of one module after another in the foyer tank at 10 mm, on one core.
func BenchmarkModule(b *testing.B) {
	s := quads(b, 12)
	e := engine(b, s)
	bench := e.Bench(0.42, result.NewGrid(1.18, 0.43, 0.01))
	for i := 0; b.Loop(); i++ {
		fieldOf(bench, s.build().Sources[i%12*4:][:4], e.Orders(), 1)
	}
}

// BenchmarkEngine measures what comes before the first plane: tables, flux balance and the choice of images.
func BenchmarkEngine(b *testing.B) {
	s := quads(b, 6)
	for b.Loop() {
		if _, err := New(context.Background(), s.build(), Options{Workers: runtime.GOMAXPROCS(0), Attenuation: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCells, BenchmarkDies and BenchmarkImages show how a plane's time grows; the first two on one worker.
func BenchmarkCells(b *testing.B) {
	e := engine(b, quads(b, 6))
	e.workers = 1
	for _, step := range []float64{20, 10, 5, 2.5} {
		g := result.NewGrid(1.18, 0.43, step/1000)
		b.Run(strconv.Itoa(g.Cells()), func(b *testing.B) {
			for b.Loop() {
				plane(b, e, 0.42, g)
			}
		})
	}
}

func BenchmarkDies(b *testing.B) {
	for _, n := range []int{3, 6, 12, 24} {
		e := engine(b, quads(b, n))
		e.workers = 1
		b.Run(strconv.Itoa(4*n), func(b *testing.B) {
			for b.Loop() {
				plane(b, e, 0.42, result.NewGrid(1.18, 0.43, 0.005))
			}
		})
	}
}

func BenchmarkImages(b *testing.B) {
	s := quads(b, 6)
	s.Boxes, s.Walls = nil, mirrors(0.9)
	e := engine(b, s)
	for _, order := range []int{0, 1, 2, 4} {
		for _, e.workers = range []int{1, 2} {
			e.orders = Orders{X: order, Y: order}
			images := int(math.Pow(float64(2*order+1), 2))
			b.Run(fmt.Sprintf("%d/workers=%d", images, e.workers), func(b *testing.B) {
				for b.Loop() {
					plane(b, e, 0.42, result.NewGrid(1.18, 0.43, 0.005))
				}
			})
		}
	}
}

// BenchmarkSection sums the slice along the foyer tank, 240 cells by 88 layers, on one core.
func BenchmarkSection(b *testing.B) {
	e, err := New(context.Background(), quads(b, 6).build(), Options{Attenuation: 1})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := e.Section(context.Background(), result.AlongX, 0.215, 1.18/240, 1.18/240); err != nil {
			b.Fatal(err)
		}
	}
}

// TestLanesEndWhereTheirLightEnds hangs narrow beams over middles and edges of cells, where the last cell that light
// reaches may lie on the last node of a lane but for rounding, and asks for no node beyond it.
func TestLanesEndWhereTheirLightEnds(t *testing.T) {
	s := tank(t)
	s.LengthM, s.WidthM, s.Walls = 1.18, 0.43, glass
	s.Beams = []*beam.Beam{shape(t, beam.Shape{BeamRad: 25 * deg, FieldRad: 40 * deg})}
	hang(s, 0.59, 0.215, 0.16)
	e := quick(t, s)
	for n := range longtest.Pick(60, 400) {
		g := result.NewGrid(s.LengthM, s.WidthM, s.LengthM/float64(20+n%37))
		for _, x := range []float64{g.CentreX(n % g.NX), g.CentreX(n%g.NX) + g.StepXM/2} {
			s.Sources[0].Position.X = x
			light := fieldOf(e.Bench(s.DepthM, g), s.Sources, Orders{X: 2, Y: 1}, 2)
			if lowest := slices.Min(light.Illuminance); !(lowest >= 0) {
				t.Fatalf("%d cells, light at %g: %g lx", g.NX, x, lowest)
			}
		}
	}
}
