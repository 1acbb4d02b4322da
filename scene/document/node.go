package document

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Node is a place in a document: a value, or the hole where one could be. The readers of a hole, and of a value that
// was complained about already, return the zero value and are silent.
type Node struct {
	value        *value // nil for a hole
	file, path   string
	line, column int // for a hole those of the mapping around it
	report       *Report
}

// Exists tells whether something stands at this place.
func (n Node) Exists() bool { return n.value != nil }

// Path returns how the place is reached, such as "rails[0].modules.current"; it is empty for the root.
func (n Node) Path() string { return n.path }

// Line returns the line of the value, or of the mapping that misses it; 0 for the zero Node.
func (n Node) Line() int { return n.line }

// Column returns the column, in characters, that goes with Line.
func (n Node) Column() int { return n.column }

// File returns the name of the file as it was handed to Read.
func (n Node) File() string { return n.file }

// IsMapping tells whether keys with values stand here.
func (n Node) IsMapping() bool { return n.is(mapping) }

// IsSequence tells whether a list stands here.
func (n Node) IsSequence() bool { return n.is(sequence) }

// IsScalar tells whether a text, a number or a flag stands here.
func (n Node) IsScalar() bool { return n.is(scalar) }

// Spoilt tells whether this value, or one below it, was complained about when the file was read.
func (n Node) Spoilt() bool { return n.value != nil && (n.value.spoilt || n.value.kind == broken) }

func (n Node) is(k kind) bool { return n.value != nil && n.value.kind == k }

// Faultf adds a fault at this place.
func (n Node) Faultf(format string, args ...any) {
	if n.report != nil {
		n.report.AddFault(n.fault(format, args...))
	}
}

// Warnf adds a warning at this place.
func (n Node) Warnf(format string, args ...any) {
	if n.report != nil {
		n.report.AddWarning(n.fault(format, args...))
	}
}

// Place returns the place of the node as a fault without a message.
func (n Node) Place() Fault { return n.fault("") }

func (n Node) fault(format string, args ...any) Fault {
	return Fault{File: n.file, Line: n.line, Column: n.column, Path: n.path, Message: fmt.Sprintf(format, args...)}
}

// expect tells whether a value of kind k stands here, and complains where another does.
func (n Node) expect(k kind, want string) bool {
	if n.value == nil || n.value.kind == broken {
		return false
	}
	if n.value.kind == k {
		return true
	}
	n.Faultf("%s stands here; write %s", n.value.kind.article(), want)
	return false
}

func (k kind) article() string {
	return map[kind]string{scalar: "a single value", mapping: "a mapping", sequence: "a list"}[k]
}

// child returns the place of the i-th value below n.
func (n Node) child(i int, path string) Node {
	v := n.value.items[i]
	return Node{value: v, file: n.file, path: path, line: v.line, column: v.column, report: n.report}
}

// hole returns the place of a key that n does not have.
func (n Node) hole(name string) Node {
	return Node{file: n.file, path: join(n.path, name), line: n.line, column: n.column, report: n.report}
}

// Items returns the values of a list; a fault is added when something else stands here.
func (n Node) Items() []Node {
	if !n.expect(sequence, "a list") {
		return nil
	}
	items := make([]Node, len(n.value.items))
	for i := range items {
		items[i] = n.child(i, fmt.Sprintf("%s[%d]", n.path, i))
	}
	return items
}

// Entry is one key with its value; Key is the place of the key itself.
type Entry struct {
	Name       string
	Key, Value Node
}

// MaxEntries is how many names a mapping with free names may have.
const MaxEntries = 2000

// Entries returns the keys and values of a mapping with free names, in the order of the file; a fault is added when
// something else stands here, or more than MaxEntries names. A name is checked like a text.
func (n Node) Entries() []Entry {
	if !n.expect(mapping, "names with their values") {
		return nil
	}
	if len(n.value.keys) > MaxEntries {
		n.Faultf("%d names are too many; at most %d serve", len(n.value.keys), MaxEntries)
		return nil
	}
	var entries []Entry
	for i, k := range n.value.keys {
		at := n.keyNode(i)
		if problem := textProblem(k.name); problem != "" {
			at.Faultf("%s", problem)
			continue
		}
		entries = append(entries, Entry{Name: k.name, Key: at, Value: n.child(i, at.path)})
	}
	return entries
}

// keyNode returns the place of the i-th key, whose text is the key.
func (n Node) keyNode(i int) Node {
	k := n.value.keys[i]
	v := &value{kind: scalar, text: k.name, tag: "!!str", line: k.line, column: k.column}
	return Node{value: v, file: n.file, path: join(n.path, k.name), line: k.line, column: k.column, report: n.report}
}

// Fields are the values of a mapping by key.
type Fields struct {
	at     Node
	byName map[string]Node
}

// Fields returns the values of a mapping whose keys are all known. It adds a fault when something else stands here,
// and one for each unknown key, with the known key that is nearest.
func (n Node) Fields(known ...string) Fields { return n.FieldsRenamed(known, nil) }

// FieldsRenamed is Fields that also takes the names which keys had before: now gives the new name of each. It warns of
// an old name, and adds a fault where the new one is given too.
func (n Node) FieldsRenamed(known []string, now map[string]string) Fields {
	f := Fields{at: n, byName: map[string]Node{}}
	if !n.expect(mapping, "keys with their values: "+strings.Join(known, ", ")) {
		return f
	}
	for i, k := range n.value.keys {
		name := cmp.Or(now[k.name], k.name)
		_, twice := f.byName[name]
		switch {
		case !slices.Contains(known, name):
			n.keyNode(i).Faultf("unknown key; %s", suggestion(name, known))
			continue
		case twice:
			n.keyNode(i).Faultf("%s is given under its old and its new name; give %s alone", name, name)
		case name != k.name:
			n.keyNode(i).Warnf("%s is called %s now; this version still reads the old name, the next will not", k.name, name)
		}
		f.byName[name] = n.child(i, join(n.path, k.name))
	}
	return f
}

// At returns the place of the mapping itself.
func (f Fields) At() Node { return f.at }

// Get returns the value of a key, or the hole where it could be.
func (f Fields) Get(key string) Node {
	if n, ok := f.byName[key]; ok {
		return n
	}
	return f.at.hole(key)
}
