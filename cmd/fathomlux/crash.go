package main

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"runtime"
	"strings"

	"fathomlux/scene/panics"
)

// guarded calls do and returns a panic in it as an error, a *panics.Panic.
func guarded(do func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = panics.Of(v)
		}
	}()
	return do()
}

// caught is a page that keeps a panic for who serves it.
func caught(page http.Handler, broken *panics.Carrier) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer broken.Catch()
		page.ServeHTTP(w, r)
	})
}

var errCrashed = errors.New("a fault of the program itself, not of your files")

// crash is a panic that ended a call.
type crash struct {
	*panics.Panic
	call []string
}

// head says what ran, a line each.
func (c crash) head() string {
	words := make([]string, len(c.call))
	for i, w := range c.call {
		words[i] = shellWord(w)
	}
	return fmt.Sprintf("program: fathomlux %s (%s %s/%s)\ncall: %s\n", programVersion(), runtime.Version(), runtime.GOOS,
		runtime.GOARCH, strings.Join(words, " "))
}

// tell writes the file that is to be sent and returns the message, which holds all of it where no file can be written.
func (c crash) tell() error {
	text := fmt.Sprintf("%sfault: %v\n\n%s", c.head(), c.Panic, c.Stack)
	name, err := writeTemporary("fathomlux-crash-*.txt", text)
	if err != nil {
		return fmt.Errorf("%w; please send all of this, and the scene if you may:\n%s", errCrashed, text)
	}
	return fmt.Errorf("%w: %v\n%splease send: %s, and the scene if you may; the file holds the call and where the "+
		"program stood, nothing of the scene", errCrashed, c.Panic, c.head(), name)
}

// writeTemporary writes a text among the files of the system that are temporary, and returns its path.
func writeTemporary(pattern, text string) (string, error) {
	f, err := os.CreateTemp("", pattern)
	if err != nil {
		return "", err
	}
	_, err = f.WriteString(text)
	return f.Name(), errors.Join(err, f.Close())
}
