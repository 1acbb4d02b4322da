// Package readertest holds what the tests of all readers of foreign files ask of them: that memory stays in proportion
// to the input. It is for tests alone; the readers are scene, scene/parts, scene/lm63, scene/readings and scene/curve.
package readertest

import (
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"testing"
	"time"
)

// A reader may take perByte bytes of memory for each byte that it reads, and allowance bytes beside.
const (
	perByte   = 20
	allowance = 16 << 20
)

const (
	allocated = "/gc/heap/allocs:bytes"
	live      = "/memory/classes/heap/objects:bytes"
)

// Frugal runs read, which gets input of the given length in bytes, and fails where it takes more than 20 times its
// input plus 16 MB. What it allocates in all is looked at first, as that costs nothing; where that is more, read runs
// again while its heap is watched, as what was let go on the way does not count.
func Frugal(t testing.TB, length int, read func()) {
	t.Helper()
	limit := uint64(perByte*length + allowance)
	before := value(allocated)
	read()
	if value(allocated)-before <= limit {
		return
	}
	if peak := peak(read); peak > limit {
		t.Errorf("%d bytes of input took %d MB of memory, above the %d MB promised", length, peak>>20, limit>>20)
	}
}

// peak returns the most bytes by which the heap grew while f ran, with garbage that was not yet collected.
func peak(f func()) uint64 {
	defer debug.SetGCPercent(debug.SetGCPercent(5))
	debug.FreeOSMemory()
	before, highest := value(live), uint64(0)
	done, watched := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(watched)
		for {
			highest = max(highest, value(live))
			select {
			case <-done:
				return
			case <-time.After(200 * time.Microsecond):
			}
		}
	}()
	f()
	close(done)
	<-watched
	return highest - min(before, highest)
}

func value(name string) uint64 {
	sample := []metrics.Sample{{Name: name}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}

// Filled returns head and then unit, as often as it fits into length bytes: what a reader has to bear at its largest.
func Filled(head, unit string, length int) []byte {
	return []byte(head + strings.Repeat(unit, max(0, length-len(head))/len(unit)))
}
