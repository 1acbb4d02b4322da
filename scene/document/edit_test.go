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
