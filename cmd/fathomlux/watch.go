package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"

	"fathomlux/scene"
	"fathomlux/scene/document"
)

// The times of watching.
const (
	quietTime = 100 * time.Millisecond // an editor that saves is done when nothing changed for so long
	pollTime  = time.Second
)

// watchOptions say how to watch.
type watchOptions struct {
	scene string
	poll  bool
}

// watchScene calls redo at once and again after each change of the scene's file or of a file that it names, until ctx is
// done, which is no fault. Faults of redo are printed and the watch goes on; a scene file that is not there at first ends it.
func watchScene(ctx context.Context, s streams, o watchOptions, redo func(context.Context) error) error {
	if _, err := os.Stat(o.scene); err != nil {
		_, err = scene.Read(o.scene)
		return err
	}
	endsByInterrupt(ctx)
	eye := newEye(s, o.poll)
	defer eye.close()
	for {
		files := namedFiles(o.scene)
		eye.follow(files)
		before := stateOf(files)
		err := redo(ctx)
		if ctx.Err() != nil {
			return nil
		}
		printError(s.Err, err)
		fmt.Fprintf(s.Err, "watching %s%s; Ctrl-C ends\n", o.scene, others(len(files)-1))
		if !eye.wait(ctx, files, before) {
			return nil
		}
	}
}

func others(n int) string {
	if n < 1 {
		return ""
	}
	return " and " + several(n, "file") + " that it names"
}

// namedFiles returns the scene's file and those that it names, as far as it can be read, each once.
func namedFiles(path string) []string {
	var files []string
	_, _ = scene.ReadNoting(path, func(file string) { // its faults are told by the command itself
		if !slices.Contains(files, file) {
			files = append(files, file)
		}
	})
	return files
}

// stateOf returns a sum of what stands in the files; one that is no regular file or too large counts as not there.
func stateOf(files []string) [sha256.Size]byte {
	sum := sha256.New()
	for _, file := range files {
		info, err := os.Stat(file)
		if err != nil || !info.Mode().IsRegular() || info.Size() > document.MaxBytes {
			sum.Write([]byte{0})
			continue
		}
		data, _ := os.ReadFile(file) // what cannot be read counts as empty
		one := sha256.Sum256(data)
		sum.Write(append([]byte{1}, one[:]...))
	}
	return [sha256.Size]byte(sum.Sum(nil))
}

// eye tells when something in a folder may have changed: by what the system reports, or by the clock.
type eye struct {
	s       streams
	watcher *fsnotify.Watcher // nil where it polls
}

func newEye(s streams, poll bool) *eye {
	e := &eye{s: s}
	if poll {
		return e
	}
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		e.fallBack(err)
		return e
	}
	e.watcher = watcher
	return e
}

// fallBack goes over to the clock.
func (e *eye) fallBack(err error) {
	fmt.Fprintf(e.s.Err, "the system does not report changes here (%v); looking every second instead\n", err)
	e.close()
	e.watcher = nil
}

func (e *eye) close() {
	if e.watcher != nil {
		_ = e.watcher.Close() // nothing is left to be done about it
	}
}

// follow watches the folders of files: editors replace a file by renaming another, which a watch of the file would miss.
// Of a link the folder of what it leads to is watched too.
func (e *eye) follow(files []string) {
	for _, file := range files {
		folders := []string{filepath.Dir(file)}
		if real, err := filepath.EvalSymlinks(file); err == nil {
			folders = append(folders, filepath.Dir(real))
		}
		for _, folder := range folders {
			if e.watcher == nil {
				return
			}
			if err := e.watcher.Add(folder); err != nil && !errors.Is(err, os.ErrNotExist) {
				e.fallBack(err)
			}
		}
	}
}

// wait returns true once the files differ from their state before and have come to rest, false once ctx is done.
func (e *eye) wait(ctx context.Context, files []string, before [sha256.Size]byte) bool {
	for {
		if now := stateOf(files); now != before {
			if rest(ctx, files, now) != before {
				return ctx.Err() == nil
			}
		}
		if !e.change(ctx) {
			return false
		}
	}
}

// rest waits until nothing changes for quietTime, and returns the state then.
func rest(ctx context.Context, files []string, now [sha256.Size]byte) [sha256.Size]byte {
	for pause(ctx, quietTime) {
		next := stateOf(files)
		if next == now {
			break
		}
		now = next
	}
	return now
}

// pause waits; it returns false once ctx is done.
func pause(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}

// change waits until something may have changed; it returns false once ctx is done.
func (e *eye) change(ctx context.Context) bool {
	if e.watcher == nil {
		return pause(ctx, pollTime)
	}
	select {
	case <-ctx.Done():
		return false
	case <-e.watcher.Events:
		return true
	case err, open := <-e.watcher.Errors:
		if open && !errors.Is(err, fsnotify.ErrEventOverflow) {
			e.fallBack(err)
		}
		return true
	}
}
