package live

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"mime"
	"net/http"

	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// maxBody is the most that a request may send: the state of 500 modules has some 20 kB.
const maxBody = 1 << 18

// State is what the sliders of one page say.
type State struct {
	Version   int         `json:"version"` // of the scene that the page was opened with
	DepthMM   float64     `json:"depth_mm"`
	Water     string      `json:"water"`
	ExtraPerM float64     `json:"extra_per_m"`
	Rails     []RailState `json:"rails"`
}

// RailState is the state of one rail; optic, beam and current are empty or 0 where each module keeps its own.
type RailState struct {
	HeightMM  float64       `json:"height_mm"`
	YMM       float64       `json:"y_mm"`
	TiltDeg   float64       `json:"tilt_deg"`
	Optic     string        `json:"optic"`
	BeamDeg   float64       `json:"beam_deg"`
	CurrentMA float64       `json:"current_ma"`
	Modules   []moduleState `json:"modules"`
}

// moduleState is one module: like which one of the scene's own rail, and where.
type moduleState struct {
	Like int     `json:"like"`
	XMM  float64 `json:"x_mm"`
}

const radPerDeg = math.Pi / 180

// stateOf turns a setting into what sliders show.
func stateOf(number int, t edit.Setting) State {
	s := State{Version: number, DepthMM: thousand(t.WaterDepthM), Water: t.WaterKind, ExtraPerM: t.ExtraAbsorbPerM}
	for _, r := range t.Rails {
		one := RailState{HeightMM: thousand(r.AboveWaterM), YMM: thousand(r.YM), TiltDeg: tidy(r.TiltRad / radPerDeg),
			Optic: r.Optic, BeamDeg: tidy(r.BeamRad / radPerDeg), CurrentMA: thousand(r.CurrentA)}
		for _, m := range r.Modules {
			one.Modules = append(one.Modules, moduleState{Like: m.Like, XMM: thousand(m.XM)})
		}
		s.Rails = append(s.Rails, one)
	}
	return s
}

// setting turns what sliders show back into SI units.
func (s State) setting() edit.Setting {
	t := edit.Setting{WaterDepthM: s.DepthMM / 1000, WaterKind: s.Water, ExtraAbsorbPerM: s.ExtraPerM}
	for _, r := range s.Rails {
		one := edit.RailSetting{AboveWaterM: r.HeightMM / 1000, YM: r.YMM / 1000, TiltRad: r.TiltDeg * radPerDeg,
			Optic: r.Optic, BeamRad: r.BeamDeg * radPerDeg, CurrentA: r.CurrentMA / 1000}
		for _, m := range r.Modules {
			one.Modules = append(one.Modules, edit.Placed{Like: m.Like, XM: m.XMM / 1000})
		}
		t.Rails = append(t.Rails, one)
	}
	return t
}

// thousand returns metres as mm, or amperes as mA, without the last bits.
func thousand(v float64) float64 { return tidy(v * 1000) }

func tidy(v float64) float64 { return math.Round(v*1e6) / 1e6 }

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
		http.Error(w, fmt.Sprintf("the body is no state of this page: %v", err), http.StatusBadRequest)
		return false
	}
	return true
}

// refusal is an answer that says why there is no other.
func refusal(err error) object { return object{"refused": err.Error()} }

func writeJSON(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // the other end may be gone
}

// answer writes what a request asked for, or why it cannot be.
func answer(w http.ResponseWriter, v any, err error) {
	if err != nil {
		v = refusal(err)
	}
	writeJSON(w, v)
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
	if decode(w, r, &request) {
		saved, err := h.trySave(request)
		answer(w, object{"saved": saved}, err)
	}
}

func (h *Handler) trySave(request saveRequest) (string, error) {
	sc, err := h.set(request.State)
	if err != nil {
		return "", err
	}
	text, err := edit.Rewrite(sc)
	if err != nil {
		return "", err
	}
	return h.config.Save(Draft{Name: request.Name, Overwrite: request.Overwrite, Scene: sc, Text: text})
}

// set returns the scene of a state.
func (h *Handler) set(s State) (*scene.Scene, error) {
	sc, ok := h.at(s.Version)
	if !ok {
		return nil, errUnknown
	}
	return edit.Set(sc, s.setting())
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
