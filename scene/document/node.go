package document

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"fathomlux/scene/finding"
)

// Node is a place in a document: a value, or the hole where one could be. The readers of a hole, and of a value that
// was complained about already, return the zero value and are silent.
type Node struct {
	value *yaml.Node    // nil for a hole
	doc   *doc          // nil for the zero Node
	place finding.Place // for a hole the line of the mapping around it
}

// node returns the place of a value. One that an alias stands for is where the alias is.
func (d *doc) node(n *yaml.Node, path string) Node {
	return Node{resolved(n), d, finding.Place{File: d.Name, Line: n.Line, Column: n.Column, Path: path}}
}

// Exists tells whether something stands at this place.
func (n Node) Exists() bool { return n.value != nil }

// Path returns how the place is reached, such as "rails[0].modules.current"; it is empty for the root.
func (n Node) Path() string { return n.place.Path }

// IsMapping tells whether keys with values stand here.
func (n Node) IsMapping() bool { return n.is(yaml.MappingNode) }

// IsSequence tells whether a list stands here.
func (n Node) IsSequence() bool { return n.is(yaml.SequenceNode) }

// IsScalar tells whether a text, a number or a flag stands here.
func (n Node) IsScalar() bool { return n.is(yaml.ScalarNode) }

// Spoilt tells whether this value, or one below it, was complained about when the file was read.
func (n Node) Spoilt() bool {
	return n.value != nil && (n.doc.spoilt[n.value] || n.value.Kind == broken)
}

func (n Node) is(k yaml.Kind) bool { return n.value != nil && n.value.Kind == k }

// Faultf adds a fault at this place.
func (n Node) Faultf(format string, args ...any) {
	if n.doc != nil {
		n.doc.AddFault(Fault{n.Place(), fmt.Sprintf(format, args...)})
	}
}

// Warn adds a warning at this place.
func (n Node) Warn(f finding.Finding) {
	if n.doc != nil {
		n.doc.AddWarning(f.At(n.Place()))
	}
}

// Place returns the place of the node.
func (n Node) Place() finding.Place { return n.place }

// kinds are what may stand at a place.
var kinds = map[yaml.Kind]string{
	yaml.ScalarNode: "a single value", yaml.MappingNode: "a mapping", yaml.SequenceNode: "a list",
}

// expect tells whether a value of kind k stands here, and complains where another does.
func (n Node) expect(k yaml.Kind, want string) bool {
	if n.value == nil || n.value.Kind == broken {
		return false
	}
	if n.value.Kind != k {
		n.Faultf("%s is given here; write %s", kinds[n.value.Kind], want)
	}
	return n.value.Kind == k
}

// Items returns the values of a list; a fault is added when something else stands here.
func (n Node) Items() []Node {
	if !n.expect(yaml.SequenceNode, "a list") {
		return nil
	}
	items := make([]Node, len(n.value.Content))
	for i, item := range n.value.Content {
		items[i] = n.doc.node(item, fmt.Sprintf("%s[%d]", n.place.Path, i))
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
	if !n.expect(yaml.MappingNode, "names with their values") {
		return nil
	}
	all := n.pairs()
	if len(all) > MaxEntries {
		n.Faultf("%d names are too many; at most %d are allowed", len(all), MaxEntries)
		return nil
	}
	return slices.DeleteFunc(all, func(e Entry) bool {
		problem := textProblem(e.Name)
		if problem != "" {
			e.Key.Faultf("%s", problem)
		}
		return problem != ""
	})
}

// pairs returns the keys and values of a mapping.
func (n Node) pairs() []Entry {
	var all []Entry
	for i := 0; i < len(n.value.Content); i += 2 {
		key, value := n.value.Content[i], n.value.Content[i+1]
		path := join(n.place.Path, key.Value)
		all = append(all, Entry{Name: key.Value, Key: n.doc.node(key, path), Value: n.doc.node(value, path)})
	}
	return all
}

// Fields are the values of a mapping by key.
type Fields struct {
	at     Node
	byName map[string]Node
}

// Fields returns the values of a mapping whose keys are all known; now gives the new name of each that had another one
// before. It adds a fault when something else stands here, one for each unknown key, with the known key that is
// nearest, and one where a key is given under both names; it warns of an old name.
func (n Node) Fields(known []string, now map[string]string) Fields {
	f := Fields{at: n, byName: map[string]Node{}}
	if !n.expect(yaml.MappingNode, "keys with their values: "+strings.Join(known, ", ")) {
		return f
	}
	for _, e := range n.pairs() {
		name := cmp.Or(now[e.Name], e.Name)
		_, twice := f.byName[name]
		switch {
		case !slices.Contains(known, name):
			e.Key.Faultf("unknown key; %s", suggestion(name, known))
			continue
		case twice:
			e.Key.Faultf("%s is given under its old and its new name; give %s alone", name, name)
		case name != e.Name:
			e.Key.Warn(finding.KeyRenamed.Of(finding.Text(e.Name), finding.Text(name)))
		}
		f.byName[name] = e.Value
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
	hole := Node{doc: f.at.doc, place: f.at.place}
	hole.place.Path = join(hole.place.Path, key)
	return hole
}
