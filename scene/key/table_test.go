package key

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"slices"
	"testing"

	"go.yaml.in/yaml/v4"
)

var update = flag.Bool("update", false, "write keys.json anew from keys.yaml")

// TestTableIsThatOfTheFile: what the program reads is what keys.yaml says. With -update it is written anew.
func TestTableIsThatOfTheFile(t *testing.T) {
	t.Parallel()
	want := asJSON(t, fromYAML(t))
	if *update {
		if err := os.WriteFile("keys.json", want, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(source, want) {
		t.Error("keys.json is not that of keys.yaml; go test ./scene/key -run TestTable -update writes it anew")
	}
}

// fromYAML reads the table that hands write.
func fromYAML(t *testing.T) (list []mapping) {
	t.Helper()
	text, err := os.ReadFile("keys.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file yaml.Node
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	for pair := range slices.Chunk(file.Content[0].Content, 2) {
		m := mapping{Name: pair[0].Value}
		for row := range slices.Chunk(pair[1].Content, 2) {
			w, to := written{}, map[string]any{"~exclude": &m.Exclude, "~one of": &m.OneOf, "~editors": &m.Editors}[row[0].Value]
			if to == nil {
				to = &w
			}
			if err := row[1].Decode(to); err != nil {
				t.Fatalf("keys.yaml, line %d: %v", row[0].Line, err)
			}
			if to == &w {
				w.Name = row[0].Value
				m.Rows = append(m.Rows, w)
			}
		}
		list = append(list, m)
	}
	return list
}

// asJSON writes a mapping, and a key, a line.
func asJSON(t *testing.T, list []mapping) []byte {
	t.Helper()
	one := func(v any) []byte {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		if err := e.Encode(v); err != nil {
			t.Fatal(err)
		}
		return bytes.TrimSpace(b.Bytes())
	}
	var mappings [][]byte
	for _, m := range list {
		var rows [][]byte
		for _, w := range m.Rows {
			rows = append(rows, one(w))
		}
		m.Rows = nil
		head := bytes.TrimSuffix(one(m), []byte("null}"))
		mappings = append(mappings, slices.Concat(head, []byte("[\n"), bytes.Join(rows, []byte(",\n")), []byte("]}")))
	}
	return slices.Concat([]byte("["), bytes.Join(mappings, []byte(",\n")), []byte("]\n"))
}
