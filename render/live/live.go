// Package live is the page for trying things by hand: a scene with sliders, drawn anew while they move. It serves the
// page, hands each setting that the page sends to the function that computes, and returns the numbers, which the page
// paints. It computes no light, opens no port and writes no file: package main hands it what does. Whoever has the
// token in the address may use it, from this machine alone.
// Next: package optics for Session, which computes; package style for the colours and scales that pictures share.
package live

import (
	"cmp"
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

// Glance computes what a view shows of one setting of a scene.
type Glance func(context.Context, *scene.Scene, result.View) (*result.Glance, error)

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
	// Sheet draws one of the sheets of a scene by its name: as SVG, or as text where there is no picture. Nil where there
	// are none.
	Sheet func(ctx context.Context, sc *scene.Scene, name string) (data []byte, svg bool, err error)
	// Report writes the report of a scene as HTML; it may take seconds. Nil where there are none.
	Report func(context.Context, *scene.Scene) ([]byte, error)
}

// Findings are what check says of a scene, in words.
type Findings struct {
	Warnings []Found  `json:"warnings"`
	Cautions []string `json:"cautions"`
}

// Found is a warning with its place in the scene file, such as rails[0].modules, and its code.
type Found struct {
	Text  string `json:"text"`
	Path  string `json:"path"`
	Code  string `json:"code"`
	Grave bool   `json:"grave"` // it cannot be built so
}

// keptOpen is how many of the newest versions are kept ready to compute; an older one that a page still uses is opened
// anew.
const keptOpen = 8

// Handler serves the page. It is safe for several goroutines.
type Handler struct {
	http.Handler
	config  Config
	lock    sync.Mutex
	all     []*version    // from number 1: a page may have unsaved work on any
	disk    int           // the number of the one that the scene file holds
	changed chan struct{} // closed when there is a new version
	writing sync.Mutex    // held while a report is written, so that a page that is opened twice waits for the first
}

type version struct {
	number int
	scene  *scene.Scene
	glance Glance // nil where it is not kept ready
	report []byte // nil until it is written
}

// New returns a handler that has no scene to show yet.
func New(c Config) *Handler {
	h := &Handler{config: c, changed: make(chan struct{})}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{token}/{$}", file)
	mux.HandleFunc("GET /{token}/page/{name}", file)
	mux.HandleFunc("GET /{token}/scene", h.outline)
	mux.HandleFunc("GET /{token}/versions", h.versions)
	mux.HandleFunc("GET /{token}/report", h.report)
	mux.HandleFunc("GET /{token}/sheet/{name}", h.sheet)
	mux.HandleFunc("POST /{token}/light", h.light)
	mux.HandleFunc("POST /{token}/edit", answering(h.edit))
	mux.HandleFunc("POST /{token}/check", answering(h.check))
	mux.HandleFunc("POST /{token}/save", answering(h.save))
	h.Handler = h.guarded(http.NewCrossOriginProtection().Handler(mux))
	return h
}

// Show tells that a scene is what its file holds now; open pages are told. A scene that cannot be computed is not shown.
func (h *Handler) Show(sc *scene.Scene) error {
	v, err := h.add(sc)
	if err != nil {
		return err
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	h.disk = v.number
	close(h.changed)
	h.changed = make(chan struct{})
	return nil
}

// add makes a version of a scene.
func (h *Handler) add(sc *scene.Scene) (*version, error) {
	glance, err := h.config.Open(sc)
	if err != nil {
		return nil, err
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	v := &version{number: len(h.all) + 1, scene: sc, glance: glance}
	h.all = append(h.all, v)
	if old := len(h.all) - keptOpen; old > 0 {
		h.all[old-1].glance = nil
	}
	return v, nil
}

// version returns the version of a number, or what the file holds; nil where there is none.
func (h *Handler) version(number int) *version {
	h.lock.Lock()
	defer h.lock.Unlock()
	if number == newest {
		number = h.disk
	}
	if number < 1 || number > len(h.all) {
		return nil
	}
	return h.all[number-1]
}

const newest = -1

// glance returns what computes a version.
func (h *Handler) glance(v *version) (glance Glance, err error) {
	h.lock.Lock()
	defer h.lock.Unlock()
	if v.glance == nil {
		v.glance, err = h.config.Open(v.scene)
	}
	return v.glance, err
}

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
			http.Error(w, "other sites may not use this page", http.StatusForbidden)
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

func file(w http.ResponseWriter, r *http.Request) {
	name := cmp.Or(r.PathValue("name"), "index.html")
	kind := contentTypes[path.Ext(name)]
	if kind == "" {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	http.ServeFileFS(w, r, page, "page/"+name)
}

// versions tells a page, as long as it listens, the number of the newest version of the scene. It ends with the
// request, which ends with the server.
func (h *Handler) versions(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	for {
		h.lock.Lock()
		number, changed := h.disk, h.changed
		h.lock.Unlock()
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

// reportPolicy lets a report, which is one file, show itself and run what it holds, far from this page.
const reportPolicy = "sandbox allow-scripts; default-src 'none'; img-src data:; font-src data:; " +
	"style-src 'unsafe-inline'; script-src 'unsafe-inline'"

// report serves the report of the newest version of the scene, which is written once.
func (h *Handler) report(w http.ResponseWriter, r *http.Request) {
	v := h.version(newest)
	if h.config.Report == nil || v == nil {
		http.NotFound(w, r)
		return
	}
	h.writing.Lock()
	defer h.writing.Unlock()
	if v.report == nil {
		var err error
		if v.report, err = h.config.Report(r.Context(), v.scene); err != nil {
			http.Error(w, fmt.Sprintf("there is no report of this scene: %v", err), http.StatusInternalServerError)
			return
		}
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	w.Header().Set("Content-Type", contentTypes[".html"])
	_, _ = w.Write(v.report)
}
