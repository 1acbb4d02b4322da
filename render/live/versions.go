package live

import (
	"fmt"
	"net/http"
)

// versions tells a page, as long as it listens, the number of the newest version of the scene. It ends with the request,
// which ends with the server.
func (h *Handler) versions(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	for {
		number, changed := h.now()
		if _, err := fmt.Fprintf(w, "data: %d\n\n", number); err != nil {
			return
		}
		if err := out.Flush(); err != nil {
			return
		}
		select {
		case <-changed:
		case <-r.Context().Done():
			return
		}
	}
}
