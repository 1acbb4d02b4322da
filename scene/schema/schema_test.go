package schema

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"testing"

	"fathomlux/scene/parts"
)

// decoded returns a schema as plain values.
func decoded(t *testing.T, text []byte) map[string]any {
	t.Helper()
	var tree map[string]any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	return tree
}

// everyPart calls look for each mapping in a schema.
func everyPart(tree any, path string, look func(path string, part map[string]any)) {
	switch v := tree.(type) {
	case map[string]any:
		look(path, v)
		for key, below := range v {
			everyPart(below, path+"/"+key, look)
		}
	case []any:
		for _, below := range v {
			everyPart(below, path, look)
		}
	}
}

func TestSameBytesEachTime(t *testing.T) {
	if !bytes.Equal(Scene(), Scene()) || !bytes.Equal(Parts(), Parts()) {
		t.Error("two calls differ")
	}
}

// TestKeysAreExplained: each key has a description, and each example is what its own pattern takes.
func TestKeysAreExplained(t *testing.T) {
	for name, text := range map[string][]byte{"scene": Scene(), "parts": Parts()} {
		keys, examples := 0, 0
		everyPart(decoded(t, text)["properties"], name, func(path string, part map[string]any) {
			if properties, ok := part["properties"].(map[string]any); ok && part["type"] == "object" {
				for key, below := range properties {
					keys++
					if about, _ := below.(map[string]any)["description"].(string); about == "" {
						t.Errorf("%s/%s is not described", path, key)
					}
				}
			}
			list, _ := part["examples"].([]any)
			pattern, _ := part["pattern"].(string)
			for _, example := range list {
				if text, ok := example.(string); ok {
					examples++
					if !regexp.MustCompile(pattern).MatchString(text) {
						t.Errorf("%s: the example %q does not match %s", path, text, pattern)
					}
				}
			}
		})
		if keys < 60 || examples < 40 {
			t.Errorf("%s: %d keys, %d examples", name, keys, examples)
		}
	}
}

// TestBuiltInPartsAreOffered: by name, and alone where the scene has no parts of its own.
func TestBuiltInPartsAreOffered(t *testing.T) {
	tree := decoded(t, Scene())
	offered := map[string]bool{}
	everyPart(tree["then"], "", func(_ string, part map[string]any) {
		list, _ := part["enum"].([]any)
		for _, name := range list {
			offered[name.(string)] = true
		}
	})
	lib := parts.Builtin()
	for _, name := range slices.Concat(parts.Names(lib.Modules), parts.Names(lib.Optics), parts.Names(lib.Drivers), parts.Names(lib.Profiles), parts.Names(lib.Waters)) {
		if !offered[name] {
			t.Errorf("%s is not among the names that serve", name)
		}
	}
	if _, ok := tree["if"]; !ok || offered["glass"] {
		t.Errorf("the rule for names is not what it should be: %v", tree["if"])
	}
}

// TestPartNamePattern holds the pattern against names that the reader takes and refuses.
func TestPartNamePattern(t *testing.T) {
	pattern := regexp.MustCompile(parts.NamePattern)
	for name, good := range map[string]bool{"round-40": true, "caf\u00e9_2.5": true, ".5": true, "40": true, "-x": false, "a b": false, "a,b": false, "": false} {
		if pattern.MatchString(name) != good {
			t.Errorf("%q: %v", name, !good)
		}
	}
}
