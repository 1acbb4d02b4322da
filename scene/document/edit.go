package document

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Edit puts a value, written as YAML, at a place of a document: Path holds keys (string) and places in lists (int). The
// last key is added where the mapping does not have it yet.
type Edit struct {
	Path  []any
	Value string
}

// Apply returns a YAML document with edits made in order. Comments of what is not replaced are kept; line breaks and quotes
// may be written differently. Aliases are followed, so that an edit of shared text changes all that share it.
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
		if err := put(root, e.Path, value); err != nil {
			return nil, fmt.Errorf("%v: %w", e.Path, err)
		}
	}
	return dump(root)
}

// put walks to the place and sets it.
func put(at *yaml.Node, path []any, value *yaml.Node) error {
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
		return put(at.Content[step], path[1:], value)
	case string:
		return putKey(at, step, path, value)
	}
	return fmt.Errorf("%v is neither a key nor a place", path[0])
}

func putKey(at *yaml.Node, key string, path []any, value *yaml.Node) error {
	if at.Kind != yaml.MappingNode {
		return fmt.Errorf("no mapping to hold %q", key)
	}
	for i := 0; i+1 < len(at.Content); i += 2 {
		if at.Content[i].Value != key {
			continue
		}
		if len(path) > 1 {
			return put(at.Content[i+1], path[1:], value)
		}
		old := at.Content[i+1]
		value.LineComment, value.FootComment = old.LineComment, old.FootComment
		at.Content[i+1] = value
		return nil
	}
	if len(path) > 1 {
		return fmt.Errorf("no key %q", key)
	}
	at.Content = append(at.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: key}, value)
	return nil
}

// Quote writes a name as a YAML scalar, in quotes where it needs them.
func Quote(name string) string {
	out, err := yaml.Dump(name)
	if err != nil {
		return fmt.Sprintf("%q", name)
	}
	return strings.TrimSpace(string(out))
}
