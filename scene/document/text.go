package document

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
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
		t.Faultf(Position{}, "the file has %d bytes; at most %d (1 MiB) are allowed", len(data), MaxBytes)
	}
	return len(data) <= MaxBytes
}

// byteOrderMark is U+FEFF: one may stand at the very beginning.
const byteOrderMark = '\ufeff'

// Plain tells whether the data fit and are UTF-8 without control characters; else it adds a fault that ends in form.
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

// Unsafe tells whether a terminal would not show r but obey it: control characters, line and paragraph separators, and
// those that turn the direction of writing (Unicode's Bidi_Control, which make a text read as what it is not).
func Unsafe(r rune) bool {
	return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || unicode.Is(unicode.Bidi_Control, r)
}

// Visible returns text in one line, with unsafe characters and bytes that are not UTF-8 as escapes.
func Visible(text string) string { return visible(text, "") }

// VisibleLines is Visible for a text that may have several lines, and tabs.
func VisibleLines(text string) string { return visible(text, "\n\t") }

// visible escapes what is unsafe but for the characters to keep.
func visible(text, keep string) string {
	unsafe := func(r rune) bool { return Unsafe(r) && !strings.ContainsRune(keep, r) }
	if utf8.ValidString(text) && strings.IndexFunc(text, unsafe) < 0 {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, `\x%02x`, text[i])
		case unsafe(r):
			fmt.Fprintf(&b, `\u%04x`, r) // as JSON writes it too
		default:
			b.WriteString(text[i : i+size])
		}
		i += size
	}
	return b.String()
}

// maxEdits is how many letters at most may differ between a word and the name that is suggested for it.
const maxEdits = 3

// Suggest returns the nearest of names to word, "" when none is near: at most one letter in three (always one, never
// more than three) may be changed, added, left out or swapped with its neighbour. Capitals count for nothing.
func Suggest(word string, names []string) string {
	lower := []rune(strings.ToLower(word))
	budget, nearest := min(max(len(lower)/3, 1), maxEdits), ""
	for _, name := range names {
		if d := edits(lower, []rune(strings.ToLower(name)), budget); d <= budget {
			budget, nearest = d-1, name
		}
	}
	return nearest
}

// Unknown says that there is no thing of a name among names, and which may have been meant, or which there are.
func Unknown(noun, name string, names []string) string {
	return fmt.Sprintf("there is no %s %.60q; %s", noun, name, suggestion(name, names))
}

// suggestion says which name may have been meant, or which there are.
func suggestion(word string, names []string) string {
	if near := Suggest(word, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "known: " + unit.List(names, 16)
}

// edits counts the edits between two words, the optimal string alignment distance of Damerau and Levenshtein, or
// returns a number above budget where there are more.
func edits(x, y []rune, budget int) int {
	for len(x) > 0 && len(y) > 0 && x[0] == y[0] {
		x, y = x[1:], y[1:]
	}
	switch gap := max(len(x)-len(y), len(y)-len(x)); {
	case gap > budget:
		return budget + 1
	case len(x) == 0 || len(y) == 0:
		return gap
	}
	left := budget - 1
	n := min(edits(x[1:], y, left), edits(x, y[1:], left), edits(x[1:], y[1:], left))
	if len(x) > 1 && len(y) > 1 && x[0] == y[1] && x[1] == y[0] {
		n = min(n, edits(x[2:], y[2:], left))
	}
	return n + 1
}
