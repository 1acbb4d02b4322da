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
