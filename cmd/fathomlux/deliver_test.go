package main

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fathomlux/render/answer"
	"fathomlux/render/output"
)

// TestAnswerIsWholeFirst: where a text cannot be made, or does not arrive, there is neither file nor folder. A number that JSON
// has no form for is such a text.
func TestAnswerIsWholeFirst(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	files := []output.File{{Name: "wire.csv", Data: []byte("a,b\n")}}
	words := func(s streams) error { return answer.WriteJSON(s.Out, fields("mains_w", 4)) }
	infinite := func(s streams) error { return answer.WriteJSON(s.Out, fields("mains_w", []float64{math.Inf(1)})) }
	var out bytes.Buffer
	for name, err := range map[string]error{
		"infinite": common{out: dir}.deliver(t.Context(), streams{Out: &out}, dir, files, infinite),
		"broken":   common{out: dir}.deliver(t.Context(), streams{Out: broken{}}, dir, files, words),
	} {
		if _, there := os.Stat(dir); err == nil || !errors.Is(there, os.ErrNotExist) || out.Len() > 0 {
			t.Errorf("%s: error is %v, the folder: %v, printed: %s", name, err, there, &out)
		}
	}
	if err := (common{out: dir}).deliver(t.Context(), streams{Out: &out}, dir, files, words); err != nil || out.String() != "{\n  \"mains_w\": 4\n}\n" {
		t.Errorf("error is %v, printed: %s", err, &out)
	}
	if data, err := os.ReadFile(filepath.Join(dir, "wire.csv")); err != nil || string(data) != "a,b\n" {
		t.Errorf("the file holds %q: %v", data, err)
	}
}

// TestDraftNamesOfDevices: the page saves no scene under a name that no other machine could hold.
func TestDraftNamesOfDevices(t *testing.T) {
	for _, name := range []string{"con", "NUL.yaml", "com1.yml", "aux.old.yaml"} {
		if got, err := draftName(name); err == nil {
			t.Errorf("%s is taken, as %s", name, got)
		}
	}
}
