// Command fathomlux plans the light in a water tank: where it lands, how evenly, and what reaches the floor.
//
// Each command is three things in one file: options, a constructor that fills them from flags, and a run function
// that knows no cobra. Answers go to standard output, all else to standard error. This package alone parses flags,
// prints, reads the environment and ends the process; the sums live in scene, optics and render.
//
// Exit status: 0 done; 1 the goal is not met, where that was asked for; 2 the scene, a file or the call is wrong; 3 the
// program is.
package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"fathomlux/scene/document"
	"fathomlux/scene/panics"
)

// The exit statuses, the same for every command; exitStatusText says them.
const (
	statusDone    = 0
	statusNotMet  = 1
	statusWrong   = 2
	statusCrashed = 3
)

// errGoalNotMet is what a command returns, wrapped with what is missing, where a goal was required and is not met.
var errGoalNotMet = errors.New("the goal is not met")

// streams are what a command reads and writes; a test hands it buffers, and no signals.
type streams struct {
	In      io.Reader
	Out     io.Writer
	Err     io.Writer
	Signals <-chan os.Signal // that ask the process to end
}

func main() { os.Exit(Main()) }

// Main runs the command line of this process and returns its exit status.
func Main() int {
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM) // Ctrl-C, and what a service manager or kill sends
	defer signal.Stop(signals)
	return run(context.Background(), streams{os.Stdin, os.Stdout, os.Stderr, signals}, os.Args[1:])
}

// run executes one call and turns its error into lines on standard error and an exit status. What it prints is text
// alone: see textWriter.
func run(ctx context.Context, s streams, args []string) int {
	err := interruptible(ctx, s, func(ctx context.Context) error {
		out, errs := &textWriter{to: s.Out}, &textWriter{to: s.Err}
		err := execute(ctx, streams{In: s.In, Out: out, Err: errs}, args)
		return cmp.Or(err, out.lost, errs.lost)
	})
	if p, is := errors.AsType[*panics.Panic](err); is {
		err = crash{p, append([]string{"fathomlux"}, args...)}.tell()
	}
	printError(&textWriter{to: s.Err}, err)
	return exitStatus(err)
}

func execute(ctx context.Context, s streams, args []string) error {
	for _, arg := range args {
		if strings.ContainsAny(arg, "\n\r") {
			return fmt.Errorf("%.60q holds a line break, which no argument may contain", arg)
		}
	}
	root := newRootCommand(s)
	root.SetArgs(args)
	return root.ExecuteContext(ctx)
}

// exitStatus is the one place where an error becomes an exit status.
func exitStatus(err error) int {
	switch {
	case err == nil:
		return statusDone
	case errors.Is(err, errGoalNotMet):
		return statusNotMet
	case errors.Is(err, errCrashed):
		return statusCrashed
	default:
		return statusWrong
	}
}

// printError writes err, or each of those that errors.Join made one, as plain lines: faults of a document as they are,
// for they begin with their place, everything else after the program's name.
func printError(w io.Writer, err error) {
	if joined, is := err.(interface{ Unwrap() []error }); is {
		for _, e := range joined.Unwrap() {
			printError(w, e)
		}
		return
	}
	if _, is := errors.AsType[*document.Error](err); is {
		fmt.Fprintln(w, strings.TrimRight(err.Error(), "\n"))
	} else if err != nil {
		fmt.Fprintf(w, "fathomlux: %v\n", err)
	}
}

// graceTime is how long a command has after Ctrl-C to end by itself. One that is then still inside a picture or a sum
// ends with the process: files are written under other names first, so that each is whole.
const graceTime = 40 * time.Millisecond

// writesTime is how much longer one has that is writing files.
const writesTime = 3 * graceTime

// interruption says what Ctrl-C does to the command that runs.
type interruption struct {
	usual atomic.Bool // it is how the command is meant to end: status 0
	keeps atomic.Bool // the command writes what is done, which may take longer than graceTime

	// files are being written, of which the temporary ones go as soon as the context ends: that is waited for
	writes atomic.Bool
}

type interruptionKey struct{}

// onInterrupt returns what a command sets of its interruption.
func onInterrupt(ctx context.Context) *interruption {
	if i, ok := ctx.Value(interruptionKey{}).(*interruption); ok {
		return i
	}
	return &interruption{}
}

var errInterrupted = errors.New("interrupted")

// stopping is told at once of a command that keeps what is done.
const stopping = "fathomlux: stopping; what is done is being written; Ctrl-C again ends at once"

// interruptible runs a command under a context that ends with the first signal, and returns its error: its own where it
// ends by itself, else that of an interruption, nil where that is its usual end.
func interruptible(ctx context.Context, s streams, do func(context.Context) error) error {
	i := &interruption{}
	ctx, cancel := context.WithCancel(context.WithValue(ctx, interruptionKey{}, i))
	defer cancel()
	ended := make(chan error, 1)
	go func() {
		err := guarded(func() error { return do(ctx) })
		if errors.Is(err, context.Canceled) && ctx.Err() != nil {
			err = errInterrupted
		}
		ended <- err
	}()
	select {
	case err := <-ended:
		return err
	case <-s.Signals:
	}
	cancel() // before keeps is read: see optics.Options.KeepTraced
	over := time.After(graceTime)
	for told := false; ; {
		if !told && i.keeps.Load() {
			fmt.Fprintln(s.Err, stopping)
			told, over = true, nil
		}
		select {
		case err := <-ended:
			return err
		case <-s.Signals:
			return i.end()
		case <-over:
			if i.writes.Swap(false) {
				over = time.After(writesTime)
			} else if !i.keeps.Load() {
				return i.end()
			}
		}
	}
}

// end is the error of a command that does not end by itself.
func (i *interruption) end() error {
	if i.usual.Load() {
		return nil
	}
	return errInterrupted
}
