package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fathomlux/scene/longtest"
)

// interrupted runs a command that sends itself so many signals after before, and then does the rest.
func interrupted(errs io.Writer, n int, before, rest func(context.Context)) error {
	signals := make(chan os.Signal, 2)
	return interruptible(context.Background(), streams{Err: errs, Signals: signals}, func(ctx context.Context) error {
		before(ctx)
		for range n {
			signals <- os.Interrupt
		}
		rest(ctx)
		return errOwn
	})
}

var errOwn = errors.New("the command's own")

func keeps(ctx context.Context)      { onInterrupt(ctx).keeps.Store(true) }
func ends(ctx context.Context)       { onInterrupt(ctx).usual.Store(true) }
func writes(ctx context.Context)     { onInterrupt(ctx).writes.Store(true) }
func nothing(context.Context)        {}
func untilHeard(ctx context.Context) { <-ctx.Done() }

func TestInterruptible(t *testing.T) {
	free := make(chan struct{})
	defer close(free)
	stuck := func(context.Context) { <-free }
	for name, c := range map[string]struct {
		signals      int
		before, rest func(context.Context)
		err          error
		words        string
	}{
		"no signal":                          {0, nothing, nothing, errOwn, ""},
		"one that hears it":                  {1, nothing, untilHeard, errOwn, ""},
		"one that hears nothing":             {1, nothing, stuck, errInterrupted, ""},
		"a second signal, no waiting":        {2, nothing, stuck, errInterrupted, ""},
		"one that ends so":                   {1, ends, stuck, nil, ""},
		"one that keeps, twice":              {2, keeps, stuck, errInterrupted, stopping + "\n"},
		"one that keeps, told at once":       {1, keeps, untilHeard, errOwn, stopping + "\n"},
		"one that writes for long":           {1, writes, stuck, errInterrupted, ""},
		"one that writes, and is waited for": {1, writes, func(context.Context) { time.Sleep(2 * graceTime) }, errOwn, ""},
		"one that keeps, and is waited for": {1, keeps, func(context.Context) { time.Sleep(3 * graceTime) }, errOwn,
			stopping + "\n"},
	} {
		var errs bytes.Buffer
		if err := interrupted(&errs, c.signals, c.before, c.rest); err != c.err || errs.String() != c.words {
			t.Errorf("%s: %v and %q", name, err, errs.String())
		}
	}
}

// What ends by its context has been interrupted; where no signal came, it tells its own error.
func TestInterruptedByItsContext(t *testing.T) {
	signals := make(chan os.Signal, 1)
	s := streams{Err: &bytes.Buffer{}, Signals: signals}
	err := interruptible(context.Background(), s, func(ctx context.Context) error {
		signals <- os.Interrupt
		<-ctx.Done()
		return fmt.Errorf("sweep: %w", ctx.Err())
	})
	if err != errInterrupted {
		t.Error(err)
	}
	err = interruptible(context.Background(), s, func(context.Context) error { return context.Canceled })
	if err != context.Canceled {
		t.Error(err)
	}
}

// TestReportKeepsNothing makes a report with a sweep: neither while it sweeps nor later does it ask for more time after Ctrl-C.
func TestReportKeepsNothing(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := faultFolder(t)
	i := &interruption{}
	ctx := context.WithValue(t.Context(), interruptionKey{}, i)
	end := make(chan error, 1)
	go func() {
		end <- execute(ctx, streams{Out: io.Discard, Err: io.Discard}, []string{"report", filepath.Join(dir, "tank.yaml"), "--vary", "height=100mm:250mm:50mm",
			"--step", "40mm", "--scale", "0.5", "--out", filepath.Join(dir, "out")})
	}()
	for {
		select {
		case err := <-end:
			if err != nil || i.keeps.Load() {
				t.Errorf("%v, keeps %t", err, i.keeps.Load())
			}
			return
		case <-time.After(time.Millisecond):
		}
		if i.keeps.Load() {
			t.Fatal("it asks for more time")
		}
	}
}
