package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"unicode/utf8"

	"fathomlux/scene/document"
)

// textWriter passes text on in which nothing commands a terminal: whatever titles, file names and foreign files hold,
// characters that a terminal would obey are shown as escapes. Line ends and tabs pass. All that a command prints goes
// through it; a JSON text says the same with its escapes. What draws on a terminal asks terminalOf for the file below.
type textWriter struct {
	to   io.Writer
	mu   sync.Mutex
	rest []byte // the start of a character whose end is in the next Write
	lost error  // why a text did not arrive, which not every caller asks
}

func (w *textWriter) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	data := append(w.rest, p...)
	w.rest = nil
	out := make([]byte, 0, len(data))
	for len(data) > 0 {
		if !utf8.FullRune(data) {
			w.rest = append([]byte(nil), data...)
			break
		}
		r, size := utf8.DecodeRune(data)
		out = appendVisible(out, r, data[:size])
		data = data[size:]
	}
	if _, err := w.to.Write(out); err != nil {
		w.lost = err
		return 0, err
	}
	return len(p), nil
}

// appendVisible appends a character, or its escape.
func appendVisible(out []byte, r rune, raw []byte) []byte {
	switch {
	case r == utf8.RuneError && len(raw) == 1:
		return fmt.Appendf(out, `\x%02x`, raw[0])
	case r != '\n' && r != '\t' && document.Unsafe(r):
		return append(out, document.Escape(r)...)
	}
	return append(out, raw...)
}

// close writes what is left of a text that ends inside a character. It returns the error of any text that did not arrive.
func (w *textWriter) close() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	var out []byte
	for _, b := range w.rest {
		out = appendVisible(out, utf8.RuneError, []byte{b})
	}
	w.rest = nil
	if len(out) == 0 || w.lost != nil {
		return w.lost
	}
	_, err := w.to.Write(out)
	return err
}

// terminalOf returns the file that a stream ends in, past pending text and a textWriter; ok is false where it is none.
func terminalOf(w io.Writer) (file *os.File, ok bool) {
	if text, is := w.(*pending); is {
		w = text.to
	}
	if text, is := w.(*textWriter); is {
		w = text.to
	}
	file, ok = w.(*os.File)
	return file, ok
}
