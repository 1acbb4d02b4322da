package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"

	"fathomlux/optics"
	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// TestTabsAtOnce moves ten tabs of one server at once: what each is answered last is what a page alone is
// answered, and what map says of the scene that the tab saves. Memory does not grow with the number of moves.
func TestTabsAtOnce(t *testing.T) {
	const mostGrowth = 48 << 20 // bytes, of several hundred that the light of modules may take
	file := dimFoyer(t)
	rewrite(t, file, "count: 5", longtest.Pick("count: 2", "count: 5"))
	stepM := longtest.Pick(0.02, 0.01)
	step := fmt.Sprintf("%.0f mm", 1000*stepM)
	h := foyerHandler(t, file, step)
	tabs, n := longtest.Pick(2, 10), longtest.Pick(3, 100)
	last, answers := make([]live.State, tabs), make([][]byte, tabs)
	walk := func(seed uint64, n int) {
		var all sync.WaitGroup
		for i := range tabs {
			start := h.start(t)
			all.Go(func() {
				for _, s := range moves(start, seed+uint64(i), n) {
					last[i], answers[i] = s, h.post(t, "light", s)
				}
			})
		}
		all.Wait()
	}
	walk(100, n/2)
	before := heapInUse()
	walk(1, n-n/2)
	after := heapInUse()
	if after > before+mostGrowth && longtest.Pick(false, true) {
		t.Errorf("after %d moves %d bytes are in use, after %d %d", tabs*(n/2), before, tabs*n, after)
	}
	t.Logf("in use after %d moves %.1f MB, after %d %.1f MB; of the process%s", tabs*(n/2), float64(before)/1e6, tabs*n, float64(after)/1e6, resident())
	alone := foyerHandler(t, file, step)
	for i := range tabs {
		if !bytes.Equal(alone.post(t, "light", last[i]), answers[i]) {
			t.Errorf("tab %d is answered otherwise than a page alone", i)
		}
		if i < longtest.Pick(1, tabs) {
			h.isTheMapOf(t, filepath.Join(filepath.Dir(file), fmt.Sprintf("tab-%d.yaml", i)), stepM, last[i], answers[i])
		}
	}
}

// isTheMapOf saves a state and holds the figures of its answer against those of map: the mean to 0.2 %, U0 to the last digit that
// the page shows, since in a black tank that few modules light the page's lowest place is off by up to 0.5 % of the mean.
// TestSavedIsShown of optics/study holds U0 to 0.5 % in tanks whose floor or walls return light.
func (h served) isTheMapOf(t *testing.T, file string, stepM float64, state live.State, packed []byte) {
	t.Helper()
	var said struct{ Lux struct{ Mean, Min float64 } }
	if err := json.Unmarshal(packed[4:4+binary.LittleEndian.Uint32(packed)], &said); err != nil {
		t.Fatal(err)
	}
	h.post(t, "save", map[string]any{"state": state, "name": filepath.Base(file)})
	saved, err := scene.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	m, err := optics.Map(context.Background(), saved, optics.Options{StepM: stepM, Workers: 2, Planes: []scene.PlaneRef{saved.Goal.Plane}})
	if err != nil {
		t.Fatal(err)
	}
	light := m.Planes[0].Illuminance
	if light.Mean < 100 || math.Abs(said.Lux.Mean/light.Mean-1) > 0.002 || math.Abs(said.Lux.Min/said.Lux.Mean-light.MinOverMean) > 0.01 {
		t.Errorf("%s: the page says %g lx, lowest %g; map %g and %g", file, said.Lux.Mean, said.Lux.Min, light.Mean, light.Min)
	}
}

// heapInUse is the memory that is still used once all that is not has been freed.
func heapInUse() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC() // what finalizers and pools held goes in a second turn
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// resident is the resident memory of the process in the system's own words, where it tells.
func resident() string {
	text, _ := os.ReadFile("/proc/self/status")
	return " " + strings.Join(regexp.MustCompile(`Vm(HWM|RSS):\s+\d+ kB`).FindAllString(string(text), -1), ", ")
}

// TestSavesAtOnce: of tabs that save under one new name at once one does, and of tabs that save the page's own file one does; the
// others are told, and the file is whole.
func TestSavesAtOnce(t *testing.T) {
	t.Parallel()
	file := dimFoyer(t)
	h := foyerHandler(t, file, "20 mm")
	start := h.start(t)
	states := moves(start, 7, 8)
	for _, request := range []map[string]any{
		{"name": "fresh", "overwrite": false},
		{"name": "foyer.yaml", "own": "foyer.yaml", "disk": start.Version},
	} {
		var all sync.WaitGroup
		won := make([]bool, len(states))
		for i, s := range states {
			body := map[string]any{"state": s}
			for key, v := range request {
				body[key] = v
			}
			all.Go(func() { won[i] = !bytes.Contains(h.post(t, "save", body), []byte(`"refused"`)) })
		}
		all.Wait()
		count := 0
		for _, one := range won {
			if one {
				count++
			}
		}
		name := strings.TrimSuffix(request["name"].(string), ".yaml") + ".yaml"
		if _, err := scene.Read(filepath.Join(filepath.Dir(file), name)); count != 1 || err != nil {
			t.Errorf("%s: %d of %d saves did, %v", name, count, len(states), err)
		}
	}
}
