package live

import (
	"net/http"
)

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
