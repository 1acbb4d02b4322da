package document

import (
	"bytes"
	"errors"
	"fmt"
	"io"
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
		line, column, message := explain(err, data)
		t.Faultf(Position{line, column}, "%s", message)
		return Node{}, false
	}
	if tree == nil {
		t.Faultf(Position{}, "the file is empty")
		return Node{}, false
	}
	b := builder{file: file, report: report}
	value := b.build(tree, "")
	if b.full {
		return Node{}, false
	}
	return Node{value: value, file: file, report: report, line: value.line, column: value.column}, true
}

// marks counts what may begin a value, comments and quoted text included: never less than the values in data.
func marks(data []byte) int {
	n := 0
	for i, b := range data {
		switch b {
		case '\n', '\r', ',', ':', '[', '{', '&', '*', '!':
			n++
		case '-', '?': // a mark only before a blank; words and numbers hold dashes, too
			if i+1 == len(data) || bytes.IndexByte([]byte(" \t\r\n"), data[i+1]) >= 0 {
				n++
			}
		}
	}
	return n
}

// RootKeys returns the keys of a file's root; ok is false where it has none that can be read. It adds no faults.
func RootKeys(data []byte) (keys []string, ok bool) {
	if len(data) > MaxBytes || marks(data) > MaxMarks {
		return nil, false
	}
	tree, err := load(data)
	if err != nil || tree == nil || tree.Kind != yaml.MappingNode {
		return nil, false
	}
	for i := 0; i < len(tree.Content); i += 2 {
		keys = append(keys, tree.Content[i].Value)
	}
	return keys, true
}

// errSecond is a second document in a file.
type errSecond struct{ line, column int }

func (errSecond) Error() string { return "a second document begins here; a file holds one" }

// load parses data without building any value of ours. The tree is nil for an empty file.
func load(data []byte) (*yaml.Node, error) {
	loader, err := yaml.NewLoader(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	var first, second yaml.Node
	if err := loader.Load(&first); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		return nil, err
	}
	switch err := loader.Load(&second); {
	case errors.Is(err, io.EOF):
	case err != nil:
		return nil, err
	default:
		return nil, errSecond{second.Line, second.Column}
	}
	if len(first.Content) == 0 || first.Content[0].ShortTag() == "!!null" {
		return nil, nil
	}
	return first.Content[0], nil
}

// explain turns an error of the YAML library into a place and a message of ours.
func explain(err error, data []byte) (line, column int, message string) {
	var second errSecond
	if errors.As(err, &second) {
		return second.line, second.column, second.Error()
	}
	var syntax *yaml.LoadError
	if !errors.As(err, &syntax) {
		return 0, 0, "cannot be read as YAML"
	}
	line, column = syntax.Mark.Line, syntax.Mark.Column
	if tabIndented(data, line) {
		return line, column, "a tab indents this line; indent with spaces"
	}
	if strings.Contains(syntax.Message, "incompatible YAML document") {
		return line, column, "this line asks for another version of YAML than this reader knows; take it out, none is needed"
	}
	message = "not readable as YAML: " + strings.TrimSpace(syntax.Message)
	if strings.Contains(message, "unknown anchor") {
		message = "an alias (*name) stands here without its anchor (&name) before it" // the library prints the name
	}
	if from := syntax.ContextMark; syntax.ContextMsg != "" && from.Line > 0 && from.Line != line {
		message += fmt.Sprintf(" (%s that begins at %d:%d)", syntax.ContextMsg, from.Line, from.Column)
	}
	return line, column, message
}

func tabIndented(data []byte, line int) bool {
	lines := bytes.Split(data, []byte("\n"))
	if line < 1 || line > len(lines) {
		return false
	}
	text := lines[line-1]
	indent := text[:len(text)-len(bytes.TrimLeft(text, " \t"))]
	return bytes.ContainsRune(indent, '\t')
}

// kind tells what a value is.
type kind int

const (
	broken kind = iota // was complained about already: readers stay silent
	scalar
	mapping
	sequence
)

// value is one value of the file, aliases resolved.
type value struct {
	kind         kind
	text, tag    string
	line, column int
	spoilt       bool     // this value, or one below it, was complained about when the file was read
	keys         []key    // of a mapping, in file order, without repeated ones
	items        []*value // of a sequence; the values of a mapping in the order of keys
}

type key struct {
	name         string
	line, column int
}

// builder copies the library's tree into values and complains on the way.
type builder struct {
	file   string
	report *Report
	count  int
	full   bool // a limit was met
	open   []*yaml.Node
}

func (b *builder) fault(line, column int, path, format string, args ...any) {
	b.report.AddFault(Fault{File: b.file, Line: line, Column: column, Path: path, Message: fmt.Sprintf(format, args...)})
}

func (b *builder) build(n *yaml.Node, path string) *value {
	v := &value{line: n.Line, column: n.Column}
	if b.full || b.over(n, path) {
		return v
	}
	if n.Kind == yaml.AliasNode {
		n = n.Alias
		for _, outer := range b.open {
			if outer == n {
				b.fault(v.line, v.column, path, "the alias *%s contains itself", n.Anchor)
				return v
			}
		}
	}
	before := b.report.told
	b.open = append(b.open, n)
	defer func() { b.open, v.spoilt = b.open[:len(b.open)-1], b.report.told > before }()
	if b.tagged(n, path) {
		return v
	}
	switch n.Kind {
	case yaml.MappingNode:
		b.mapping(v, n, path)
	case yaml.SequenceNode:
		v.kind = sequence
		for i, item := range n.Content {
			v.items = append(v.items, b.build(item, fmt.Sprintf("%s[%d]", path, i)))
		}
	case yaml.ScalarNode:
		b.scalar(v, n, path)
	}
	return v
}

// tagged tells whether a type is written before a value, and complains.
func (b *builder) tagged(n *yaml.Node, path string) bool {
	if n.Style&yaml.TaggedStyle == 0 {
		return false
	}
	b.fault(n.Line, n.Column, path, "the tag %s is not known here; take it out and write the value alone", brief(n.Tag))
	return true
}

// over tells whether a limit is met at n, and complains once.
func (b *builder) over(n *yaml.Node, path string) bool {
	b.count++
	switch {
	case b.count > MaxValues:
		b.fault(n.Line, n.Column, "", "more than %d values, counting each use of an alias; a file may hold no more",
			MaxValues)
	case len(b.open) >= MaxDepth:
		b.fault(n.Line, n.Column, "", "nested deeper than %d levels", MaxDepth)
	default:
		return false
	}
	b.full = true
	return true
}

func (b *builder) mapping(v *value, n *yaml.Node, path string) {
	v.kind = mapping
	lineOf := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if b.tagged(k, path) {
			continue
		}
		if k.Kind == yaml.AliasNode {
			k = &yaml.Node{Kind: k.Alias.Kind, Value: k.Alias.Value, Tag: k.Alias.Tag, Line: k.Line, Column: k.Column}
		}
		switch {
		case k.Kind != yaml.ScalarNode || k.ShortTag() == "!!null" || k.Value == "":
			b.fault(k.Line, k.Column, path, "a key must be a plain word")
			continue
		case k.ShortTag() == "!!merge":
			b.fault(k.Line, k.Column, path, "merge keys (<<) are not known here; write the keys out")
			continue
		case lineOf[k.Value] > 0:
			b.fault(k.Line, k.Column, join(path, k.Value), "repeated key; it was given on line %d already", lineOf[k.Value])
			continue
		}
		lineOf[k.Value] = k.Line
		v.keys = append(v.keys, key{k.Value, k.Line, k.Column})
		v.items = append(v.items, b.build(n.Content[i+1], join(path, k.Value)))
	}
}

func (b *builder) scalar(v *value, n *yaml.Node, path string) {
	v.text, v.tag = n.Value, n.ShortTag()
	switch {
	case v.tag == "!!null":
		b.fault(v.line, v.column, path, "nothing is given; write a value or take the line out")
	case v.tag == "!!float" && !finite(n.Value):
		b.fault(v.line, v.column, path, "%s is not a finite number", brief(n.Value))
	default:
		v.kind = scalar
	}
}

// finite tells whether the text of a YAML float is a finite number. Numbers beyond the largest float are texts to YAML.
func finite(text string) bool {
	word := strings.ToLower(strings.TrimLeft(text, "+-"))
	return word != ".nan" && word != ".inf"
}

// join puts a key behind a path.
func join(path, name string) string {
	name = brief(name)
	if path == "" {
		return name
	}
	return path + "." + name
}

// brief cuts text for a message and shows control characters as escapes.
func brief(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) > most {
		text = string(runes[:most]) + "..."
	}
	quoted := strconv.Quote(text)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}
