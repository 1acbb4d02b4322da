package document

import (
	"strings"
	"testing"
)

// TestApplyKeepsCharacters: what somebody typed is written with the same characters; the quotes about them may differ.
func TestApplyKeepsCharacters(t *testing.T) {
	const text = `# tank 🐟
"🦐 key": 1
title: "水草缸の光 🐟🌿 – for José"
plain: 🐟 and \U0001F33F in plain text
single: '🐟 it''s \U0001F33F'
double: "🐟 \\U0001F33F \"quoted\""
private: "` + "\ue000\ue001" + ` 🐟"
anchored: &a 🌿
again: *a
`
	out, err := Apply([]byte(text), []Edit{{Path: []any{"number"}, Value: "5"}, {Path: []any{"added"}, Value: "🪸 coral"}})
	if err != nil {
		t.Fatal(err)
	}
	kept := strings.NewReplacer("plain: 🐟 and \\U0001F33F in plain text", `plain: "🐟 and \\U0001F33F in plain text"`,
		`'🐟 it''s \U0001F33F'`, `"🐟 it's \\U0001F33F"`, "&a 🌿", `&a "🌿"`).Replace(text)
	if want := kept + "number: 5\nadded: \"🪸 coral\"\n"; string(out) != want {
		t.Errorf("written as\n%s\nnot as\n%s", out, want)
	}
	escaped, err := Apply([]byte(`title: "\U0001F41F"`), []Edit{{Path: []any{"number"}, Value: "5"}})
	if err != nil || string(escaped) != "title: \"🐟\"\nnumber: 5\n" {
		t.Errorf("%q, %v", escaped, err)
	}
}

// TestApplyReachesWhatIsNotThere: lists grow and shrink, mappings on the way are added, and what stands beside keeps its
// comments.
func TestApplyReachesWhatIsNotThere(t *testing.T) {
	const text = `tank:
  width: 1 mm # of the tank
list: # of things
- {name: one} # the first
- {name: two}
`
	for name, c := range map[string]struct {
		edit Edit
		want string
	}{
		"one more item":    {Edit{Path: []any{"list", 2}, Value: "{name: three}"}, text + "- {name: three}\n"},
		"one item less":    {Edit{Path: []any{"list", 1}}, strings.Replace(text, "- {name: two}\n", "", 1)},
		"a mapping":        {Edit{Path: []any{"tank", "walls", "back"}, Value: "glass"}, strings.Replace(text, "list:", "  walls: {back: glass}\nlist:", 1)},
		"nothing to leave": {Edit{Path: []any{"tank", "walls", "back"}}, text},
		"a known key":      {Edit{Path: []any{"tank", "width"}, Value: "2 mm"}, strings.Replace(text, "1 mm", "2 mm", 1)},
	} {
		if out, err := Apply([]byte(text), []Edit{c.edit}); err != nil || string(out) != c.want {
			t.Errorf("%s: %v\n%s\nnot\n%s", name, err, out, c.want)
		}
	}
	for _, path := range [][]any{{"list", 3}, {"list", -1}, {"list", "name"}, {"tank", 0}, {"none", 0, "name"}} {
		if out, err := Apply([]byte(text), []Edit{{Path: path, Value: "1"}}); err == nil {
			t.Errorf("%v is put in:\n%s", path, out)
		}
	}
}
