package scene_test

import (
	"encoding/json"
	"errors"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/longtest"
	"fathomlux/scene/schema"
)

// place is a value of a scene; path is written with [] for each item, and with * for each name
// of a part.
type place struct {
	path  string
	value any
	set   func(any) // replaces it; nil takes it out
}

func join(path, step string) string { return strings.TrimPrefix(path+"."+step, ".") }

// places returns all places below value.
func places(value any, path string) []place {
	var all []place
	switch v := value.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			name := key
			if regexp.MustCompile(`^parts\.[a-z]+$`).MatchString(path) {
				name = "*"
			}
			below := join(path, name)
			all = append(all, place{below, v[key], func(x any) {
				if x == nil {
					delete(v, key)
				} else {
					v[key] = x
				}
			}})
			all = append(all, places(v[key], below)...)
		}
	case []any:
		for i := range v {
			all = append(all, place{join(path, "[]"), v[i], func(x any) {
				if x != nil {
					v[i] = x
				}
			}})
			all = append(all, places(v[i], join(path, "[]"))...)
		}
	}
	return all
}

// faultsOf reads a tree as a scene.
func faultsOf(t *testing.T, name string, tree any) []document.Fault {
	t.Helper()
	text, err := yaml.Dump(plainNumbers(tree))
	if err != nil {
		t.Fatal(err)
	}
	_, err = scene.Parse(name, text, besideEveryKey)
	var faults *document.Error
	if err != nil && !errors.As(err, &faults) {
		t.Fatal(err)
	}
	if faults == nil {
		return nil
	}
	return faults.Faults
}

// plainNumbers returns a tree with numbers that YAML writes without quotes.
func plainNumbers(tree any) any {
	switch v := tree.(type) {
	case map[string]any:
		out := map[string]any{}
		for key, one := range v {
			out[key] = plainNumbers(one)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, one := range v {
			out[i] = plainNumbers(one)
		}
		return out
	case json.Number:
		f, _ := v.Float64()
		if f == float64(int64(f)) {
			return int64(f)
		}
		return f
	}
	return tree
}

// TestEveryKeyIsShown: at least one scene of testdata/every-key shows each row of the tables.
func TestEveryKeyIsShown(t *testing.T) {
	seen := map[string]bool{}
	for _, data := range everyKey(t) {
		for _, at := range places(treeOf(t, data), "") {
			seen[at.path] = true
		}
	}
	rows := 0
	var look func(s key.Shape, path string)
	look = func(s key.Shape, path string) {
		if !seen[path] && path != "" {
			t.Errorf("no scene of testdata/every-key shows %s", path)
		}
		switch s.Kind {
		case key.List:
			look(s.Of[0], join(path, "[]"))
		case key.Either:
			for _, one := range s.Of {
				look(one, path)
			}
		case key.Mapping, key.Parts:
			if s.Kind == key.Parts {
				path = join(path, "*")
			}
			for _, r := range s.Keys.Rows {
				rows++
				look(r.Shape, join(path, r.Name))
			}
		}
	}
	look(key.Shape{Kind: key.Mapping, Keys: key.Scene}, "")
	if rows < 150 {
		t.Errorf("only %d rows", rows)
	}
}

// TestSchemaAndReaderRefuseTheSame puts wrong values at each place, and takes each out. What the schema refuses the reader
// refuses; what the reader refuses the schema refuses too, but for what readerAlone can find. A key that the readers have forgotten fails here too. Numbers in quotes are not
// tried: the reader takes them, the schema does not.
func TestSchemaAndReaderRefuseTheSame(t *testing.T) {
	s, _ := compiled(t, schema.Scene())
	mistakes := []any{nil, 1, -1, 0.3, "perhaps", true, "7 qq", "35 %", "3 EUR", "12 mm", "20 C", []any{}, []any{"1 mm"}, map[string]any{}}
	tried, agreed, every := 0, 0, longtest.Pick(24, 4)
	for name, data := range everyKey(t) {
		tree := treeOf(t, data)
		for i, at := range places(tree, "") {
			for k, wrong := range mistakes {
				if (i+k)%every > 0 && (wrong != nil || every > 4 && i%3 > 0) {
					continue // a part of them for each place, as each reads the scene again
				}
				before := at.value
				at.set(wrong)
				faults, err := faultsOf(t, name, tree), s.Validate(throughJSON(t, tree))
				at.set(before)
				tried++
				if err != nil && len(faults) == 0 {
					t.Errorf("%s: %s: %v: the schema refuses what the reader takes: %v", name, at.path, wrong, err)
				}
				sure := slices.ContainsFunc(faults, func(f document.Fault) bool { return !readerAlone.MatchString(f.Message) })
				if sure && err == nil {
					t.Errorf("%s: %s: %v: the schema takes what the reader refuses: %v", name, at.path, wrong, faults)
				}
				if err != nil && len(faults) > 0 {
					agreed++
				}
			}
		}
	}
	if tried < 3200/every || agreed < tried/2 {
		t.Errorf("%d mistakes were tried, %d refused by both", tried, agreed)
	}
}
