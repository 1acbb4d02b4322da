package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/document"
)

func TestTextWriter(t *testing.T) {
	for text, want := range map[string]string{
		"a\tb\nc":                      "a\tb\nc",
		"\x1b]0;title\x07":             `\u001b]0;title\u0007`,
		"abc\u202etxt.yaml\u2069":      `abc\u202etxt.yaml\u2069`,
		"\rover":                       `\u000dover`,
		"caf\u00e9 \u5149 \u05e9":      "caf\u00e9 \u5149 \u05e9",
		"cut \xe5\x85":                 `cut \xe5\x85`,
		"byte \xff, \u009b31m, \ufffd": `byte \xff, \u009b31m, ` + "\ufffd",
	} {
		var b bytes.Buffer
		w := &textWriter{to: &b}
		if n, err := w.Write([]byte(text)); n != len(text) || err != nil {
			t.Errorf("%q: %d, %v", text, n, err)
		}
		if w.lost != nil || b.String() != want {
			t.Errorf("%q is written as %q, want %q (%v)", text, b.String(), want, w.lost)
		}
	}
}

// TestTextWriterWritesJSON: nothing in a JSON text commands a terminal, and it means the same.
func TestTextWriterWritesJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text") + "\u202e\x1b\u5149"
		encoded, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		_, _ = (&textWriter{to: &out}).Write(encoded)
		var back string
		if err := json.Unmarshal(out.Bytes(), &back); err != nil || back != text {
			t.Errorf("%q comes back as %q (%v)", text, back, err)
		}
		if strings.IndexFunc(out.String(), document.Unsafe) >= 0 {
			t.Errorf("%q", out.String())
		}
	})
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestTextWriterTellsFaults(t *testing.T) {
	w := &textWriter{to: broken{}}
	if n, err := w.Write([]byte("a")); n != 0 || err == nil {
		t.Errorf("%d, %v", n, err)
	}
	if status := run(t.Context(), streams{Out: broken{}, Err: &bytes.Buffer{}}, []string{"version"}); status != statusWrong {
		t.Errorf("status %d where nothing can be written", status)
	}
}

func TestTerminalOf(t *testing.T) {
	if file, ok := terminalOf(&textWriter{to: os.Stderr}); !ok || file != os.Stderr {
		t.Error("the file below is not found")
	}
	if _, ok := terminalOf(&textWriter{to: &bytes.Buffer{}}); ok {
		t.Error("a buffer is no file")
	}
}
