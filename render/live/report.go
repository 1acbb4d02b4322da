package live

import (
	"context"
	"fmt"
	"net/http"
	"sync"

	"fathomlux/scene"
)

// written is the report that was written last. The lock is held while one is written, so that a page that is opened twice
// waits for the first.
type written struct {
	lock    sync.Mutex
	version int
	html    []byte
}

// reportPolicy lets a report, which is one file, show itself and run what it holds, far from this page.
const reportPolicy = "sandbox allow-scripts; default-src 'none'; img-src data:; font-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"

// report serves the report of the newest version of the scene.
func (h *Handler) report(w http.ResponseWriter, r *http.Request) {
	number, _ := h.now()
	sc, ok := h.at(number)
	if h.config.Report == nil || !ok {
		http.NotFound(w, r)
		return
	}
	html, err := h.reportOf(r.Context(), number, sc)
	if err != nil {
		http.Error(w, fmt.Sprintf("there is no report of this scene: %v", err), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	w.Header().Set("Content-Type", contentTypes[".html"])
	_, _ = w.Write(html)
}

// reportOf writes the report of a version once.
func (h *Handler) reportOf(ctx context.Context, number int, sc *scene.Scene) ([]byte, error) {
	h.written.lock.Lock()
	defer h.written.lock.Unlock()
	if h.written.version == number {
		return h.written.html, nil
	}
	html, err := h.config.Report(ctx, sc)
	if err != nil {
		return nil, err
	}
	h.written.version, h.written.html = number, html
	return html, nil
}
