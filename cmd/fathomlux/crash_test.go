package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/optics/parallel"
	"fathomlux/scene/panics"
)

// brokenWriter panics in place of writing.
type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { panic("the writer is broken") }

// sent reads the one file that a crash left, which is all that lies in a folder.
func sent(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "fathomlux-crash-*.txt"))
	if err != nil || len(files) != 1 {
		t.Fatalf("files of a crash: %v, %v", files, err)
	}
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestCrashSaysWhatToSend: a panic in the midst of a command that writes files, in the goroutine that prints, ends in one message
// with version, call and a file, in a status of its own, and leaves no file of the command.
func TestCrashSaysWhatToSend(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	t.Setenv("TMP", dir) // Windows
	out := filepath.Join(t.TempDir(), "out")
	var errs bytes.Buffer
	args := []string{"map", filepath.Join("..", "..", "examples", "shelf", "shelf.yaml"), "--step", "60mm", "--plane", "floor",
		"--out", out}
	status := run(context.Background(), streams{Out: brokenWriter{}, Err: &errs}, args)
	if status != statusCrashed {
		t.Errorf("status %d: %s", status, errs.String())
	}
	message := errs.String()[strings.Index(errs.String(), "fathomlux: a fault of the program itself"):]
	for _, want := range []string{"the writer is broken", "program: fathomlux " + programVersion() + " (go", "call: fathomlux map ", "--step 60mm",
		"please send: " + dir} {
		if strings.Count(message, want) != 1 {
			t.Errorf("%q is there %d times in:\n%s", want, strings.Count(message, want), message)
		}
	}
	if strings.Contains(message, "goroutine") {
		t.Error("the message holds the stack, which is in the file")
	}
	if text := sent(t, dir); !strings.Contains(text, "brokenWriter.Write") || !strings.Contains(text, "call: fathomlux map ") {
		t.Errorf("the file says:\n%s", text)
	}
	left, _ := filepath.Glob(filepath.Join(out, "*"))
	if len(left) > 0 {
		t.Errorf("files are left: %v", left)
	}
}

// TestCrashWithoutAFile: where none can be written, the message holds all of it.
func TestCrashWithoutAFile(t *testing.T) {
	nowhere := filepath.Join(t.TempDir(), "nowhere")
	t.Setenv("TMPDIR", nowhere)
	t.Setenv("TMP", nowhere)
	var errs bytes.Buffer
	if status := run(context.Background(), streams{Out: brokenWriter{}, Err: &errs}, []string{"version"}); status != statusCrashed {
		t.Errorf("status %d", status)
	}
	if text := errs.String(); !strings.Contains(text, "please send all of this") || !strings.Contains(text, "brokenWriter.Write") {
		t.Errorf("it says:\n%s", text)
	}
}

// TestCrashOfAWorker: a panic in one of the goroutines that compute reaches the command's error with its place.
func TestCrashOfAWorker(t *testing.T) {
	err := interruptible(context.Background(), streams{Err: io.Discard}, func(ctx context.Context) error {
		return parallel.ForEach(ctx, 3, 9, func(i int) {
			if i == 7 {
				_, _ = brokenWriter{}.Write(nil)
			}
		})
	})
	p, is := errors.AsType[*panics.Panic](err)
	if !is || p.Error() != "the writer is broken" || !strings.Contains(p.Stack, "brokenWriter.Write") {
		t.Errorf("%v", err)
	}
}

// TestCrashOfThePage: a panic in answering a request ends the serving, and is its panic.
func TestCrashOfThePage(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	broken := panics.Carrier{Then: cancel}
	page := http.HandlerFunc(func(http.ResponseWriter, *http.Request) { _, _ = brokenWriter{}.Write(nil) })
	go func() {
		if answer, err := http.Get("http://" + listener.Addr().String()); err == nil {
			answer.Body.Close()
		}
	}()
	err = guarded(func() error {
		defer broken.Throw()
		return serve(ctx, listener, caught(page, &broken))
	})
	if p, is := errors.AsType[*panics.Panic](err); !is || !strings.Contains(p.Stack, "brokenWriter.Write") {
		t.Errorf("%v", err)
	}
}
