package live

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"mime"
	"net/http"

	"fathomlux/optics/result"
	"fathomlux/render/plan"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// maxBody is the most that a request may send: the state of 500 modules has some 20 kB, a scene as text may have more.
const maxBody = 1 << 20

// State is what the sliders of one page say, of the version of the scene that the page was opened with.
type State struct {
	Version int64 `json:"version"`
	edit.Setting
}

// decode reads the JSON body of a request into to. It answers itself, and returns false, where the body is none of
// ours.
func decode(w http.ResponseWriter, r *http.Request, to any) bool {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		http.Error(w, "the body must be application/json", http.StatusUnsupportedMediaType)
		return false
	}
	if err := strictly(http.MaxBytesReader(w, r.Body, maxBody), to); err != nil {
		http.Error(w, fmt.Sprintf("the body is not a state of this page: %v", err), http.StatusBadRequest)
		return false
	}
	return true
}

// strictly reads one JSON document without keys that are not known.
func strictly(from io.Reader, to any) error {
	d := json.NewDecoder(from)
	d.DisallowUnknownFields()
	err := d.Decode(to)
	if err == nil && d.More() {
		err = errors.New("there is more than one document")
	}
	return err
}

// answering handles a request whose body is a T and whose answer is JSON: what was asked for, or why it cannot be.
func answering[T any](do func(T) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var body T
		if decode(w, r, &body) {
			v, err := do(body)
			if err != nil {
				v = object{"refused": err.Error()}
			}
			answer(w, v)
		}
	}
}

func answer(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // the other end may be gone
}

// check says what the command check would say of the scene of a state.
func (h *Handler) check(s State) (any, error) {
	sc, _, err := h.set(s)
	if err != nil {
		return nil, err
	}
	return h.config.Check(sc)
}

// set returns the scene of a state, and the version that it is of.
func (h *Handler) set(s State) (*scene.Scene, *version, error) {
	v := h.version(s.Version)
	if v == nil {
		return nil, nil, errors.New("this page belongs to an earlier run of the program; load it again")
	}
	sc, err := edit.Set(v.scene, s.Setting)
	return sc, v, err
}

// lightRequest is a state with what is to be shown of it beside the plane of the goal.
type lightRequest struct {
	State
	View struct {
		DepthM *float64 `json:"depth_m"` // of the plane; nil for that of the goal
		Across bool     `json:"across"`
		CutM   *float64 `json:"cut_m"` // nil for the slice under the rail with the most light
	} `json:"view"`
}

func (l lightRequest) view() (v result.View) {
	if l.View.DepthM != nil {
		v.OtherPlane, v.DepthM = true, *l.View.DepthM
	}
	if l.View.CutM != nil {
		v.Cut, v.CutM = true, *l.View.CutM
	}
	if l.View.Across {
		v.Axis = result.AcrossY
	}
	return v
}

// light computes one state. What cannot be is an answer too, with the reason; the request itself was right.
func (h *Handler) light(w http.ResponseWriter, r *http.Request) {
	var request lightRequest
	if !decode(w, r, &request) {
		return
	}
	out, err := h.compute(r.Context(), request)
	if r.Context().Err() != nil {
		return // the page has gone, or has a newer state
	}
	if err != nil {
		out = packed(object{"refused": err.Error()})
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	_, _ = w.Write(out)
}

func (h *Handler) compute(ctx context.Context, request lightRequest) ([]byte, error) {
	sc, v, err := h.set(request.State)
	if err != nil {
		return nil, err
	}
	g, err := h.glanceOf(ctx, sc, v, request)
	if err != nil {
		return nil, err
	}
	f, cut := &shownOf(g).Field, &g.Section
	outside, dry := plan.Outside(f.Grid, sc.Tank.Outline), plan.Cut{Tank: &sc.Tank, Section: cut}.Dry()
	return packed(headOf(g, sc, v.units), result.Spread(f.Illuminance, f.Grid.NX, outside),
		result.Spread(f.PPFD, f.Grid.NX, outside), result.Spread(cut.Illuminance, cut.N, dry), result.Spread(cut.PPFD, cut.N, dry)), nil
}

// packed joins an answer: the length of its text as four bytes, the text as JSON, spaces up to a multiple of four
// bytes, and the numbers as 32-bit floats; all little-endian.
func packed(text any, numbers ...[]float64) []byte {
	data, err := json.Marshal(text)
	if err != nil {
		data = []byte(`{"refused":"the answer holds a value that is not a number"}`)
		numbers = nil
	}
	for len(data)%4 != 0 {
		data = append(data, ' ')
	}
	out := append(binary.LittleEndian.AppendUint32(nil, uint32(len(data))), data...)
	for _, list := range numbers {
		for _, v := range list {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
		}
	}
	return out
}
