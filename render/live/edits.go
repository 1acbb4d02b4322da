package live

import (
	"errors"
	"path/filepath"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
)

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
