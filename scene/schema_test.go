package scene_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/schema"
)

// compiled returns a schema for validation, and its plain content.
func compiled(t *testing.T, text []byte) (*jsonschema.Schema, map[string]any) {
	t.Helper()
	tree, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", tree); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s, tree.(map[string]any)
}

// treeOf returns a YAML text as an editor hands it to a schema: as JSON values.
func treeOf(t testing.TB, text []byte) any {
	t.Helper()
	var tree any
	if err := yaml.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	return throughJSON(t, tree)
}

func throughJSON(t testing.TB, tree any) any {
	t.Helper()
	data, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	back, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return back
}

// besideEveryKey opens what the scenes in testdata/every-key name.
func besideEveryKey(name string) ([]byte, error) {
	content, ok := map[string]string{
		"more.yaml": "optics: {another: {beam: 30 deg, efficiency: 0.9}}\n",
		"lamp.csv":  "wavelength_nm,power\n400,1\n700,0.5\n",
	}[name]
	if !ok {
		return nil, errors.New("there is no such file")
	}
	return []byte(content), nil
}

// everyKey returns the scenes that show each key at least once, by file name.
func everyKey(t *testing.T) map[string][]byte {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("testdata", "every-key", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no scenes (%v)", err)
	}
	all := map[string][]byte{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		all[filepath.Base(file)] = data
	}
	return all
}

// TestSchemaTakesWhatTheReaderTakes: the starter, the examples, and the scenes with each key.
func TestSchemaTakesWhatTheReaderTakes(t *testing.T) {
	s, _ := compiled(t, schema.Scene())
	own, _ := compiled(t, schema.Parts())
	texts := everyKey(t)
	for name, data := range texts {
		if _, err := scene.Parse(name, data, besideEveryKey); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	texts["starter"], texts["sound"], texts["smallest"] = []byte(scene.Starter()), []byte(scenetest.Sound), []byte(scenetest.Smallest)
	files, err := filepath.Glob(filepath.Join("..", "examples", "*", "*.yaml"))
	if err != nil || len(files) < 4 {
		t.Fatalf("found examples %v (%v)", files, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		texts[file] = data
	}
	for name, data := range texts {
		judge := s
		if strings.HasSuffix(name, "-parts.yaml") {
			judge = own
		}
		if err := judge.Validate(treeOf(t, data)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	built, err := filepath.Glob(filepath.Join("parts", "data", "*.yaml"))
	if err != nil || len(built) < 6 {
		t.Fatalf("found tables %v (%v)", built, err)
	}
	for _, file := range built {
		data, _ := os.ReadFile(file)
		if err := own.Validate(treeOf(t, data)); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
}

// readerAlone are faults that no schema can find: they compare values with units, or two values, or look into files.
var readerAlone = regexp.MustCompile(`one end alone|the hood (is smaller|ends)|are [0-9.]+ together|out of water|the area is empty|the hood's lower edge|must be the lower one|lx" is not a unit of photon flux density|would be (as bright|brighter)|may not be as bright|of the same place|in one quantity|reaches out of|inside the obstacle|` +
	`is out of range; give an? [a-z ]+ (from|above|of) .*[a-zA-Z/]|would stand above|lies from|has no volume|` +
	`must be left of|beyond the rail|the one before it|on line \d+ already|outside the table|too many|not above|based on itself|` +
	`needs the hours|missing beside the other values|is given twice|not below the highest|does not rise|do not fit|runs over|beyond the board|` +
	`do not split|sum to|cannot be read here|` +
	`above the highest junction|not wider than|no power at|` +
	`there is no (module|optic|driver|profile|spectrum|kind of water)|beside field|` +
	`holds the shape of the light; give beam|no such file|lm/W; no light|clearer than pure water|repeated key|` +
	`walls are given for|half circle|cross or touch itself|holds no area|bows out of|as wide as long|leaves (no sides|nothing of a side)|follow on each other are one|` +
	`reaches .*out of|the ground rises|heights, the first has|ends at a height of|in the space of|a heap takes|leaves no opening|is not less than the tank|` +
	`no driver feeds|straight down beside the tank|claims the same|there is no hood|there is no (channel|rail|kind of module)|names no module|is not a number of a|has modules 1 to|` +
	`the value is missing|finite number|second document`)

// TestSchemaRefusesWrongScenes: the table of wrong scenes, but for faults that only the reader can find. Names of parts are
// refused too, for these scenes have no parts of their own.
func TestSchemaRefusesWrongScenes(t *testing.T) {
	s, _ := compiled(t, schema.Scene())
	found := 0
	for _, test := range wrong {
		text := wrongText(t, test.text, test.pairs)
		var tree any
		if yaml.Unmarshal([]byte(text), &tree) != nil {
			continue
		}
		_, err := scene.Parse("foyer.yaml", []byte(text), nil)
		var faults *document.Error
		if !errors.As(err, &faults) {
			t.Fatalf("%s: %v", test.name, err)
		}
		own := strings.Contains(text, "\nparts:")
		clear := func(f document.Fault) bool {
			return !readerAlone.MatchString(f.Message) || strings.Contains(f.Message, "there is no") && !own
		}
		if !slices.ContainsFunc(faults.Faults, clear) {
			continue
		}
		found++
		if err := s.Validate(throughJSON(t, tree)); err == nil {
			t.Errorf("%s: taken, where the reader says %v", test.name, faults)
		}
	}
	if found < 40 {
		t.Errorf("only %d wrong scenes were tried", found)
	}
}
