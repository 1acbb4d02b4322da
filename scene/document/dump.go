package document

import (
	"strings"

	"go.yaml.in/yaml/v4"
)

// firstPrivate and lastPrivate bound the characters that Unicode leaves to private use and YAML writes as they are.
const firstPrivate, lastPrivate = '\ue000', '\uf8ff'

// dump writes a tree as YAML with its characters as they are. The library writes those beyond U+FFFF, such as pictograms, as
// escapes; so each of them goes through it as a character of private use that is nowhere else in the tree.
func dump(root *yaml.Node) ([]byte, error) {
	there := map[rune]bool{}
	var wide []rune // in the order in which they are met
	each(root, func(n *yaml.Node) {
		for _, text := range []string{n.Value, n.Tag, n.Anchor, n.HeadComment, n.LineComment, n.FootComment} {
			for _, r := range text {
				if r > 0xffff && !there[r] {
					wide = append(wide, r)
				}
				there[r] = true
			}
		}
	})
	var to, back []string
	next := firstPrivate
	for _, r := range wide {
		for there[next] {
			next++
		}
		if next > lastPrivate {
			break // more kinds of them than one file has use for; the rest stay escapes
		}
		to, back = append(to, string(r), string(next)), append(back, string(next), string(r))
		next++
	}
	narrow := strings.NewReplacer(to...)
	each(root, func(n *yaml.Node) { n.Value = narrow.Replace(n.Value) })
	text, err := yaml.Dump(root, yaml.WithIndent(2), yaml.WithLineWidth(-1))
	if err != nil {
		return nil, err
	}
	return []byte(strings.NewReplacer(back...).Replace(string(text))), nil
}

// each calls f for every node of a tree; what an alias stands for has its own place in it.
func each(n *yaml.Node, f func(*yaml.Node)) {
	f(n)
	for _, child := range n.Content {
		each(child, f)
	}
}
