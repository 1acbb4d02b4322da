package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"syscall"

	"fathomlux/render/output"
)

// deliver hands over an answer, whole or not at all. All that is printed is made first, then all files are written
// under temporary names into the folder that dir has told, then the text goes to standard output, and at last the
// files take their names.
func (o common) deliver(ctx context.Context, s streams, dir string, files []output.File,
	print func(streams) error) error {
	if err := o.checkLinks(dir); err != nil {
		return err
	}
	text := &pending{to: s.Out}
	if err := print(streams{In: s.In, Out: text, Err: s.Err}); err != nil {
		return err
	}
	if len(files) == 0 {
		_, err := s.Out.Write(text.Bytes())
		return err
	}
	closed := false // nobody reads any more, as after `| head -1`: that is no fault of the files
	last := func() error {
		err := writeUntil(ctx, s.Out, text.Bytes())
		closed = errors.Is(err, syscall.EPIPE)
		if closed {
			return nil
		}
		return err
	}
	if err := output.WriteSet(ctx, dir, files, last); err != nil || !closed {
		return err
	}
	_, err := s.Out.Write(text.Bytes()) // ends the process by the signal that says so, where there is one
	return err
}

// checkLinks refuses links on the way to the usual place, for they may have come with somebody's scene. They are
// followed where the user has named the folder.
func (o common) checkLinks(dir string) error {
	if o.out != "" {
		return nil
	}
	for _, at := range []string{usualOut, dir} {
		if info, err := os.Lstat(at); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return fmt.Errorf("cannot write into %s: %s is a link, which is followed only where --out names it; give --out "+
				"%s", dir, at, dir)
		}
	}
	return nil
}

// pending is text that is still to be printed.
type pending struct {
	bytes.Buffer
	to io.Writer
}

// writeUntil writes text, until ctx ends: a reader such as a pager may let it wait for long. A pipe that is closed
// gives syscall.EPIPE in place of the signal.
func writeUntil(ctx context.Context, to io.Writer, text []byte) error {
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, syscall.SIGPIPE)
	defer signal.Stop(signals)
	ended := make(chan error, 1)
	go func() {
		_, err := to.Write(text)
		ended <- err
	}()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}
