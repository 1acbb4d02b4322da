package optics_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/study"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// largeStepM is the cell of the large scene: 20 000 cells.
const largeStepM = 0.1

// large reads an invented public aquarium of 20 m x 10 m x 6 m with 400 modules of four dies, of which the first rails are kept.
func large(t testing.TB, rails int) *scene.Scene {
	t.Helper()
	sc, err := scene.Read("testdata/large.yaml")
	if err != nil {
		t.Fatal(err)
	}
	sc.Rails = sc.Rails[:rails]
	return sc
}

// mapped maps the goal's plane of a scene; photons are for the engine full.
func mapped(t testing.TB, sc *scene.Scene, o optics.Options) (cells int) {
	t.Helper()
	o.Planes = []scene.PlaneRef{optics.JudgedPlane(sc)}
	m, err := optics.Map(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return m.Planes[0].Field.Grid.Cells()
}

// TestLargeScene computes the aquarium, in full the whole of it and else its front in coarse cells, half a metre for each
// rail: it is as mirror-symmetric as it is built, its flux balance closes, and in the middle, far from walls, the lamps of
// a square metre light about a square metre, less what surface and water take.
func TestLargeScene(t *testing.T) {
	t.Parallel()
	rails := longtest.Pick(2, 20)
	sc := large(t, rails)
	sc.Tank.WidthM = float64(rails) / 2
	stepM := largeStepM
	if rails < 20 {
		stepM = 5 * largeStepM
	}
	m, err := optics.Map(context.Background(), sc, optics.Options{StepM: stepM, Workers: 2, Planes: []scene.PlaneRef{{Name: "surface"}, sc.Goal.Plane}})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range m.Planes {
		g := p.Field.Grid
		if float64(g.Cells()) != math.Round(20*sc.Tank.WidthM/(stepM*stepM)) {
			t.Fatalf("%s has %d cells", p.Name, g.Cells())
		}
		for i, lx := range p.Field.Illuminance {
			x, y := i%g.NX, i/g.NX
			if other := p.Field.Illuminance[y*g.NX+g.NX-1-x]; math.Abs(lx-other) > 0.01*p.Illuminance.Mean { // the rest of the light has its noise
				t.Fatalf("%s: cell %d, %d has %g lx, its mirror image %g", p.Name, x, y, lx, other)
			}
		}
	}
	b := m.Balance
	if math.Abs(b.Sum()-b.Emitted) > 1e-9*b.Emitted {
		t.Errorf("the flux balance holds %g of %g lm", b.Sum(), b.Emitted)
	}
	perM2 := (b.Emitted - b.Optic) / (20 * sc.Tank.WidthM)
	if mean := m.Planes[0].Illuminance.Mean; !(mean > 0.7*perM2 && mean < perM2) {
		t.Errorf("%g lx under the surface, %g lm leave the lamps of a square metre", mean, perM2)
	}
}

// workersEach runs a benchmark on one worker and on two, and reports the time a piece.
func workersEach(b *testing.B, name, piece string, work func(b *testing.B, workers int) (pieces int)) {
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("%s/workers=%d", name, workers), func(b *testing.B) {
			pieces := 0
			for b.Loop() {
				pieces += work(b, workers)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(pieces), "ns/"+piece)
		})
	}
}

// BenchmarkCosts shows how time grows with each size of a task, on one worker and on two. Where costs are in proportion the
// time a piece stays; where a second worker is worth a whole one it halves. Images are in the benchmarks of package direct.
func BenchmarkCosts(b *testing.B) {
	tank := scenetest.Example(b, "foyer")
	for _, stepM := range []float64{0.01, 0.005, 0.0025, 0.00125} {
		workersEach(b, fmt.Sprintf("cells/%gmm", stepM*1000), "cell", func(b *testing.B, workers int) int {
			return mapped(b, tank, optics.Options{StepM: stepM, Workers: workers})
		})
	}
	for _, rails := range []int{2, 5, 10, 20} {
		sc := large(b, rails)
		workersEach(b, fmt.Sprintf("modules/%d", 20*rails), "module", func(b *testing.B, workers int) int {
			mapped(b, sc, optics.Options{StepM: largeStepM, Workers: workers})
			return 20 * rails
		})
	}
	for _, photons := range []int64{1 << 17, 1 << 19, 1 << 21} {
		workersEach(b, fmt.Sprintf("photons/%d", photons), "photon", func(b *testing.B, workers int) int {
			mapped(b, tank, optics.Options{StepM: 0.01, Workers: workers, Engine: optics.Traced, Photons: photons})
			return int(photons)
		})
	}
	for _, n := range [][3]int{{5, 4, 5}, {10, 10, 10}, {100, 10, 10}} {
		o := study.SweepOptions{StepM: 0.01, Axes: []edit.Range{
			scenetest.Axis(b, "height", scenetest.Steps(0.12, 0.01, n[2])...), scenetest.Axis(b, "count", scenetest.Steps(3, 1, n[1])...), scenetest.Axis(b, "spacing", scenetest.Steps(0.1, 0.1/float64(n[0]), n[0])...)}}
		workersEach(b, fmt.Sprintf("candidates/%d", n[0]*n[1]*n[2]), "candidate", func(b *testing.B, workers int) int {
			o.Workers = workers
			s, err := study.Sweep(context.Background(), tank, o)
			if err != nil || s.Reached != len(s.Candidates) {
				b.Fatal(err)
			}
			return len(s.Candidates)
		})
	}
}

// BenchmarkLarge computes the whole aquarium with each engine: its goal's plane, and the usual error where photons are traced.
func BenchmarkLarge(b *testing.B) {
	sc := large(b, 20)
	for _, engine := range []optics.Engine{optics.Straight, optics.Full} {
		workersEach(b, string(engine), "cell", func(b *testing.B, workers int) int {
			return mapped(b, sc, optics.Options{StepM: largeStepM, Workers: workers, Engine: engine})
		})
	}
}
