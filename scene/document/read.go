package document

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// The limits of a file.
const (
	MaxBytes  = 1 << 20 // size of a file
	MaxValues = 20000   // values in it, each alias counted as often as it is used
	MaxDepth  = 40      // levels of nesting
	MaxMarks  = 12000   // line ends, commas, colons, brackets, dashes: each may begin a value of most of a kilobyte
)

// Read parses one YAML file to its root. It adds a fault for each thing that it refuses: more than MaxBytes, text that
// is not UTF-8, control characters, nothing in it, a syntax error, a second document, repeated keys, keys and items
// without a value, numbers that are not finite, merge keys, aliases that contain themselves, more than MaxValues values
// or MaxDepth levels. ok is false when nothing can be walked.
func Read(file string, data []byte, report *Report) (root Node, ok bool) {
	report.files = append(report.files, file)
	t := Text{file, report}
	if !t.Plain(data, "write plain text in UTF-8") {
		return Node{}, false
	}
	if n := marks(data); n > MaxMarks {
		t.Faultf(Position{}, "%d line ends, commas, colons and brackets are too many; a file may hold %d: put parts and "+
			"spectra into files of their own", n, MaxMarks)
		return Node{}, false
	}
	tree, err := load(data)
	if err != nil {
		at, message := explain(err, data)
		t.Faultf(at, "%s", message)
		return Node{}, false
	}
	if tree == nil {
		t.Faultf(Position{}, "the file is empty")
		return Node{}, false
	}
	d := &doc{Text: t, spoilt: map[*yaml.Node]bool{}}
	d.check(tree, "")
	if d.full {
		return Node{}, false
	}
	return d.node(tree, ""), true
}

// marks counts what may begin a value, comments and quoted text included: never less than the values in data.
func marks(data []byte) (n int) {
	for i, b := range data {
		blank := i+1 == len(data) || strings.IndexByte(" \t\r\n", data[i+1]) >= 0 // words and numbers hold dashes, too
		if strings.IndexByte("\n\r,:[{&*!", b) >= 0 || blank && (b == '-' || b == '?') {
			n++
		}
	}
	return n
}

// load parses data without building any value of ours. The tree is nil for an empty file.
func load(data []byte) (*yaml.Node, error) {
	var all []yaml.Node
	switch err := yaml.Load(data, &all, yaml.WithAllDocuments()); {
	case err != nil:
		return nil, err
	case len(all) > 1:
		at := yaml.Mark{Line: all[1].Line, Column: all[1].Column}
		return nil, &yaml.LoadError{Mark: at, Message: "a second document begins here; a file may hold only one"}
	case len(all) == 0 || len(all[0].Content) == 0 || all[0].Content[0].ShortTag() == "!!null":
		return nil, nil
	}
	return all[0].Content[0], nil
}

// explain turns an error of the YAML library into a place and a message of ours.
func explain(err error, data []byte) (at Position, message string) {
	var syntax *yaml.LoadError
	if !errors.As(err, &syntax) {
		return at, "cannot be read as YAML"
	}
	at = Position{syntax.Mark.Line, syntax.Mark.Column}
	lines := bytes.Split(data, []byte("\n"))
	inLine := at.Line >= 1 && at.Line <= len(lines)
	switch from := syntax.ContextMark; {
	case inLine && bytes.HasPrefix(bytes.TrimLeft(lines[at.Line-1], " "), []byte("\t")):
		return at, "a tab indents this line; indent with spaces"
	case strings.Contains(syntax.Message, "incompatible YAML document"):
		return at, "this line asks for a version of YAML that is not supported; remove it"
	case strings.Contains(syntax.Message, "unknown anchor"): // the library prints the name
		message = "an alias (*name) is used here without its anchor (&name) before it"
	default:
		message = "not readable as YAML: " + strings.TrimSpace(syntax.Message)
		if syntax.ContextMsg != "" && from.Line > 0 && from.Line != at.Line {
			message += fmt.Sprintf(" (%s that begins at %d:%d)", syntax.ContextMsg, from.Line, from.Column)
		}
	}
	return at, message
}

// notFinite matches the floats of YAML that are no numbers.
var notFinite = regexp.MustCompile(`(?i)^[+-]?\.(nan|inf)$`)

// broken is the kind of a value that was complained about when the file was read: readers stay silent.
const broken yaml.Kind = 0

// doc is a file that is checked and then read.
type doc struct {
	Text
	spoilt map[*yaml.Node]bool // values that were complained about, or hold such a one
	count  int
	full   bool         // a limit was met
	open   []*yaml.Node // around the value in work
}

func (d *doc) fault(n *yaml.Node, path, format string, args ...any) {
	d.node(n, path).Faultf(format, args...)
}

// check complains about what no reader takes: it makes a value broken, and takes a key out of the tree.
func (d *doc) check(n *yaml.Node, path string) {
	if d.full || d.over(n) {
		return
	}
	v := resolved(n)
	if slices.Contains(d.open, v) {
		d.fault(n, path, "the alias *%s contains itself", v.Anchor)
		n.Kind = broken
		return
	}
	before := d.told
	if d.spoilt[v] {
		d.told++ // by the first use of an alias, which counts for each
	}
	d.open = append(d.open, v)
	switch {
	case d.tagged(v, path):
		v.Kind = broken
	case v.Kind == yaml.MappingNode:
		d.mapping(v, path)
	case v.Kind == yaml.SequenceNode:
		for i, item := range v.Content {
			d.check(item, fmt.Sprintf("%s[%d]", path, i))
		}
	case v.Kind != yaml.ScalarNode:
	case v.ShortTag() == "!!null":
		d.fault(n, path, "the value is missing; write one or remove the line")
		v.Kind = broken
	case v.ShortTag() == "!!float" && notFinite.MatchString(v.Value): // YAML takes those too large for a float as texts
		d.fault(n, path, "%s is not a finite number", brief(v.Value))
		v.Kind = broken
	}
	d.open = d.open[:len(d.open)-1]
	d.spoilt[v] = d.told > before
}

// resolved returns what an alias stands for, and any other node itself.
func resolved(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		return n.Alias
	}
	return n
}

// tagged tells whether a type is written before a value, and complains.
func (d *doc) tagged(n *yaml.Node, path string) bool {
	if n.Style&yaml.TaggedStyle == 0 {
		return false
	}
	d.fault(n, path, "the tag %s is not supported; remove it and write the value alone", brief(n.Tag))
	return true
}

// over tells whether a limit is met at n, and complains once.
func (d *doc) over(n *yaml.Node) bool {
	d.count++
	switch {
	case d.count > MaxValues:
		d.fault(n, "", "more than %d values, counting each use of an alias; a file may hold no more", MaxValues)
	case len(d.open) >= MaxDepth:
		d.fault(n, "", "nested deeper than %d levels", MaxDepth)
	default:
		return false
	}
	d.full = true
	return true
}

// mapping checks keys and values, and leaves the keys that readers may see.
func (d *doc) mapping(n *yaml.Node, path string) {
	lineOf := map[string]int{}
	var sound []*yaml.Node
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if k.Kind == yaml.AliasNode {
			k = &yaml.Node{Kind: k.Alias.Kind, Value: k.Alias.Value, Tag: k.Alias.Tag, Line: k.Line, Column: k.Column}
		}
		switch name := k.Value; {
		case d.tagged(k, path):
		case k.Kind != yaml.ScalarNode || k.ShortTag() == "!!null" || name == "":
			d.fault(k, path, "a key must be a plain word")
		case k.ShortTag() == "!!merge":
			d.fault(k, path, "merge keys (<<) are not supported; write the keys out")
		case lineOf[name] > 0:
			d.fault(k, join(path, name), "repeated key; it was given on line %d already", lineOf[name])
		default:
			lineOf[name] = k.Line
			sound = append(sound, k, n.Content[i+1])
			d.check(n.Content[i+1], join(path, name))
		}
	}
	n.Content = sound
}

func join(path, name string) string {
	name = brief(name)
	if path == "" {
		return name
	}
	return path + "." + name
}

// brief cuts text for a message and shows control characters as escapes.
func brief(text string) string {
	if short := fmt.Sprintf("%.40s", text); short != text {
		text = short + "..."
	}
	quoted := strconv.Quote(text)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}
