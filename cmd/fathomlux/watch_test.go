package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// watchPatience is how long a watch may take to see a change: a busy machine is slow.
const watchPatience = 2 * time.Minute

const watchedScene = `tank: {length: 600 mm, width: 300 mm, height: 360 mm, water: {depth: 330 mm}}
rails: [{length: 500 mm, above_water: 100 mm, modules: {part: single-neutral, optic: own, count: 1, current: 350 mA}}]
parts: own.yaml
`

// quietBuffer is a buffer for two goroutines.
type quietBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (q *quietBuffer) Write(p []byte) (int, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.b.Write(p)
}

func (q *quietBuffer) String() string {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.b.String()
}

// watched starts a watch of a scene with own parts; each redo sends on the channel, and stop ends it.
func watched(t *testing.T) (dir string, redone <-chan int, errs *quietBuffer, stop func() error) {
	t.Helper()
	dir = t.TempDir()
	write(t, dir, "scene.yaml", watchedScene)
	write(t, dir, "own.yaml", "optics: {own: {beam: 40 deg, efficiency: 0.9}}\n")
	errs = &quietBuffer{}
	ctx, cancel := context.WithCancel(t.Context())
	t.Cleanup(cancel)
	runs, ended := make(chan int, 100), make(chan error, 1)
	n := 0
	go func() {
		ended <- watchScene(ctx, streams{Err: errs}, filepath.Join(dir, "scene.yaml"), func(context.Context) error {
			n++
			runs <- n
			if n == 1 {
				return errors.New("the first is faulty")
			}
			return nil
		})
	}()
	return dir, runs, errs, func() error {
		cancel()
		select {
		case err := <-ended:
			return err
		case <-time.After(watchPatience):
			return errors.New("the watch does not end")
		}
	}
}

func write(t testing.TB, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// replace saves as editors do: another file, renamed.
func replace(t *testing.T, dir, name, text string) {
	t.Helper()
	write(t, dir, name+"~", text)
	if err := os.Rename(filepath.Join(dir, name+"~"), filepath.Join(dir, name)); err != nil {
		t.Fatal(err)
	}
}

func mustRedo(t *testing.T, redone <-chan int, what string) {
	t.Helper()
	select {
	case <-redone:
	case <-time.After(watchPatience):
		t.Fatalf("not done again after %s", what)
	}
}

// TestWatch: written over, renamed over, taken away and put back; the scene and a file that it names; other files and the
// same content again do not count.
func TestWatch(t *testing.T) {
	t.Parallel()
	dir, redone, errs, stop := watched(t)
	mustRedo(t, redone, "the start")
	write(t, dir, "scene.yaml", watchedScene+"title: one\n")
	mustRedo(t, redone, "a save")
	replace(t, dir, "scene.yaml", watchedScene+"title: two\n")
	mustRedo(t, redone, "a rename")
	replace(t, dir, "own.yaml", "optics: {own: {beam: 50 deg, efficiency: 0.9}}\n")
	mustRedo(t, redone, "a change of the parts")
	if err := os.Remove(filepath.Join(dir, "own.yaml")); err != nil {
		t.Fatal(err)
	}
	mustRedo(t, redone, "the parts are gone")
	write(t, dir, "own.yaml", "optics: {own: {beam: 40 deg, efficiency: 0.9}}\n")
	mustRedo(t, redone, "the parts are back")
	write(t, dir, "other.yaml", "title: x\n")
	write(t, dir, "scene.yaml", watchedScene+"title: two\n")
	select {
	case <-redone:
		t.Error("done again though nothing changed that the scene names")
	case <-time.After(4 * watchEvery):
	}
	if err := stop(); err != nil {
		t.Errorf("the end of the watch is a fault: %v", err)
	}
	if text := errs.String(); !strings.Contains(text, "fathomlux: the first is faulty\n") || !strings.Contains(text, "scene.yaml and 1 file that it names; Ctrl-C ends\n") {
		t.Errorf("standard error: %q", text)
	}
}

// TestWatchThroughALink: a scene that is a link to another folder is seen to change there.
func TestWatchThroughALink(t *testing.T) {
	real, dir := t.TempDir(), t.TempDir()
	write(t, real, "real.yaml", watchedScene)
	link := filepath.Join(dir, "scene.yaml")
	if err := os.Symlink(filepath.Join(real, "real.yaml"), link); err != nil {
		t.Skip("no links here")
	}
	ctx, cancel := context.WithTimeout(t.Context(), watchPatience)
	defer cancel()
	runs := 0
	err := watchScene(ctx, streams{Err: &bytes.Buffer{}}, link, func(context.Context) error {
		if runs++; runs == 1 {
			replace(t, real, "real.yaml", watchedScene+"title: new\n")
		} else {
			cancel()
		}
		return nil
	})
	if err != nil || runs != 2 {
		t.Errorf("%d runs, %v", runs, err)
	}
}

func TestWatchNeedsAScene(t *testing.T) {
	err := watchScene(t.Context(), streams{Err: &bytes.Buffer{}}, filepath.Join(t.TempDir(), "none.yaml"), func(context.Context) error {
		t.Error("was run")
		return nil
	})
	if err == nil || !strings.Contains(err.Error(), "there is no such file") {
		t.Errorf("got %v", err)
	}
}
