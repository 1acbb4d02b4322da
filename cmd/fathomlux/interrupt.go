package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"
	"time"
)

// graceTime is how long a command has after Ctrl-C to end by itself. One that is then still inside a picture or a sum
// ends with the process: files are written under other names first, so that none is left half.
const graceTime = 40 * time.Millisecond

// interruption says what Ctrl-C does to the command that runs.
type interruption struct {
	wished atomic.Bool // ending it so is how the command is meant to end: status 0
	keeps  atomic.Bool // it writes what is done, which may take longer than graceTime
	told   atomic.Bool // that it was interrupted is said, or being said, by the command or in its place
}

type interruptionKey struct{}

// endsByInterrupt notes that Ctrl-C is the usual end of the command.
func endsByInterrupt(ctx context.Context) {
	if i, ok := ctx.Value(interruptionKey{}).(*interruption); ok {
		i.wished.Store(true)
	}
}

// keepsWhatIsDone notes whether the command, after Ctrl-C, writes what is done. A second Ctrl-C ends it at once.
func keepsWhatIsDone(ctx context.Context, keeps bool) {
	if i, ok := ctx.Value(interruptionKey{}).(*interruption); ok {
		i.keeps.Store(keeps)
	}
}

// tellsInterruption tells whether the command is the first to say that it was interrupted; its end says so once.
func tellsInterruption(ctx context.Context) bool {
	i, ok := ctx.Value(interruptionKey{}).(*interruption)
	return !ok || i.told.CompareAndSwap(false, true)
}

// interruptible runs a command under a context that ends with the first signal, and returns its exit status: its own
// where it ends by itself, else that of an interruption. What it tells meanwhile goes to errs.
func interruptible(signals <-chan os.Signal, errs io.Writer, do func(context.Context) int) int {
	i := &interruption{}
	ctx, cancel := context.WithCancel(context.WithValue(context.Background(), interruptionKey{}, i))
	defer cancel()
	ended := make(chan int, 1)
	go func() { ended <- do(ctx) }()
	select {
	case status := <-ended:
		return status
	case <-signals:
	}
	cancel() // before keeps is read: see optics.Options.KeepTraced
	grace := time.NewTimer(graceTime)
	defer grace.Stop()
	over := grace.C
	if i.keeps.Load() {
		fmt.Fprintln(errs, stopping)
		over = nil
	}
	for {
		select {
		case status := <-ended:
			return status
		case <-signals:
			return i.end(errs)
		case <-over:
			if i.told.Load() { // it is just ending
				over = nil
				continue
			}
			if !i.keeps.Load() {
				return i.end(errs)
			}
			fmt.Fprintln(errs, stopping)
		}
	}
}

// end is the exit status of a command that does not end by itself.
func (i *interruption) end(errs io.Writer) int {
	if i.wished.Load() {
		return statusDone
	}
	if i.told.CompareAndSwap(false, true) {
		fmt.Fprintln(errs, "fathomlux: "+interrupted)
	}
	return statusWrong
}

// stopping is told at once of a command that keeps what is done.
const stopping = "fathomlux: stopping; what is done is being written; Ctrl-C again ends at once"

// interrupted is what is told of a command that Ctrl-C has ended.
const interrupted = "interrupted"

// watchSignals returns the signals that ask the process to end: Ctrl-C, and what a service manager or kill sends.
func watchSignals() (signals chan os.Signal, stop func()) {
	signals = make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	return signals, func() { signal.Stop(signals) }
}
