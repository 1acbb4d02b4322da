package document

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Unsafe tells whether a terminal would not show r but obey it: control characters, line and paragraph separators, and
// those that turn the direction of writing (Unicode's Bidi_Control, which make a text read as what it is not).
func Unsafe(r rune) bool {
	return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || unicode.Is(unicode.Bidi_Control, r)
}

// Visible returns text in one line in which nothing can command a terminal: unsafe characters and bytes that are not
// UTF-8 are shown as escapes.
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
