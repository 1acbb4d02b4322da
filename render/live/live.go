// Package live is the page for trying things by hand: a scene with sliders, drawn anew while they move. It serves the
// page, hands each setting that the page sends to the function that computes, and returns the numbers, which the page
// paints. It computes no light, opens no port and writes no file: package main hands it what does. Whoever has the
// token in the address may use it, from this machine alone. On the wire lengths are mm, angles degrees and currents mA.
// Next: package optics for Session, which computes; package style for the colours and scales that pictures share.
package live

import (
	"context"
	"crypto/subtle"
	"embed"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"fathomlux/optics/result"
	"fathomlux/scene"
)

//go:embed page
var page embed.FS

// Glance computes one setting of a scene.
type Glance func(context.Context, *scene.Scene) (*result.Glance, error)

// Draft is a scene that is to be saved.
type Draft struct {
	Name      string // as the page's user wrote it
	Overwrite bool
	Scene     *scene.Scene
	Text      []byte
}

// Config is what a page is served with.
type Config struct {
	Token string   // the first part of every path, without slashes
	Hosts []string // values of the Host header that serve, such as 127.0.0.1:8080
	Name  string   // a name for a new scene file
	// Open readies the computing of one version of the scene and of settings of it.
	Open func(*scene.Scene) (Glance, error)
	// Check says what is odd in a setting and what can hurt.
	Check func(*scene.Scene) (Findings, error)
	Save  func(Draft) (saved string, err error)
	// Report writes the report of a scene as HTML; it may take seconds. Nil where there are none.
	Report func(context.Context, *scene.Scene) ([]byte, error)
}

// Findings are what check says of a scene, in words.
type Findings struct {
	Warnings []string `json:"warnings"`
	Cautions []string `json:"cautions"`
}

// keptOpen is how many versions of a scene are kept ready to compute; an older one that a page still uses is opened
// anew.
const keptOpen = 8

// Handler serves the page. It is safe for several goroutines.
type Handler struct {
	config  Config
	serve   http.Handler
	lock    sync.Mutex
	all     []*scene.Scene // every version of the scene, from number 1: a page may have unsaved work on any
	open    map[int]Glance
	recent  []int         // of open, the one used last at the end
	changed chan struct{} // closed when there is a new version
	written written
}

// New returns a handler that has no scene to show yet.
func New(c Config) *Handler {
	h := &Handler{config: c, open: map[int]Glance{}, changed: make(chan struct{})}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{token}/{$}", h.file("index.html"))
	mux.HandleFunc("GET /{token}/page/{name}", func(w http.ResponseWriter, r *http.Request) {
		h.file(r.PathValue("name"))(w, r)
	})
	mux.HandleFunc("GET /{token}/scene", h.outline)
	mux.HandleFunc("GET /{token}/versions", h.versions)
	mux.HandleFunc("GET /{token}/report", h.report)
	mux.HandleFunc("POST /{token}/light", h.light)
	mux.HandleFunc("POST /{token}/check", h.check)
	mux.HandleFunc("POST /{token}/save", h.save)
	h.serve = h.guarded(http.NewCrossOriginProtection().Handler(mux))
	return h
}

// Show makes a scene the newest version; open pages are told. A scene that cannot be computed is not shown.
func (h *Handler) Show(sc *scene.Scene) error {
	glance, err := h.config.Open(sc)
	if err != nil {
		return err
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	h.all = append(h.all, sc)
	h.keepOpen(len(h.all), glance)
	close(h.changed)
	h.changed = make(chan struct{})
	return nil
}

// keepOpen notes that a version is used, and lets the one go that was used longest ago.
func (h *Handler) keepOpen(number int, glance Glance) {
	h.open[number] = glance
	h.recent = append(slices.DeleteFunc(h.recent, func(n int) bool { return n == number }), number)
	if len(h.recent) > keptOpen {
		delete(h.open, h.recent[0])
		h.recent = h.recent[1:]
	}
}

// at returns a version; ok is false where there is none of that number.
func (h *Handler) at(number int) (sc *scene.Scene, ok bool) {
	h.lock.Lock()
	defer h.lock.Unlock()
	if number < 1 || number > len(h.all) {
		return nil, false
	}
	return h.all[number-1], true
}

// glance returns what computes a version.
func (h *Handler) glance(number int) (Glance, error) {
	sc, ok := h.at(number)
	if !ok {
		return nil, errUnknown
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	glance, ok := h.open[number]
	if !ok {
		var err error
		if glance, err = h.config.Open(sc); err != nil {
			return nil, err
		}
	}
	h.keepOpen(number, glance)
	return glance, nil
}

// now returns the number of the newest version and a channel that is closed when there is a newer one.
func (h *Handler) now() (number int, changed <-chan struct{}) {
	h.lock.Lock()
	defer h.lock.Unlock()
	return len(h.all), h.changed
}

// ServeHTTP answers one request.
func (h *Handler) ServeHTTP(w http.ResponseWriter, r *http.Request) { h.serve.ServeHTTP(w, r) }

// policy lets the page load what is served here and nothing else; page texts cannot become markup.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'"

// guarded lets through what was sent to this machine by its name, with the token, and from no other site.
func (h *Handler) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		head := w.Header()
		head.Set("Content-Security-Policy", policy)
		head.Set("X-Content-Type-Options", "nosniff")
		head.Set("Referrer-Policy", "same-origin")
		head.Set("Cross-Origin-Resource-Policy", "same-origin")
		head.Set("Cross-Origin-Opener-Policy", "same-origin")
		head.Set("Cache-Control", "no-store")
		if !slices.Contains(h.config.Hosts, r.Host) {
			http.Error(w, "this page is served under its own address only", http.StatusMisdirectedRequest)
			return
		}
		if origin := r.Header.Get("Origin"); origin != "" && origin != "http://"+r.Host {
			http.Error(w, "another site may not use this page", http.StatusForbidden)
			return
		}
		token, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
		if h.config.Token == "" || subtle.ConstantTimeCompare([]byte(token), []byte(h.config.Token)) != 1 {
			http.Error(w, "the address lacks its token; take the whole address that the program printed", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// contentTypes are the files that a page may have.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8",
	".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml",
}

// file serves one file of the page.
func (h *Handler) file(name string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		data, err := page.ReadFile("page/" + name)
		kind := contentTypes[path.Ext(name)]
		if err != nil || kind == "" {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(data)
	}
}

// versions tells a page, as long as it listens, the number of the newest version of the scene. It ends with the
// request, which ends with the server.
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

// written is the report that was written last. The lock is held while one is written, so that a page that is opened
// twice waits for the first.
type written struct {
	lock    sync.Mutex
	version int
	html    []byte
}

// reportPolicy lets a report, which is one file, show itself and run what it holds, far from this page.
const reportPolicy = "sandbox allow-scripts; default-src 'none'; img-src data:; font-src data:; " +
	"style-src 'unsafe-inline'; script-src 'unsafe-inline'"

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
