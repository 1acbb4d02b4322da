package document

import (
	"fmt"
	"unicode/utf8"

	"fathomlux/scene/finding"
)

// Text is a text file that a reader goes through, with what it finds there.
type Text struct {
	Name string // for messages
	*Report
}

// Position is a line and a column in characters, both from 1; the zero Position is the whole file.
type Position struct{ Line, Column int }

// Faultf adds a fault at a place of the file.
func (t Text) Faultf(at Position, format string, args ...any) {
	t.AddFault(Fault{t.place(at), fmt.Sprintf(format, args...)})
}

// Warn adds a warning at a place of the file.
func (t Text) Warn(at Position, f finding.Finding) { t.AddWarning(f.At(t.place(at))) }

func (t Text) place(at Position) finding.Place {
	return finding.Place{File: t.Name, Line: at.Line, Column: at.Column}
}

// Fits tells whether the data are at most MaxBytes, and adds a fault where they are not.
func (t Text) Fits(data []byte) bool {
	if len(data) > MaxBytes {
		t.Faultf(Position{}, "the file has %d bytes; at most %d (1 MiB) serve", len(data), MaxBytes)
	}
	return len(data) <= MaxBytes
}

// byteOrderMark is U+FEFF: one may stand at the very beginning.
const byteOrderMark = '\ufeff'

// Plain tells whether the data fit and are text in UTF-8 without control characters; else it adds a fault that says
// which form would serve.
func (t Text) Plain(data []byte, form string) bool {
	if !t.Fits(data) {
		return false
	}
	at := Position{1, 1}
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		what := ""
		switch {
		case r == utf8.RuneError && size == 1:
			what = fmt.Sprintf("byte 0x%02x is not UTF-8", data[i])
		case r == '\n':
			at = Position{at.Line + 1, 0}
		case r == byteOrderMark && i > 0:
			what = "a second byte-order mark (U+FEFF), which nobody sees, is not text"
		case r < ' ' && r != '\t' && r != '\r' || r == 0x7f:
			what = fmt.Sprintf("control character 0x%02x is not text", r)
		}
		if what != "" {
			t.Faultf(at, "%s; %s", what, form)
			return false
		}
		i, at.Column = i+size, at.Column+1
	}
	return true
}
