package live

import (
	"fmt"
	"testing"

	"fathomlux/scene/edit"
)

// TestVersionsAreLetGo makes more versions than are kept: the oldest is there again from its text, with its unsaved work,
// and what a file holds is never forgotten.
func TestVersionsAreLetGo(t *testing.T) {
	t.Parallel()
	h, sc := handler(t, Config{})
	for n := range keptScenes + 5 {
		if _, err := h.add(retitled(t, sc, fmt.Sprint("edit ", n))); err != nil {
			t.Fatal(err)
		}
	}
	whole := 0
	for _, v := range h.shelf.all {
		if v.scene != nil {
			whole++
		}
	}
	if whole != keptScenes || len(h.shelf.all) != keptScenes+6 || h.shelf.all[numberOf(sc)].scene != nil {
		t.Errorf("%d of %d versions are kept as scenes", whole, len(h.shelf.all))
	}
	moved := State{numberOf(sc), edit.SettingOf(sc)}
	moved.Rails[0].Modules[1].XM = 0.4
	if _, refused, numbers := unpack(t, call(h, "POST", "/"+token+"/light", moved, nil).Body.Bytes()); refused != "" || numbers[0] != 0.4 {
		t.Errorf("the first version: %q, %v", refused, numbers)
	}
	s := shelf{all: map[int64]*version{}}
	for n := int64(1); n <= keptTexts+3; n++ {
		s.all[n], s.texts = &version{number: n, spare: &spare{}}, append(s.texts, n)
	}
	s.forget(map[string]int64{"held.yaml": 2})
	if s.all[1] != nil || s.all[2] == nil || s.all[3] != nil || s.all[4] != nil || s.all[5] == nil || len(s.all) != keptTexts || len(s.texts) != keptTexts {
		t.Errorf("%d texts are kept, of %d", len(s.all), keptTexts+3)
	}
}
