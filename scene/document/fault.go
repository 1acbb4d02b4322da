// Package document reads a YAML file strictly and hands it out as a tree of places that can be complained about.
// It collects every fault with file, line, column and path instead of stopping at the first, and refuses what a
// loader would let pass: repeated keys, empty values, infinite numbers, a second document.
// It knows no scene: which keys there are and what they mean, the caller says.
// Next: package unit for quantities, package scene and package parts for what is read with it.
package document

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// Fault is one thing that is wrong at one place of a file.
type Fault struct {
	finding.Place
	Message string
}

// Error returns the fault in one line, such as
// "foyer.yaml:22:63: rails[0].modules.current: 350 has no unit; write 350 mA or 0.35 A".
func (f Fault) Error() string {
	return Visible(strings.TrimPrefix(f.Place.String()+": "+f.Message, ": "))
}

// Report collects the faults and the warnings of one scene and of all files that it names.
type Report struct {
	Faults   []Fault
	Warnings []finding.Finding
	files    []string       // in the order of reading
	seen     map[Fault]bool // a part that two rails use complains once
	more     int            // faults beyond mostFaults, which are not kept
	told     int            // calls of AddFault
}

// mostFaults is how many faults, and how many warnings, a report keeps; an alias can multiply them.
const mostFaults = 5000

// AddFault adds a fault that has no node, such as one in a CSV file; the same fault again is dropped.
func (r *Report) AddFault(f Fault) {
	r.told++
	if len(r.Faults) == mostFaults {
		r.more++
	} else if r.isNew(f) {
		r.Faults = append(r.Faults, f)
	}
}

// Told returns how often a fault was told so far, dropped ones included: where it has grown, one was met.
func (r *Report) Told() int { return r.told }

// AddWarning adds a warning that has no node, such as one about a measured file; the same warning again is dropped.
func (r *Report) AddWarning(f finding.Finding) {
	if len(r.Warnings) < mostFaults && r.isNew(Fault{f.Place, f.Words(unit.Metric)}) {
		r.Warnings = append(r.Warnings, f)
	}
}

func (r *Report) isNew(f Fault) bool {
	if r.seen[f] {
		return false
	}
	if r.seen == nil {
		r.seen = map[Fault]bool{}
	}
	r.seen[f] = true
	return true
}

// Err returns nil where there is no fault, else an *Error with the faults by file in order of reading, and by place.
func (r *Report) Err() error {
	if len(r.Faults) == 0 {
		return nil
	}
	faults := slices.Clone(r.Faults)
	slices.SortStableFunc(faults, func(a, b Fault) int { return r.compare(a.Place, b.Place) })
	return &Error{Faults: faults, more: r.more}
}

// Sorted returns the warnings by place: the file that was read first in front, then line and column.
func (r *Report) Sorted() []finding.Finding {
	list := slices.Clone(r.Warnings)
	slices.SortStableFunc(list, func(a, b finding.Finding) int { return r.compare(a.Place, b.Place) })
	return list
}

func (r *Report) compare(a, b finding.Place) int {
	rank := func(p finding.Place) int {
		if i := slices.Index(r.files, p.File); i >= 0 {
			return i
		}
		return len(r.files)
	}
	return cmp.Or(rank(a)-rank(b), a.Line-b.Line, a.Column-b.Column)
}

// Error is every fault of a file and of the files that it names, at least one and the first 5000 at most.
type Error struct {
	Faults []Fault
	more   int
}

// Error returns one line a fault, at most 50 of them: more help nobody.
func (e *Error) Error() string {
	shown := e.Faults[:min(len(e.Faults), 50)]
	var lines []string
	for _, f := range shown {
		lines = append(lines, f.Error())
	}
	if len(shown) < len(e.Faults) {
		more := len(e.Faults) - len(shown) + e.more
		lines = append(lines, fmt.Sprintf("%s: and %d more faults", e.Faults[0].File, more))
	}
	return strings.Join(lines, "\n")
}

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
			what = "an invisible second byte-order mark (U+FEFF) is not text; remove it"
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

// Visible returns text in one line, with unsafe characters, but for those to keep, and bytes that are not UTF-8 as
// escapes.
func Visible(text string, keep ...rune) string {
	unsafe := func(r rune) bool { return Unsafe(r) && !slices.Contains(keep, r) }
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
