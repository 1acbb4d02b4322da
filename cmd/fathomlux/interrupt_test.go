package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
	"time"
)

// stuck is a command that hears no interruption until free is closed.
func stuck(free <-chan struct{}, before func(context.Context)) func(context.Context) int {
	return func(ctx context.Context) int {
		before(ctx)
		<-free
		return 7
	}
}

func nothing(context.Context) {}

func TestInterruptibleEndsWhatIsStuck(t *testing.T) {
	keeps := func(ctx context.Context) { keepsWhatIsDone(ctx, true) }
	for name, c := range map[string]struct {
		before  func(context.Context)
		signals int
		status  int
		words   string
	}{
		"one that hears nothing":      {nothing, 1, statusWrong, "fathomlux: interrupted\n"},
		"a second signal, no waiting": {nothing, 2, statusWrong, "fathomlux: interrupted\n"},
		"one that ends so":            {endsByInterrupt, 1, statusDone, ""},
		"one that keeps, twice":       {keeps, 2, statusWrong, "fathomlux: interrupted\n"},
	} {
		free := make(chan struct{})
		signals := make(chan os.Signal, 2)
		started := make(chan struct{})
		go func() {
			<-started
			for range c.signals {
				signals <- os.Interrupt
			}
		}()
		var errs bytes.Buffer
		status := interruptible(signals, &errs, stuck(free, func(ctx context.Context) { c.before(ctx); close(started) }))
		if status != c.status || !strings.HasSuffix(errs.String(), c.words) || c.words == "" && errs.Len() > 0 {
			t.Errorf("%s: status %d and %q", name, status, errs.String())
		}
		close(free)
	}
}

func TestInterruptionIsToldOnce(t *testing.T) {
	// A command that has said so itself and is slow to return, as on a busy machine.
	signals := make(chan os.Signal, 2)
	var errs bytes.Buffer
	status := interruptible(signals, &errs, func(ctx context.Context) int {
		signals <- os.Interrupt
		<-ctx.Done()
		if !tellsInterruption(ctx) {
			t.Error("it is told before the command can say it")
		}
		time.Sleep(3 * graceTime)
		return 6
	})
	if status != 6 || errs.Len() > 0 {
		t.Errorf("status %d, and %q beside what the command says", status, errs.String())
	}
	// One that hears of it only after its grace.
	free := make(chan struct{})
	first := make(chan bool, 1)
	status = interruptible(signals, &errs, func(ctx context.Context) int {
		signals <- os.Interrupt
		<-free
		first <- tellsInterruption(ctx)
		return 7
	})
	close(free)
	if status != statusWrong || errs.String() != "fathomlux: interrupted\n" || <-first {
		t.Errorf("status %d and %q", status, errs.String())
	}
}

func TestInterruptibleWaitsForWhatIsKept(t *testing.T) {
	signals := make(chan os.Signal, 2)
	told := make(chan string, 1)
	status := interruptible(signals, sender(told), func(ctx context.Context) int {
		keepsWhatIsDone(ctx, true)
		signals <- os.Interrupt
		if words := <-told; !strings.Contains(words, "what is done is being written") {
			t.Errorf("it is told %q", words)
		}
		return 5
	})
	if status != 5 {
		t.Errorf("status %d", status)
	}
}

func TestInterruptibleLeavesTheStatusOfWhatEnds(t *testing.T) {
	signals := make(chan os.Signal, 2)
	if got := interruptible(signals, &bytes.Buffer{}, func(context.Context) int { return 3 }); got != 3 {
		t.Errorf("without a signal: status %d", got)
	}
	got := interruptible(signals, &bytes.Buffer{}, func(ctx context.Context) int {
		signals <- os.Interrupt
		<-ctx.Done()
		return 4
	})
	if got != 4 {
		t.Errorf("one that hears it: status %d", got)
	}
}

// sender hands on what is written to it.
type sender chan string

func (s sender) Write(p []byte) (int, error) {
	s <- string(p)
	return len(p), nil
}

// A command that keeps what is done and ends as soon as it hears of the interruption has told so all the same: nobody waits
// for the grace to be over.
func TestInterruptibleTellsAtOnceWhatIsKept(t *testing.T) {
	signals := make(chan os.Signal, 2)
	var errs bytes.Buffer
	status := interruptible(signals, &errs, func(ctx context.Context) int {
		keepsWhatIsDone(ctx, true)
		signals <- os.Interrupt
		<-ctx.Done()
		return 6
	})
	if status != 6 || errs.String() != stopping+"\n" {
		t.Errorf("status %d and %q", status, errs.String())
	}
}
