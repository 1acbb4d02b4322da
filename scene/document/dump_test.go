package document

import (
	"strings"
	"testing"
)

// TestApplyKeepsCharacters: what somebody typed is written as it was typed, whatever the quotes about it.
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
	if want := text + "number: 5\nadded: 🪸 coral\n"; string(out) != want {
		t.Errorf("written as\n%s\nnot as\n%s", out, want)
	}
	escaped, err := Apply([]byte(`title: "\U0001F41F"`), []Edit{{Path: []any{"number"}, Value: "5"}})
	if err != nil || string(escaped) != "title: \"🐟\"\nnumber: 5\n" {
		t.Errorf("%q, %v", escaped, err)
	}
	// Where the file has each character of private use, pictograms stay escapes, and all can be read again.
	var many strings.Builder
	for r := '\ue000'; r <= '\uf8ff'; r++ {
		many.WriteRune(r)
	}
	many.WriteString("🐟")
	out, err = Apply([]byte("title: \""+many.String()+"\"\n"), []Edit{{Path: []any{"number"}, Value: "5"}})
	if err != nil {
		t.Fatal(err)
	}
	if again, err := load(out); err != nil || again.Content[1].Value != many.String() {
		t.Errorf("all characters of private use: %v", err)
	}
}
