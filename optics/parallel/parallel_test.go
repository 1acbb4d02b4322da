package parallel

import (
	"context"
	"strings"
	"sync/atomic"
	"testing"

	"fathomlux/scene/panics"
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

func falls(i int) {
	if i == 30 {
		panic("at 30")
	}
}

// TestPanicsReachTheCaller: from any goroutine, with the place.
func TestPanicsReachTheCaller(t *testing.T) {
	for _, workers := range []int{1, 4} {
		func() {
			defer func() {
				v := recover()
				if v == nil {
					t.Fatalf("%d workers: no panic", workers)
				}
				if p := panics.Of(v); p.Error() != "at 30" || !strings.Contains(p.Stack, "parallel.falls(") {
					t.Errorf("%d workers: %v from %s", workers, p, p.Stack)
				}
			}()
			_ = ForEach(context.Background(), workers, 100, falls)
		}()
	}
}
