package document

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Edit puts a value, written as YAML, at a place of a document: Path holds keys (string) and places in lists (int). The
// last key is added where the mapping does not have it yet, an item behind the last one of a list; where the mapping
// has the key under its Old name, it is renamed. Without a value the last key, or the item, is taken out, where it is
// there.
type Edit struct {
	Path       []any
	Old, Value string
}

// Apply returns a YAML document with edits made in order; without any it stays as it was typed. Comments of what is not
// replaced are kept; line breaks and quotes may be written differently. Aliases are followed, so that an edit of shared
// text changes all that share it.
func Apply(data []byte, edits []Edit) ([]byte, error) {
	if len(edits) == 0 {
		return data, nil
	}
	root, err := load(data)
	switch {
	case err != nil:
		return nil, err
	case root == nil:
		return nil, errors.New("the document is empty")
	}
	for _, e := range edits {
		value, err := load([]byte(e.Value))
		if err != nil || value == nil && e.Value != "" {
			return nil, fmt.Errorf("the new value of %v is not YAML: %w", e.Path, err)
		}
		if err := put(root, e.Path, e.Old, value); err != nil {
			return nil, fmt.Errorf("%v: %w", e.Path, err)
		}
	}
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

// put walks to the place and sets it.
func put(at *yaml.Node, path []any, old string, value *yaml.Node) error {
	at = resolved(at)
	name, isKey := path[0].(string)
	place, _ := path[0].(int)
	switch {
	case isKey && at.Kind != yaml.MappingNode:
		return fmt.Errorf("no mapping to hold %q", name)
	case isKey:
		place = 1
		for place < len(at.Content) && at.Content[place-1].Value != name &&
			(at.Content[place-1].Value != old || len(path) > 1) {
			place += 2
		}
		if value == nil && len(path) == 1 {
			at.Content = slices.Delete(at.Content, min(place-1, len(at.Content)), min(place+1, len(at.Content)))
			return nil
		}
		switch _, below := path[min(1, len(path)-1)].(string); {
		case place < len(at.Content):
		case len(path) == 1:
			at.Content = append(at.Content, &yaml.Node{Kind: yaml.ScalarNode}, value)
		case below && value == nil:
			return nil
		case below:
			at.Content = append(at.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: name},
				&yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle})
		}
	case at.Kind != yaml.SequenceNode || place < 0:
		return fmt.Errorf("no item %d", place)
	case len(path) == 1 && place < len(at.Content) && value == nil:
		at.Content = slices.Delete(at.Content, place, place+1)
		return nil
	case len(path) == 1 && place == len(at.Content) && value != nil:
		at.Content = append(at.Content, value)
		return nil
	}
	switch {
	case place >= len(at.Content):
		return fmt.Errorf("no item %v", path[0])
	case len(path) > 1:
		return put(at.Content[place], path[1:], old, value)
	case isKey:
		at.Content[place-1].Value = name
		value.LineComment, value.FootComment = at.Content[place].LineComment, at.Content[place].FootComment
	}
	at.Content[place] = value
	return nil
}

// wide is a character beyond U+FFFF, such as a pictogram, as the library writes it: in double quotes as an escape; or a
// backslash that is doubled, as in double quotes.
var wide = regexp.MustCompile(`\\\\|\\U[0-9A-F]{8}`)

// quoteEscapes gives a text that holds what looks like an escape double quotes, where its backslashes are doubled.
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

// Child returns the value of a key of a mapping, or the hole where it could be; it finds no fault.
func (n Node) Child(key string) Node {
	if n.IsMapping() {
		for _, e := range n.pairs() {
			if e.Name == key {
				return e.Value
			}
		}
	}
	return Node{}
}

// Flow returns what stands here on one line: a text as it is, a mapping or a list as YAML without comments; empty for a
// hole.
func (n Node) Flow() string {
	switch {
	case n.value == nil:
		return ""
	case n.IsScalar():
		return n.value.Value
	}
	text, err := yaml.Dump(flat(n.value), yaml.WithLineWidth(-1))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}

// flat returns a copy of what stands at a node in flow style, without comments, anchors and aliases.
func flat(of *yaml.Node) *yaml.Node {
	from := resolved(of)
	to := &yaml.Node{Kind: from.Kind, Tag: from.Tag, Value: from.Value, Style: yaml.FlowStyle}
	if from.Kind == yaml.ScalarNode {
		to.Style = from.Style & (yaml.SingleQuotedStyle | yaml.DoubleQuotedStyle)
	}
	for _, child := range from.Content {
		to.Content = append(to.Content, flat(child))
	}
	return to
}
