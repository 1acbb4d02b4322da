package longtest

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

// TestHeldKeepsTheNearest: the comparison that takes most of its tolerance is kept, all are counted, and nothing is
// written where no folder is named.
func TestHeldKeepsTheNearest(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("FATHOMLUX_TRUST", "")
	Held(t, "unseen", 1, 2, 1)
	t.Setenv("FATHOMLUX_TRUST", folder)
	t.Run("inner", func(t *testing.T) {
		Held(t, "far", 10, 11, 100)
		Held(t, "near", 1, 1.1, 0.2)
		Held(t, "equal", 3, 3, 0)
		Drawn(t)
	})
	data, err := os.ReadFile(filepath.Join(folder, "scene-longtest.TestHeldKeepsTheNearest.json"))
	if err != nil {
		t.Fatal(err)
	}
	var got Trust
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if want := (Trust{"scene/longtest", "TestHeldKeepsTheNearest", 3, 1, "near", 1, 1.1, 0.2}); got != want {
		t.Errorf("%+v", got)
	}
}
