package main

import (
	"io"
	"os"
	"strings"
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
	whole := len(data)
	for i := max(0, len(data)-utf8.UTFMax); i < len(data); i++ {
		if utf8.RuneStart(data[i]) && !utf8.FullRune(data[i:]) {
			whole = i
			break
		}
	}
	w.rest = append([]byte(nil), data[whole:]...)
	if err := w.put(string(data[:whole])); err != nil {
		return 0, err
	}
	return len(p), nil
}

// put writes a text, with line ends and tabs as they are.
func (w *textWriter) put(text string) error {
	var out strings.Builder
	for text != "" {
		n := strings.IndexAny(text, "\n\t")
		if n < 0 {
			out.WriteString(document.Visible(text))
			break
		}
		out.WriteString(document.Visible(text[:n]) + text[n:n+1])
		text = text[n+1:]
	}
	_, err := io.WriteString(w.to, out.String())
	if err != nil {
		w.lost = err
	}
	return err
}

// close writes what is left of a text that ends inside a character. It returns the error of any text that did not
// arrive.
func (w *textWriter) close() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.rest) > 0 && w.lost == nil {
		_ = w.put(string(w.rest)) // which is kept
	}
	return w.lost
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
