package parallel

import (
	"context"
	"sync/atomic"
	"testing"
)

func TestForEachCallsEachOnce(t *testing.T) {
	for _, workers := range []int{0, 1, 2, 7} {
		calls := make([]atomic.Int32, 100)
		if err := ForEach(context.Background(), workers, len(calls), func(i int) { calls[i].Add(1) }); err != nil {
			t.Fatal(err)
		}
		for i := range calls {
			if n := calls[i].Load(); n != 1 {
				t.Errorf("%d workers: piece %d was done %d times", workers, i, n)
			}
		}
	}
}

func TestForEachStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var done atomic.Int32
	err := ForEach(ctx, 1, 1000, func(i int) {
		if done.Add(1) == 3 {
			cancel()
		}
	})
	if err != context.Canceled || done.Load() > 5 {
		t.Errorf("error %v after %d pieces", err, done.Load())
	}
}
