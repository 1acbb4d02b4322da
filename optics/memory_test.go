package optics

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"fathomlux/optics/direct"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

func heapBytes() int64 {
	list := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(list)
	return int64(list[0].Value.Uint64())
}

// peakBytes is the most memory that do has on the heap at a time, with the little garbage that an eager collector leaves.
func peakBytes(do func()) int64 {
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	debug.FreeOSMemory()
	before, peak := heapBytes(), int64(0)
	stop, stopped := make(chan bool), make(chan bool)
	go func() {
		defer close(stopped)
		for tick := time.NewTicker(200 * time.Microsecond); ; {
			peak = max(peak, heapBytes())
			select {
			case <-stop:
				tick.Stop()
				return
			case <-tick.C:
			}
		}
	}()
	do()
	close(stop)
	<-stopped
	return peak - before
}

// Bounds of what is predicted in parts of what is measured. What the prediction leaves out, tables of beams and water, the
// garbage of rows and what statistics need for a moment, is up to a third of it; what it counts and a run frees early is up
// to a fifth. Runs with two busy cores gave 0.74 to 1.27; the bounds are a fifth wider, for a collector that comes late.
const leastPredicted, mostPredicted = 0.6, 1.5

func TestMemoryIsAsPredicted(t *testing.T) {
	cases := []struct {
		name, scene string
		o           Options
	}{
		{"direct, modules apart", "foyer", Options{StepM: 0.0015, Engine: Straight, PerModule: true, Planes: []scene.PlaneRef{{Name: "floor", DepthM: 0.42}}}},
		{"traced, eight workers", "foyer", Options{StepM: longtest.Pick(0.004, 0.002), Engine: Traced, Photons: 50_000, Workers: 8}},
		{"full, unlike modules", "frag", Options{StepM: 0.004, Engine: Full, Workers: 2}},
		{"full, five workers", "foyer", Options{StepM: 0.002, Engine: Full, Workers: 5}},
		{"traced, modules apart", "foyer", Options{StepM: 0.0025, Engine: Traced, Photons: 50_000, PerModule: true}},
		{"direct", "foyer", Options{StepM: 0.0008, Engine: Straight}},
	}
	for _, c := range cases[:longtest.Pick(2, len(cases))] {
		sc := scenetest.Example(t, c.scene)
		predicted, err := Predict(sc, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if predicted < 16<<20 {
			t.Errorf("%s: %d bytes are too few to be told from what is not predicted", c.name, predicted)
		}
		peak := peakBytes(func() { _, err = Map(context.Background(), sc, c.o) })
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		ratio := float64(predicted) / float64(peak)
		t.Logf("%s: predicted %.1f MB, measured %.1f MB, ratio %.2f", c.name, float64(predicted)/1e6, float64(peak)/1e6, ratio)
		if !(ratio > leastPredicted && ratio < mostPredicted) {
			t.Errorf("%s: predicted %.1f MB, measured %.1f MB", c.name, float64(predicted)/1e6, float64(peak)/1e6)
		}
	}
}

// shaft is a scene with many images: mirrors that stand close, deep water, wide beams, and obstacles.
const shaft = `
tank:
  length: 60 mm
  width: 60 mm
  height: 1000 mm
  water: {depth: 900 mm, kind: clear}
  walls: {front: {mirror: 0.99}, left: {mirror: 0.99}, right: {mirror: 0.99}, back: {mirror: 0.99}}
  obstacles: [OBSTACLES]
rails:
  - length: 60 mm
    above_water: 150 mm
    modules: {part: quad-neutral, optic: bare-120, x: 30 mm, current: 350 mA}
`

func TestMemoryOfImagesIsAsPredicted(t *testing.T) {
	boxes := "" // that meet nowhere, or they were one
	for k := range 12 {
		boxes += fmt.Sprintf("{from: [2 mm, 2 mm, %d mm], to: [5 mm, 5 mm, %d mm]},", 100+50*k, 140+50*k)
	}
	sc, err := scene.Parse("shaft.yaml", []byte(strings.Replace(shaft, "OBSTACLES", boxes, 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	st, err := newModel(sc)
	if err != nil {
		t.Fatal(err)
	}
	e, err := direct.New(t.Context(), st, direct.Options{Attenuation: water.Direct})
	if err != nil {
		t.Fatal(err)
	}
	grid, err := chooseGrid(sc.Tank, Options{StepM: 0.03})
	if err != nil {
		t.Fatal(err)
	}
	predicted := e.ViewBytes()
	peak := peakBytes(func() { _, err = e.Plane(t.Context(), 0.9, grid, false) })
	for range 2 { // a collector that comes late shows garbage as need
		peak = min(peak, peakBytes(func() { _, err = e.Plane(t.Context(), 0.9, grid, false) }))
	}
	t.Logf("orders %v: predicted %.1f MB, measured %.1f MB", e.Orders(), float64(predicted)/1e6, float64(peak)/1e6)
	if ratio := float64(predicted) / float64(peak); err != nil || !(ratio > leastPredicted && ratio < mostPredicted) {
		t.Errorf("predicted %.1f MB, measured %.1f MB, %v", float64(predicted)/1e6, float64(peak)/1e6, err)
	}
}

func TestTooMuchMemoryIsRefused(t *testing.T) {
	sc := scenetest.Example(t, "foyer")
	is := func(what string, err error, words string) {
		t.Helper()
		var refused *memoryError
		if !errors.As(err, &refused) || refused.Bytes <= MaxMemory || !strings.Contains(err.Error(), words) {
			t.Errorf("%s: %v", what, err)
		}
	}
	var planes []scene.PlaneRef
	for i := range 40 {
		planes = append(planes, scene.PlaneRef{Name: fmt.Sprint(i), DepthM: 0.01 * float64(i)})
	}
	_, err := Map(t.Context(), sc, Options{StepM: 0.0005, Planes: planes, PerModule: true, Engine: Full, Workers: 8})
	is("a map", err, "use a larger step, fewer planes or fewer workers")
}
