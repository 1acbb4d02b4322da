package live

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"path"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/document"
)

// sheet draws one of the sheets of a state, which stands in the address, so that a page can show it as an image, or
// hands it over as a file where a format is given. Why it cannot be drawn is an answer too, as text.
func (h *Handler) sheet(w http.ResponseWriter, r *http.Request) {
	if h.config.Sheet == nil {
		http.NotFound(w, r)
		return
	}
	wanted, err := h.wanted(r)
	if errors.Is(err, errAsked) {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	name, data := "", []byte(nil)
	if err == nil {
		file, wrong := h.config.Sheet(r.Context(), wanted)
		name, data, err = file.Name, file.Data, wrong
	}
	kind := contentTypes[path.Ext(name)]
	if err != nil {
		data, kind = []byte("Not possible: "+document.Visible(err.Error())), contentTypes[".txt"]
	}
	w.Header().Set("Content-Type", kind)
	switch {
	case wanted.Format != "" && err != nil:
		w.WriteHeader(http.StatusUnprocessableEntity)
	case wanted.Format != "":
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	}
	_, _ = w.Write(data)
}

// errAsked is that a request is none of a page's.
var errAsked = errors.New("this is not what a page asks for")

// wanted reads what a request for a sheet asks for.
func (h *Handler) wanted(r *http.Request) (w Wanted, err error) {
	states, names := r.URL.Query()["state"], r.URL.Query()["name"]
	if len(states) == 0 || len(states) > 1 && len(names) != len(states) {
		return w, errAsked
	}
	w = Wanted{Name: r.PathValue("name"), Names: names, Format: r.FormValue("format"), Rail: r.FormValue("rail"),
		Paper: r.FormValue("paper"), From: r.FormValue("from"), Quantity: result.Illuminance}
	if r.FormValue("quantity") == "ppfd" {
		w.Quantity = result.PPFD
	}
	for _, text := range states {
		var request lightRequest
		if err := strictly(strings.NewReader(text), &request); err != nil {
			return w, fmt.Errorf("%w: %w", errAsked, err)
		}
		sc, v, err := h.set(request.State)
		if err != nil {
			return w, err
		}
		w.Scenes = append(w.Scenes, sc)
		if w.Name == "plan" || w.Name == "slice" {
			if w.Glance, err = h.glanceOf(r.Context(), sc, v, request); err != nil {
				return w, err
			}
		}
	}
	return w, nil
}

// glanceOf computes what is shown of a state.
func (h *Handler) glanceOf(ctx context.Context, sc *scene.Scene, v *version, request lightRequest) (*result.Glance,
	error) {
	glance, err := h.glance(v)
	if err != nil {
		return nil, err
	}
	return glance(ctx, sc, request.view())
}

// reportPolicy lets a report, which is one file, show itself and run what it holds, far from this page.
const reportPolicy = "sandbox allow-scripts allow-modals; default-src 'none'; img-src data:; font-src data:; " +
	"style-src 'unsafe-inline'; script-src 'unsafe-inline'"

// written is a report under what it is of: the number of a version, or a state.
type written struct {
	of   string
	html []byte
}

const keptReports = 3

// report serves the report of a state, which stands in the address, or else of what a file holds. The last ones are
// kept.
func (h *Handler) report(w http.ResponseWriter, r *http.Request) {
	var state *State
	if text := r.FormValue("state"); text != "" {
		state = &State{}
		if err := strictly(strings.NewReader(text), state); err != nil {
			http.Error(w, document.Visible(err.Error()), http.StatusBadRequest)
			return
		}
	}
	html, err := h.reportOf(r.Context(), r.FormValue("file"), state, func(int, int) {})
	switch {
	case errors.Is(err, errNoReport):
		http.NotFound(w, r)
	case errors.Is(err, errNoState):
		http.Error(w, document.Visible(err.Error()), http.StatusBadRequest)
	case err != nil:
		http.Error(w, fmt.Sprintf("there is no report of this scene: %v", err), http.StatusInternalServerError)
	default:
		w.Header().Set("Content-Security-Policy", reportPolicy)
		w.Header().Set("Content-Type", contentTypes[".html"])
		_, _ = w.Write(html)
	}
}

var (
	errNoReport = errors.New("there is no report here")
	errNoState  = errors.New("the state cannot be shown")
)

// reportOf returns the report of a state, or of what a file holds where there is none.
func (h *Handler) reportOf(ctx context.Context, file string, state *State, tell func(done, total int)) ([]byte, error) {
	v := h.held(file)
	if h.config.Report == nil || v == nil && state == nil {
		return nil, errNoReport
	}
	sc, of := (*scene.Scene)(nil), ""
	if state != nil {
		var err error
		if sc, _, err = h.set(*state); err != nil {
			return nil, fmt.Errorf("%w: %w", errNoState, err)
		}
		text, _ := json.Marshal(state)
		of = string(text)
	} else {
		sc, of = v.scene, fmt.Sprint(v.number)
	}
	h.writing.Lock()
	defer h.writing.Unlock()
	for _, one := range h.written {
		if one.of == of {
			return one.html, nil
		}
	}
	html, err := h.config.Report(ctx, sc, tell)
	if err == nil {
		h.written = append(h.written[max(0, len(h.written)+1-keptReports):], written{of, html})
	}
	return html, err
}

// writeReport writes a report and sends its progress line by line; the report itself is asked for afterwards.
func (h *Handler) writeReport(w http.ResponseWriter, r *http.Request) {
	h.streamed(w, r, func(request jobRequest, tell func(done, total int)) (object, error) {
		_, err := h.reportOf(r.Context(), cmp.Or(request.File, h.config.First), request.State, tell)
		return object{"written": true}, err
	})
}

// seenRequest is a state with how its lit tank is looked at.
type seenRequest struct {
	State
	From    string  `json:"from"`
	WhiteCd float64 `json:"white_cd"` // 0 for one that suits
	Rough   bool    `json:"rough"`
}

// seen answers with the picture of a state: its words as in an answer of light, then the PNG. Why there is none is an
// answer too.
func (h *Handler) seen(w http.ResponseWriter, r *http.Request) {
	var request seenRequest
	if h.config.Seen == nil {
		http.NotFound(w, r)
		return
	}
	if !decode(w, r, &request) {
		return
	}
	var out Seen
	sc, _, err := h.set(request.State)
	if err == nil {
		out, err = h.config.Seen(r.Context(), Looked{sc, request.From, request.WhiteCd, request.Rough})
	}
	if r.Context().Err() != nil {
		return // the page has gone, or has a newer state
	}
	text := object{"words": out.Words, "notes": out.Notes, "white_cd": out.WhiteCd}
	if err != nil {
		text = object{"refused": err.Error()}
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	_, _ = w.Write(append(packed(text), out.PNG...))
}
