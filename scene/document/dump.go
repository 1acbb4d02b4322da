package document

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// dump writes a tree as YAML with its characters as they are. The library writes those beyond U+FFFF, such as
// pictograms, as escapes; so each of them goes through it as its number between two marks: a character of private use
// that is nowhere in the tree.
func dump(root *yaml.Node) ([]byte, error) {
	var all strings.Builder
	each(root, func(n *yaml.Node) {
		all.WriteString(n.Value + n.Tag + n.Anchor + n.HeadComment + n.LineComment + n.FootComment)
	})
	mark := '\ue000'
	for strings.ContainsRune(all.String(), mark) {
		mark++
	}
	wide := regexp.MustCompile(`[\x{10000}-\x{10ffff}]`)
	if mark <= '\uf8ff' { // else they stay escapes, which any reader takes
		each(root, func(n *yaml.Node) {
			n.Value = wide.ReplaceAllStringFunc(n.Value, func(c string) string {
				return fmt.Sprintf("%c%x%c", mark, []rune(c)[0], mark)
			})
		})
	}
	text, err := yaml.Dump(root, yaml.WithIndent(2), yaml.WithLineWidth(-1))
	if err != nil {
		return nil, err
	}
	marked := regexp.MustCompile(fmt.Sprintf("%c[0-9a-f]+%c", mark, mark))
	return marked.ReplaceAllFunc(text, func(c []byte) []byte {
		r, _ := strconv.ParseInt(strings.Trim(string(c), string(mark)), 16, 32) // as it was written above
		return []byte(string(rune(r)))
	}), nil
}

// each calls f for every node of a tree; what an alias stands for has its own place in it.
func each(n *yaml.Node, f func(*yaml.Node)) {
	f(n)
	for _, child := range n.Content {
		each(child, f)
	}
}
