package live

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"mime"
	"net/http"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// maxBody is the most that a request may send: the state of 500 modules has some 20 kB.
const maxBody = 1 << 18

// State is what the sliders of one page say, of the version of the scene that the page was opened with.
type State struct {
	Version int `json:"version"`
	edit.Setting
}

// decode reads the JSON body of a request into to. It answers itself, and returns false, where the body is none of
// ours.
func decode(w http.ResponseWriter, r *http.Request, to any) bool {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		http.Error(w, "the body must be application/json", http.StatusUnsupportedMediaType)
		return false
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxBody))
	d.DisallowUnknownFields()
	err := d.Decode(to)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			err = errors.New("there is more than one document")
		}
	}
	if err != nil {
		http.Error(w, fmt.Sprintf("the body is not a state of this page: %v", err), http.StatusBadRequest)
		return false
	}
	return true
}

// answer writes what a request asked for, or why it cannot be.
func answer(w http.ResponseWriter, v any, err error) {
	if err != nil {
		v = object{"refused": err.Error()}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // the other end may be gone
}

// errUnknown is what a page is told that asks for a version that never was.
var errUnknown = errors.New("this page is of another run of the program; load it again")

// saveRequest is what the page sends to save.
type saveRequest struct {
	State     State  `json:"state"`
	Name      string `json:"name"`
	Overwrite bool   `json:"overwrite"`
}

func (h *Handler) save(w http.ResponseWriter, r *http.Request) {
	var request saveRequest
	if !decode(w, r, &request) {
		return
	}
	var saved string
	var text []byte
	sc, err := h.set(request.State)
	if err == nil {
		text, err = edit.Rewrite(sc)
	}
	if err == nil {
		saved, err = h.config.Save(Draft{Name: request.Name, Overwrite: request.Overwrite, Scene: sc, Text: text})
	}
	answer(w, object{"saved": saved}, err)
}

// check says what the command check would say of the scene of a state.
func (h *Handler) check(w http.ResponseWriter, r *http.Request) {
	var s State
	if !decode(w, r, &s) {
		return
	}
	var found Findings
	sc, err := h.set(s)
	if err == nil {
		found, err = h.config.Check(sc)
	}
	answer(w, found, err)
}

// set returns the scene of a state.
func (h *Handler) set(s State) (*scene.Scene, error) {
	v := h.version(s.Version)
	if v == nil {
		return nil, errUnknown
	}
	return edit.Set(v.scene, s.Setting)
}

// light computes one state. What cannot be is an answer too, with the reason; the request itself was right.
func (h *Handler) light(w http.ResponseWriter, r *http.Request) {
	var s State
	if !decode(w, r, &s) {
		return
	}
	g, sc, err := h.compute(r, s)
	if r.Context().Err() != nil {
		return // the page has gone, or has a newer state
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	if err != nil {
		_, _ = w.Write(packed(object{"refused": err.Error()}))
		return
	}
	_, _ = w.Write(packed(headOf(g, sc), g.Plane.Field.Illuminance, g.Plane.Field.PPFD,
		g.Section.Illuminance, g.Section.PPFD))
}

func (h *Handler) compute(r *http.Request, s State) (*result.Glance, *scene.Scene, error) {
	sc, err := h.set(s)
	if err != nil {
		return nil, nil, err
	}
	glance, err := h.glance(s.Version)
	if err != nil {
		return nil, nil, err
	}
	g, err := glance(r.Context(), sc)
	return g, sc, err
}

// packed joins an answer: the length of its text as four bytes, the text as JSON, spaces up to a multiple of four
// bytes, and the numbers as 32-bit floats; all little-endian.
func packed(text any, numbers ...[]float64) []byte {
	data, err := json.Marshal(text)
	if err != nil {
		data = []byte(`{"refused":"the answer holds a number that is none"}`)
		numbers = nil
	}
	for len(data)%4 != 0 {
		data = append(data, ' ')
	}
	out := binary.LittleEndian.AppendUint32(nil, uint32(len(data)))
	out = append(out, data...)
	for _, list := range numbers {
		for _, v := range list {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
		}
	}
	return out
}
