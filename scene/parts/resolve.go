package parts

import (
	"slices"
	"strings"
	"unicode"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

// draft is a part that is being read.
type draft struct {
	key.Fields
	name string
	lost bool // a part that this one names is faulty
}

// table is the parts of one kind in one file. They may name each other in any order.
type table[T any] struct {
	keys    *key.Table   // of one part
	parts   map[string]T // of the library
	build   func(d *draft, base T, t *table[T]) T
	lib     *Catalogue
	report  *document.Report
	entries map[string]document.Entry // those that are not read yet
	open    []string                  // names that are being read, each one named by the one before it
	isOpen  map[string]bool
}

// maxParts is how many parts of one kind a file may hold: each unknown name is held against all of them.
const maxParts = 1000

// readKind reads the parts of one kind from a table of parts.
func readKind[T any](r *reader, f document.Fields, keys *key.Table, parts map[string]T,
	build func(d *draft, base T, t *table[T]) T) {
	n := f.Get(keyOf[T]())
	if !n.Exists() {
		return
	}
	t := &table[T]{keys: keys, parts: parts, build: build, lib: r.lib, report: r.report,
		entries: map[string]document.Entry{}, isOpen: map[string]bool{}}
	entries := n.Entries()
	if !n.IsMapping() {
		t.lib.Incomplete = true
		return
	}
	if len(entries) > maxParts {
		n.Faultf("%d parts are too many; a file may hold %d of a kind", len(entries), maxParts)
		t.lib.Incomplete = true
		return
	}
	for _, e := range entries {
		t.entries[e.Name] = e
	}
	for _, e := range entries {
		if waiting, ok := t.entries[e.Name]; ok {
			t.read(waiting)
		}
	}
}

// read puts one part of the file, and those that it names, into the library.
func (t *table[T]) read(e document.Entry) {
	delete(t.entries, e.Name)
	t.open, t.isOpen[e.Name] = append(t.open, e.Name), true
	faults := t.report.Told()
	checkName(e)
	d := &draft{Fields: t.keys.Of(e.Value), name: e.Name}
	part := t.build(d, t.base(d), t)
	t.open, t.isOpen[e.Name] = t.open[:len(t.open)-1], false
	id := partID{keyOf[T](), e.Name}
	if d.lost || !e.Value.IsMapping() || e.Value.Spoilt() || t.report.Told() > faults {
		t.lib.broken[id] = true
		return
	}
	delete(t.lib.broken, id)
	t.parts[e.Name] = part
}

// base returns the part that d is based on, or the zero value.
func (t *table[T]) base(d *draft) (part T) {
	if d.Based {
		part = t.refer(d, d.Get("based_on"))
	}
	return part
}

// refer returns the part of the same kind that d names at n: the file's own, else the library's. A part that names
// itself means the one that it shadows.
func (t *table[T]) refer(d *draft, n document.Node) (part T) {
	name := n.Text()
	if e, ok := t.entries[name]; ok {
		t.read(e)
	}
	if part, ok := t.parts[name]; ok && (name == d.name || !t.isOpen[name]) && !t.lib.broken[partID{keyOf[T](), name}] {
		return part
	}
	d.lost = true
	switch {
	case name == "" || t.lib.broken[partID{keyOf[T](), name}] || t.lib.Incomplete && !t.isOpen[name]:
	case t.isOpen[name]:
		n.Faultf("%s is made from itself: %s", name, ring(append(slices.Clone(t.open), name)))
	default:
		n.Faultf("%s", document.Unknown(nouns[keyOf[T]()], name, t.names()))
	}
	return part
}

// names returns the names that may be referred to, sorted.
func (t *table[T]) names() []string {
	names := Names(t.parts)
	for name := range t.entries {
		names = append(names, name)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// checkName refuses names that would not do in a list on the command line or in a file's name.
func checkName(e document.Entry) {
	good := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_.", r) }
	if strings.IndexFunc(e.Name, func(r rune) bool { return !good(r) }) >= 0 || strings.HasPrefix(e.Name, "-") {
		e.Key.Faultf("a part's name has letters, digits, dots, dashes and underscores only, and no dash in front")
	}
}
