// Command fathomlux plans the light in a water tank: where it lands, how evenly, and what reaches the floor.
//
// Each command is three things in one file: options, a constructor that fills them from flags, and a run function
// that knows no cobra. Answers go to standard output, all else to standard error. This package alone parses flags,
// prints, reads the environment and ends the process; the sums live in scene, optics and render.
//
// Exit status: 0 done; 1 the goal is not met, where that was asked for; 2 the scene, a file or the call is wrong.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"fathomlux/scene/document"
)

// The exit statuses, the same for every command; exitStatusText says them.
const (
	statusDone   = 0
	statusNotMet = 1
	statusWrong  = 2
)

// errGoalNotMet is what a command returns, wrapped with what is missing, where a goal was required and is not met.
var errGoalNotMet = errors.New("the goal is not met")

// streams are what a command reads and writes; a test hands it buffers.
type streams struct {
	In  io.Reader
	Out io.Writer
	Err io.Writer
}

func main() { os.Exit(Main()) }

// Main runs the command line of this process and returns its exit status.
func Main() int {
	signals, stop := watchSignals()
	defer stop()
	return interruptible(signals, os.Stderr, func(ctx context.Context) int {
		return run(ctx, streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, os.Args[1:])
	})
}

// run executes one call and turns its error into lines on standard error and an exit status. What it prints is text
// alone: see textWriter.
func run(ctx context.Context, s streams, args []string) int {
	out, errs := &textWriter{to: s.Out}, &textWriter{to: s.Err}
	err := execute(ctx, streams{In: s.In, Out: out, Err: errs}, args)
	cancelled := ctx.Err() != nil && errors.Is(err, context.Canceled)
	if cancelled {
		err = errors.New(interrupted)
	}
	if lost := out.close(); err == nil {
		err = lost
	}
	if !cancelled || tellsInterruption(ctx) {
		printError(errs, err)
	}
	return exitStatus(errors.Join(err, errs.close()))
}

// execute runs the command that args name.
func execute(ctx context.Context, s streams, args []string) error {
	for _, arg := range args {
		if strings.ContainsAny(arg, "\n\r") {
			return fmt.Errorf("%.60q holds a line break, which no argument here may", arg)
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
	default:
		return statusWrong
	}
}

// printError writes err as plain lines: faults of a document as they are, for they begin with their place,
// everything else after the program's name.
func printError(w io.Writer, err error) {
	for _, e := range flatten(err) {
		var faults *document.Error
		if errors.As(e, &faults) {
			fmt.Fprintln(w, strings.TrimRight(e.Error(), "\n"))
			continue
		}
		fmt.Fprintf(w, "fathomlux: %v\n", e)
	}
}

// flatten returns the single errors of one that errors.Join made, in order; none for nil.
func flatten(err error) []error {
	if err == nil {
		return nil
	}
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return []error{err}
	}
	var all []error
	for _, e := range joined.Unwrap() {
		all = append(all, flatten(e)...)
	}
	return all
}
