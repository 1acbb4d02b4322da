//go:build linux

package direct

import (
	"math"
	"runtime/debug"
	"testing"
	"unsafe"

	"golang.org/x/sys/unix"
)

// guarded is memory between two pages that nobody may touch.
func guarded(t *testing.T, floats int) []float64 {
	t.Helper()
	page := unix.Getpagesize()
	bytes := (8*floats + page - 1) / page * page
	all, err := unix.Mmap(-1, 0, bytes+2*page, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_ANON|unix.MAP_PRIVATE)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = unix.Munmap(all) })
	for _, guard := range [][]byte{all[:page], all[page+bytes:]} {
		if err := unix.Mprotect(guard, unix.PROT_NONE); err != nil {
			t.Fatal(err)
		}
	}
	return unsafe.Slice((*float64)(unsafe.Pointer(&all[page])), bytes/8)
}

// end takes n of the memory, from its end or from its start.
func end(memory []float64, n int, last bool) []float64 {
	if last {
		return memory[len(memory)-n:]
	}
	return memory[:n:n]
}

// faults tells whether do touches memory that nobody may touch.
func faults(do func()) (faulty bool) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() { faulty = recover() != nil }()
	do()
	return false
}

// TestGuardsAreFelt: a load and a store just beside guarded memory are told.
func TestGuardsAreFelt(t *testing.T) {
	memory := guarded(t, 1)
	first, last := unsafe.Pointer(&memory[0]), unsafe.Pointer(&memory[len(memory)-1])
	for name, do := range map[string]func(){
		"load before":  func() { memory[0] = *(*float64)(unsafe.Add(first, -8)) },
		"load behind":  func() { memory[0] = *(*float64)(unsafe.Add(last, 8)) },
		"store before": func() { *(*float64)(unsafe.Add(first, -8)) = 1 },
		"store behind": func() { *(*float64)(unsafe.Add(last, 8)) = 1 },
	} {
		if !faults(do) {
			t.Errorf("%s: not felt", name)
		}
	}
	if faults(func() { memory[0], memory[len(memory)-1] = 1, memory[0] }) {
		t.Error("memory between the guards cannot be used")
	}
}

// TestFormsKeepToTheirMemory: with the table, the row of cells and its placing each against a guarded page, before them or
// behind them, no form touches what lies beside them, for any number of cells up to twice and a bit those done at once, and
// for cells far off and numbers that are none. All forms give the same.
func TestFormsKeepToTheirMemory(t *testing.T) {
	s := quads(t, 1)
	track := engine(t, s).prepare(s.DepthM).track(&s.Sources[0])
	const most = 4 // floats in a pair
	table, lux, ppfd, placing := guarded(t, most*len(track.pairs)), guarded(t, 20), guarded(t, 20), guarded(t, 7)
	usual := plainRow{first: -0.3, skip: 2, step: 0.07, fixed2: 0.01, lumens: 100}
	rows := map[string]plainRow{"usual": usual}
	for name, v := range map[string]float64{"NaN": math.NaN(), "Inf": math.Inf(1), "-Inf": math.Inf(-1), "1e200": 1e200, "0": 0} {
		for field, set := range map[string]func(r *plainRow){"first": func(r *plainRow) { r.first = v }, "step": func(r *plainRow) { r.step = v },
			"fixed2": func(r *plainRow) { r.fixed2 = math.Abs(v) }, "lumens": func(r *plainRow) { r.lumens = v }} {
			r := usual
			set(&r)
			rows[name+" in "+field] = r
		}
	}
	for name, row := range rows {
		for last, cells := true, 0; cells < 2*18; last, cells = !last, cells+1 {
			n := cells / 2
			pairs := unsafe.Slice((*pair)(unsafe.Pointer(&end(table, most*len(track.pairs), last)[0])), len(track.pairs))
			copy(pairs, track.pairs)
			r := (*plainRow)(unsafe.Pointer(&end(placing, 7, last)[0]))
			*r = *track.row(row)
			want, wantPPFD := make([]float64, n), make([]float64, n)
			addPlainGo(want, wantPPFD, track.pairs, r)
			inEachForm(func(f plainForm) {
				gotLux, gotPPFD := end(lux, n, last), end(ppfd, n, last)
				clear(gotLux)
				clear(gotPPFD)
				if faults(func() { addPlain(gotLux, gotPPFD, pairs, r) }) {
					t.Errorf("%s: form %d touches memory beside that of %d cells, at the end %v", name, f, n, last)
				}
				if !sameBits(gotLux, want) || !sameBits(gotPPFD, wantPPFD) {
					t.Errorf("%s, %d cells: form %d: %v, want %v", name, n, f, gotLux, want)
				}
			})
		}
	}
}

// sameBits tells whether two lists are equal to the last bit; one NaN is as good as another.
func sameBits(a, b []float64) bool {
	for i := range a {
		if math.Float64bits(a[i]) != math.Float64bits(b[i]) && !(math.IsNaN(a[i]) && math.IsNaN(b[i])) {
			return false
		}
	}
	return len(a) == len(b)
}
