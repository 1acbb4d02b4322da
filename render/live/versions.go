package live

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// How many versions are kept, those that were used last: ready to compute, with the light that a session keeps; as
// scenes, with their parts; and as the text of their file. What a page still uses is read and opened anew.
const (
	keptOpen   = 4
	keptScenes = 40
	keptTexts  = 3000
)

// version is a scene under a number that is made of its text and of the files that it names: the same after a restart.
type version struct {
	number int64
	scene  *scene.Scene
	units  unit.System
	glance Glance // nil where it is not kept ready
	spare  *spare // in place of all else where the version is kept as its text
}

// spare is what it takes to read a scene anew.
type spare struct {
	file string
	text []byte
	open scene.Opener
}

// shelf holds versions; a page may have unsaved work on any of them.
type shelf struct {
	all    map[int64]*version
	ready  []*version // those whose light is kept ready, the oldest first
	scenes []int64    // those that are kept as scenes, the one that was used longest ago first
	texts  []int64    // all others, the oldest first
}

// get returns the version of a number, nil where there is none.
func (s *shelf) get(number int64) *version {
	v := s.all[number]
	if v == nil {
		return nil
	}
	if v.spare != nil {
		sc, err := scene.Parse(v.spare.file, v.spare.text, v.spare.open)
		if err != nil {
			return nil // it was read before, without a fault
		}
		v = &version{number: number, scene: sc, units: sc.Units()}
	}
	s.put(v)
	return v
}

// put keeps a version as a scene. Whoever works with one that is let go of meanwhile goes on with it.
func (s *shelf) put(v *version) {
	s.all[v.number] = v
	this := func(n int64) bool { return n == v.number }
	s.texts = slices.DeleteFunc(s.texts, this)
	s.scenes = append(slices.DeleteFunc(s.scenes, this), v.number)
	if len(s.scenes) > keptScenes {
		old := s.all[s.scenes[0]].scene
		s.all[s.scenes[0]] = &version{number: s.scenes[0], spare: &spare{old.File, old.Source(), old.Open}}
		s.texts, s.scenes = append(s.texts, s.scenes[0]), s.scenes[1:]
	}
}

// forget lets go of the oldest texts, but for those of files.
func (s *shelf) forget(files map[string]int64) {
	held, over := slices.Collect(maps.Values(files)), len(s.texts)-keptTexts
	s.texts = slices.DeleteFunc(s.texts, func(n int64) bool {
		if over <= 0 || slices.Contains(held, n) {
			return false
		}
		over--
		delete(s.all, n)
		return true
	})
}

// keepReady lets go of the light that has been kept ready for longest.
func (s *shelf) keepReady(v *version) {
	if s.ready = append(s.ready, v); len(s.ready) > keptOpen {
		s.ready[0].glance = nil
		s.ready = slices.Delete(s.ready, 0, 1)
	}
}

// add returns the version that a scene is.
func (h *Handler) add(sc *scene.Scene) (*version, error) {
	v := &version{number: numberOf(sc), scene: sc, units: sc.Units()}
	if old := h.version(v.number); old != nil {
		return old, nil
	}
	var err error
	if v.glance, err = h.config.Open(sc); err != nil {
		return nil, err
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	h.shelf.put(v)
	h.shelf.keepReady(v)
	h.shelf.forget(h.disk)
	return v, nil
}

// numberOf is a sum of a scene's text and of the files that it names, short enough for a number of a page.
func numberOf(sc *scene.Scene) int64 {
	sum := sha256.New()
	fmt.Fprintf(sum, "%s\n%d\n%s", filepath.Base(sc.File), len(sc.Source()), sc.Source())
	for _, f := range sc.Files() {
		fmt.Fprintf(sum, "\n%q\n%d\n%s", f.Name, len(f.Content), f.Content)
	}
	return int64(binary.BigEndian.Uint64(sum.Sum(nil)) >> 12)
}

// version returns the version of a number, nil where there is none.
func (h *Handler) version(number int64) *version {
	h.lock.Lock()
	defer h.lock.Unlock()
	return h.shelf.get(number)
}

// held returns what a file holds, as it was shown last; nil where it was not.
func (h *Handler) held(name string) *version {
	h.lock.Lock()
	defer h.lock.Unlock()
	return h.shelf.get(h.disk[cmp.Or(name, h.config.First)])
}

// glance returns what computes a version.
func (h *Handler) glance(v *version) (glance Glance, err error) {
	h.lock.Lock()
	defer h.lock.Unlock()
	if v.glance == nil {
		if v.glance, err = h.config.Open(v.scene); err == nil {
			h.shelf.keepReady(v)
		}
	}
	return v.glance, err
}

// editRequest asks for a state with changes of keys of the scene file, which are made in order.
type editRequest struct {
	State State `json:"state"`
	Edits []struct {
		Path  []any  `json:"path"`  // keys, and places in lists
		Value string `json:"value"` // as it stands in the file; empty takes the key, or the item, out
	} `json:"edits"`
}

// edit makes a version of a state with changes, and returns its outline. All faults are told at once.
func (h *Handler) edit(request editRequest) (any, error) {
	sc, _, err := h.set(request.State)
	if err != nil {
		return nil, err
	}
	text, err := edit.Rewrite(sc)
	if err != nil {
		return nil, err
	}
	var list []document.Edit
	for _, e := range request.Edits {
		if len(e.Path) == 0 {
			return nil, errors.New("an edit has no place")
		}
		for i, step := range e.Path {
			if place, is := step.(float64); is {
				e.Path[i] = int(place)
			}
		}
		list = append(list, document.Edit{Path: e.Path, Value: e.Value})
	}
	if text, err = document.Apply(text, list); err != nil {
		return nil, err
	}
	made, err := scene.Parse(sc.File, text, sc.Open)
	if faults, is := errors.AsType[*document.Error](err); is {
		return nil, errors.New(plainFaults(faults.Faults))
	}
	if err != nil {
		return nil, err
	}
	v, err := h.add(made)
	if err != nil {
		return nil, err
	}
	return h.outlineOf(v, filepath.Base(v.scene.File)), nil
}

// plainFaults are the words of faults without the places of a file that nobody has seen.
func plainFaults(faults []document.Fault) string {
	var words []string
	for _, f := range faults {
		words = append(words, document.Visible(strings.TrimPrefix(f.Path+": "+f.Message, ": ")))
	}
	return strings.Join(words, "; ")
}
