package parts

import (
	"maps"
	"reflect"
	"regexp"
	"slices"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

// draft is a part that is being read.
type draft struct {
	key.Fields
	name  string
	lost  bool                      // a part that this one names is faulty
	refer func(n document.Node) any // the part of its kind that is named at n
}

// table is the parts of one kind in one file. They may name each other in any order.
type table[T Kind] struct {
	*reader
	key, noun string
	parts     map[string]T                    // of the library
	finish    func(d *draft, part *T, base T) // reads and checks what the table of keys does not
	entries   map[string]document.Entry       // those that are not read yet
	open      []string                        // names that are being read, each one named by the one before it
}

// maxParts is how many parts of one kind a file may hold: each unknown name is held against all of them.
const maxParts = 1000

// readKind reads the parts of one kind from a table of parts.
func readKind[T Kind](r *reader, f key.Fields, parts map[string]T, finish func(d *draft, part *T, base T)) {
	t := &table[T]{reader: r, parts: parts, finish: finish, entries: map[string]document.Entry{}}
	t.key, t.noun = (*new(T)).kind()
	n := f.Get(t.key)
	if !n.Exists() {
		return
	}
	entries := n.Entries()
	if len(entries) > maxParts {
		n.Faultf("%d parts are too many; a file may hold %d of each kind", len(entries), maxParts)
	}
	if !n.IsMapping() || len(entries) > maxParts {
		r.lib.Incomplete = true
		return
	}
	for _, e := range entries {
		t.entries[e.Name] = e
	}
	for _, e := range entries {
		if _, waiting := t.entries[e.Name]; waiting {
			t.read(e)
		}
	}
}

// read puts one part of the file, and those that it names, into the library.
func (t *table[T]) read(e document.Entry) {
	delete(t.entries, e.Name)
	t.open = append(t.open, e.Name)
	faults := t.report.Told()
	if !namePattern.MatchString(e.Name) { // it would not do in a list on the command line or in a file's name
		e.Key.Faultf("a part's name may hold only letters, digits, dots, dashes and underscores, and no dash in front")
	}
	d := &draft{Fields: key.PartTables.Row(t.key).Shape.Keys.Of(e.Value), name: e.Name}
	d.refer = func(n document.Node) any { return t.refer(d, n) }
	var base T
	if d.Based {
		base = t.refer(d, d.Get("based_on"))
	}
	part := base
	reflect.ValueOf(&part).Elem().FieldByName("Name").SetString(e.Name)
	d.Fill(&part)
	t.finish(d, &part, base)
	t.open = t.open[:len(t.open)-1]
	id := partID{t.key, e.Name}
	if d.lost || !e.Value.IsMapping() || e.Value.Spoilt() || t.report.Told() > faults {
		t.lib.broken[id] = true
		return
	}
	delete(t.lib.broken, id)
	t.parts[e.Name] = part
}

// refer returns the part that d names at n, of the file, else the library; its own name means the one it shadows.
func (t *table[T]) refer(d *draft, n document.Node) (part T) {
	name := n.Text()
	if e, ok := t.entries[name]; ok {
		t.read(e)
	}
	part, known := t.parts[name]
	broken, isOpen := t.lib.broken[partID{t.key, name}], slices.Contains(t.open, name)
	if known && (name == d.name || !isOpen) && !broken {
		return part
	}
	d.lost = true
	switch {
	case name == "" || broken || t.lib.Incomplete && !isOpen:
	case isOpen:
		n.Faultf("%s is based on itself: %s", name, ring(append(slices.Clone(t.open), name)))
	default:
		names := slices.AppendSeq(Names(t.parts), maps.Keys(t.entries))
		slices.Sort(names)
		n.Faultf("%s", document.Unknown(t.noun, name, slices.Compact(names)))
	}
	var none T
	return none
}

// NamePattern matches what a part may be called: letters, digits, dots, dashes and underscores, no dash in front.
const NamePattern = `^[\p{L}\p{N}_.][\p{L}\p{N}_.-]*$`

var namePattern = regexp.MustCompile(NamePattern)
