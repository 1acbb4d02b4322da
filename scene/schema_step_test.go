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

// schemasAt returns the parts of a schema that bind the place at path.
func schemasAt(s map[string]any, path string) []map[string]any {
	var all []map[string]any
	if path == "" {
		all = append(all, s)
	}
	if list, ok := s["anyOf"].([]any); ok {
		for _, one := range list {
			all = append(all, schemasAt(one.(map[string]any), path)...)
		}
	}
	if path == "" {
		return all
	}
	step, rest, _ := strings.Cut(path, ".")
	below := map[string]any{}
	switch step {
	case "[]":
		below["[]"] = s["items"]
	case "*":
		below["*"] = s["additionalProperties"]
	default:
		below, _ = s["properties"].(map[string]any)
	}
	if next, ok := below[step].(map[string]any); ok {
		all = append(all, schemasAt(next, rest)...)
	}
	return all
}

// propertiesAt returns the keys that a schema knows at path.
func propertiesAt(s map[string]any, path string) []string {
	known := map[string]bool{}
	for _, one := range schemasAt(s, path) {
		properties, _ := one["properties"].(map[string]any)
		for key := range properties {
			known[key] = true
		}
	}
	return slices.Sorted(maps.Keys(known))
}

// knownAt returns the keys that the reader knows at a mapping: it lists them where an unknown one stands.
func knownAt(t *testing.T, name string, tree any, at place) []string {
	t.Helper()
	inside, ok := at.value.(map[string]any)
	if !ok {
		t.Fatalf("%s is no mapping", at.path)
	}
	inside["zzzzzzzzzzzz"] = 1
	defer delete(inside, "zzzzzzzzzzzz")
	list := regexp.MustCompile(`zzzzzzzzzzzz: unknown key; known are (.*)`)
	for _, fault := range faultsOf(t, name, tree) {
		if found := list.FindStringSubmatch(fault.Error()); found != nil {
			known := strings.Split(found[1], ", ")
			slices.Sort(known)
			return known
		}
	}
	return nil
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

// TestSchemaAndReaderKnowTheSameKeys: at each mapping of the scenes with each key. A key that the reader has learned and
// the schema has not fails here by name, and so does one that testdata/every-key does not show.
func TestSchemaAndReaderKnowTheSameKeys(t *testing.T) {
	_, root := compiled(t, schema.Scene())
	seen := map[string]bool{}
	for name, data := range everyKey(t) {
		tree := treeOf(t, data)
		for _, at := range append(places(tree, ""), place{value: tree}) {
			seen[at.path] = true
			if _, isMapping := at.value.(map[string]any); !isMapping || regexp.MustCompile(`^parts\.[a-z]+$`).MatchString(at.path) {
				continue
			}
			reader, known := knownAt(t, name, tree, at), propertiesAt(root, at.path)
			for _, key := range known {
				if !slices.Contains(reader, key) {
					t.Errorf("%s: the schema knows %s.%s, the reader does not; take it out of package schema", name, at.path, key)
				}
			}
			for _, key := range reader {
				if !slices.Contains(known, key) {
					t.Errorf("%s: the reader knows %s.%s, the schema does not; add a row to package schema and an example to testdata/every-key", name, at.path, key)
				}
			}
		}
	}
	for _, path := range allPaths(root, "") {
		if !seen[path] {
			t.Errorf("no scene of testdata/every-key shows %s", path)
		}
	}
}

// allPaths returns the places that a schema knows, written as places writes them.
func allPaths(s map[string]any, path string) []string {
	var all []string
	properties, _ := s["properties"].(map[string]any)
	for _, key := range slices.Sorted(maps.Keys(properties)) {
		if below, ok := properties[key].(map[string]any); ok {
			at := join(path, key)
			all = append(append(all, at), allPaths(below, at)...)
		}
	}
	if items, ok := s["items"].(map[string]any); ok {
		all = append(all, allPaths(items, join(path, "[]"))...)
	}
	if names, ok := s["additionalProperties"].(map[string]any); ok {
		all = append(all, allPaths(names, join(path, "*"))...)
	}
	list, _ := s["anyOf"].([]any)
	for _, one := range list {
		all = append(all, allPaths(one.(map[string]any), path)...)
	}
	return all
}

// TestSchemaAndReaderRefuseTheSame puts wrong values at each place, and takes each out. What the schema refuses the reader
// refuses; what the reader refuses the schema refuses too, but for what readerAlone can find. Numbers in quotes are not
// tried: the reader takes them, the schema does not.
func TestSchemaAndReaderRefuseTheSame(t *testing.T) {
	s, _ := compiled(t, schema.Scene())
	mistakes := []any{nil, 1, -1, 0.3, "perhaps", true, "7 qq", "35 %", "3 EUR", "12 mm", "20 C", []any{}, []any{"1 mm"}, map[string]any{}}
	tried, agreed := 0, 0
	for name, data := range everyKey(t) {
		tree := treeOf(t, data)
		for _, at := range places(tree, "") {
			for _, wrong := range mistakes {
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
	if tried < 2000 || agreed < tried/2 {
		t.Errorf("%d mistakes were tried, %d refused by both", tried, agreed)
	}
}

// TestSchemaTellsTheReadersRanges: the range that the reader names where a value is far outside is in the schema's
// description, or is checked by it.
func TestSchemaTellsTheReadersRanges(t *testing.T) {
	s, root := compiled(t, schema.Scene())
	unitOf := regexp.MustCompile(`^[-0-9.e]+ ?(1?[^0-9 ].*)$`)
	wanted := regexp.MustCompile(`is out of range; give (an? .*)$`)
	told := 0
	for name, data := range everyKey(t) {
		tree := treeOf(t, data)
		for _, at := range places(tree, "") {
			text, isText := at.value.(string)
			found := unitOf.FindStringSubmatch(text)
			far := any(-9e9)
			if isText && found == nil {
				continue
			}
			if isText {
				far = "-9e9 " + found[1]
			} else if _, isNumber := at.value.(json.Number); !isNumber {
				continue
			}
			at.set(far)
			faults, err := faultsOf(t, name, tree), s.Validate(throughJSON(t, tree))
			at.set(at.value)
			for _, fault := range faults {
				limits := wanted.FindStringSubmatch(fault.Message)
				if limits == nil {
					continue
				}
				told++
				about, _ := json.Marshal(schemasAt(root, at.path))
				if !strings.Contains(string(about), limits[1]) && err == nil {
					t.Errorf("%s: %s: the schema does not say %s", name, at.path, limits[1])
				}
			}
		}
	}
	if told < 60 {
		t.Errorf("only %d ranges were compared", told)
	}
}
