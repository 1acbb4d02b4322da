// Package document reads a YAML file strictly and hands it out as a tree of places that can be complained about.
// It collects every fault with file, line, column and path instead of stopping at the first, and refuses what a
// loader would let pass: repeated keys, empty values, infinite numbers, a second document.
// It knows no scene: which keys there are and what they mean, the caller says.
// Next: package unit for quantities, package scene and package parts for what is read with it.
package document

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Fault is one thing that is wrong, or odd, at one place of a file. Line and Column are 1-based (characters), 0 where
// the whole file is meant.
type Fault struct {
	File         string
	Line, Column int
	Path         string // such as "rails[0].modules.current", empty where the file is meant
	Message      string
}

// Error returns the fault in one line, such as
// "foyer.yaml:22:63: rails[0].modules.current: 350 has no unit; write 350 mA or 0.35 A".
func (f Fault) Error() string {
	var b strings.Builder
	b.WriteString(Visible(f.File))
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
	}
	b.WriteString(": ")
	if f.Path != "" {
		b.WriteString(f.Path + ": ")
	}
	b.WriteString(Visible(f.Message))
	return b.String()
}

// Report collects the faults and the warnings of one scene and of all files that it names.
type Report struct {
	Faults, Warnings []Fault
	files            []string       // in the order of reading
	seen             map[Fault]bool // a part that two rails use complains once
	more             int            // faults beyond mostFaults, which are not kept
	told             int            // calls of AddFault
}

// mostFaults is how many faults, and how many warnings, a report keeps; nobody reads more, and an alias can multiply
// them.
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

// Told returns how often a fault was told so far, those among them that were dropped: a reader that finds it grown has
// met one.
func (r *Report) Told() int { return r.told }

// AddWarning adds a warning that has no node, such as one about a measured file; the same warning again is dropped.
func (r *Report) AddWarning(f Fault) {
	if len(r.Warnings) < mostFaults && r.isNew(f) {
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

// Err returns nil where there is no fault, else an *Error with the faults in the order of their places, the file that
// was read first in front.
func (r *Report) Err() error {
	if len(r.Faults) == 0 {
		return nil
	}
	return &Error{Faults: r.InOrder(r.Faults), more: r.more}
}

// InOrder returns a copy of faults sorted by place: the file that was read first in front, then line and column.
func (r *Report) InOrder(faults []Fault) []Fault {
	sorted := append([]Fault(nil), faults...)
	rank := func(f Fault) int {
		if i := slices.Index(r.files, f.File); i >= 0 {
			return i
		}
		return len(r.files)
	}
	sort.SliceStable(sorted, func(i, j int) bool {
		a, b := sorted[i], sorted[j]
		if rank(a) != rank(b) {
			return rank(a) < rank(b)
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	return sorted
}

// Error is every fault of a file and of the files that it names, the first 5000 where there are more. It is never
// empty.
type Error struct {
	Faults []Fault
	more   int
}

// maxShown is how many faults Error writes out: more help nobody.
const maxShown = 50

// Error returns one line a fault, at most 50 of them.
func (e *Error) Error() string {
	lines := make([]string, 0, len(e.Faults))
	for i, f := range e.Faults {
		if i == maxShown {
			lines = append(lines, fmt.Sprintf("%s: and %d more faults", e.Faults[0].File, len(e.Faults)-maxShown+e.more))
			break
		}
		lines = append(lines, f.Error())
	}
	return strings.Join(lines, "\n")
}
