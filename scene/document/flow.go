package document

import (
	"strings"

	"go.yaml.in/yaml/v4"
)

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
