package document

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Edit puts a value, written as YAML, at a place of a document: Path holds keys (string) and places in lists (int). The
// last key is added where the mapping does not have it yet; where the mapping has it under its Old name, it is renamed.
type Edit struct {
	Path       []any
	Old, Value string
}

// Apply returns a YAML document with edits made in order. Comments of what is not replaced are kept; line breaks and
// quotes may be written differently. Aliases are followed, so that an edit of shared text changes all that share it.
func Apply(data []byte, edits []Edit) ([]byte, error) {
	root, err := load(data)
	if err != nil {
		return nil, err
	}
	if root == nil {
		return nil, fmt.Errorf("the document is empty")
	}
	for _, e := range edits {
		value, err := load([]byte(e.Value))
		if err != nil || value == nil {
			return nil, fmt.Errorf("the new value of %v is no YAML: %w", e.Path, err)
		}
		if err := put(root, e.Path, e.Old, value); err != nil {
			return nil, fmt.Errorf("%v: %w", e.Path, err)
		}
	}
	return dump(root)
}

// put walks to the place and sets it.
func put(at *yaml.Node, path []any, old string, value *yaml.Node) error {
	for at.Kind == yaml.AliasNode {
		at = at.Alias
	}
	switch step := path[0].(type) {
	case int:
		if at.Kind != yaml.SequenceNode || step >= len(at.Content) {
			return fmt.Errorf("no item %d", step)
		}
		if len(path) == 1 {
			at.Content[step] = value
			return nil
		}
		return put(at.Content[step], path[1:], old, value)
	case string:
		return putKey(at, step, path, old, value)
	}
	return fmt.Errorf("%v is neither a key nor a place", path[0])
}

func putKey(at *yaml.Node, key string, path []any, old string, value *yaml.Node) error {
	if at.Kind != yaml.MappingNode {
		return fmt.Errorf("no mapping to hold %q", key)
	}
	for i := 0; i+1 < len(at.Content); i += 2 {
		name := &at.Content[i].Value
		if *name != key && (*name != old || len(path) > 1) {
			continue
		}
		if len(path) > 1 {
			return put(at.Content[i+1], path[1:], old, value)
		}
		was := at.Content[i+1]
		value.LineComment, value.FootComment = was.LineComment, was.FootComment
		*name, at.Content[i+1] = key, value
		return nil
	}
	if len(path) > 1 {
		return fmt.Errorf("no key %q", key)
	}
	at.Content = append(at.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: key}, value)
	return nil
}

// wide is a character beyond U+FFFF as the library writes it, or a backslash that is doubled, as in double quotes.
var wide = regexp.MustCompile(`\\\\|\\U[0-9A-F]{8}`)

// dump writes a tree as YAML with its characters as they are. The library writes those beyond U+FFFF, such as
// pictograms, in double quotes as escapes. A text that holds what looks like one gets double quotes too, where its
// backslashes are doubled.
func dump(root *yaml.Node) ([]byte, error) {
	quoteEscapes(root)
	text, err := yaml.Dump(root, yaml.WithIndent(2), yaml.WithLineWidth(-1))
	return wide.ReplaceAllFunc(text, func(found []byte) []byte {
		r, err := strconv.ParseInt(string(found[2:]), 16, 32)
		if err != nil || !utf8.ValidRune(rune(r)) {
			return found // two backslashes, or a comment's
		}
		return []byte(string(rune(r)))
	}), err
}

func quoteEscapes(n *yaml.Node) {
	if strings.Contains(n.Value, `\U`) {
		n.Style = yaml.DoubleQuotedStyle
	}
	for _, child := range n.Content {
		quoteEscapes(child)
	}
}

// Quote writes a name as a YAML scalar, in quotes where it needs them.
func Quote(name string) string {
	out, err := yaml.Dump(name)
	if err != nil {
		return fmt.Sprintf("%q", name)
	}
	return strings.TrimSpace(string(out))
}
