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
	"encoding/json"
	"fmt"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"fathomlux/optics/result"
	"fathomlux/render/output"
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

// Preview is a scene that a job proposes, with what tells it from others.
type Preview struct {
	Name, Words string      // what it is the best of, and a sentence
	Figures     [][2]string // names and values with their units
	Met         bool        // the goal
	Text        []byte      // of its scene file
}

// Job changes a scene for its goal, within the limits that a page's user wrote, and tells how far it is. Notes are
// sentences about all previews.
type Job func(ctx context.Context, sc *scene.Scene, limits map[string]string, tell func(done, total int)) (
	list []Preview, notes []string, err error)

// Files are the scene files of one folder. Names have no folder; the faults that it returns are for people.
type Files interface {
	// Parse reads text in place of the file of that name, which need not be there. unlit tells that the scene has no
	// rails. Where the scene is nil, marks hold its faults, else what is odd in it.
	Parse(name string, text []byte) (sc *scene.Scene, unlit bool, marks []Mark)
	// Text returns what a file holds.
	Text(name string) ([]byte, error)
	// Watch tells the handler of all later changes of a file and of those that it names.
	Watch(name string)
	// List returns the names of the folder's scene files.
	List() (folder string, names []string)
	// Free returns a name of no file yet, like the one given.
	Free(name string) string
	// Create writes a scene with an empty tank, or with a rail to begin with, and returns the name of its file. Where
	// it cannot, and marks say why, the places of the marks are those of the form's fields.
	Create(t Tank) (name string, marks []Mark, err error)
	// Keep writes the unsaved text of a file to a hidden one beside it, or removes that where there is no text.
	Keep(name string, text []byte) error
	// Kept returns what Keep wrote, and when; no text where there is none.
	Kept(name string) (text []byte, at string)
}

// Mark is something to say about a place in a text; line 0 is none in particular.
type Mark struct {
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Path   string `json:"path"`
	Kind   string `json:"kind"` // fault or warning
	Text   string `json:"text"`
}

// Tank is what the form of a new tank holds, as it was typed or chosen: lengths with their units, names of Choices.
type Tank struct {
	Title   string `json:"title"`
	Length  string `json:"length"`
	Width   string `json:"width"`
	Outline string `json:"outline"` // or empty for a rectangle
	Measure string `json:"measure"` // the one length that the outline asks for
	Height  string `json:"height"`
	Depth   string `json:"depth"`
	Lid     string `json:"lid"`
	Back    string `json:"back"`
	Sides   string `json:"sides"`
	Floor   string `json:"floor"`
	Goal    string `json:"goal"` // or empty, and then the next four say it
	Amount  string `json:"amount"`
	Plane   string `json:"plane"`
	Even    string `json:"even"`
	Photon  bool   `json:"photon"` // Amount counts PPFD
	Rail    bool   `json:"rail"`   // with a rail to begin with
	// Example asks for the starter as it is; nothing else counts then.
	Example bool `json:"example"`
}

// Choice is one that a form offers.
type Choice struct {
	Name    string `json:"name"`
	Says    string `json:"says"`
	Measure string `json:"measure,omitempty"` // what the one length is that the choice asks for
	UsualMM int    `json:"usual_mm,omitempty"`
}

// Config is what a page is served with.
type Config struct {
	Token string   // the first part of every path, without slashes
	Hosts []string // values of the Host header that serve, such as 127.0.0.1:8080
	First string   // the file that the page begins with; empty for the first screen
	Files Files    // nil where there are none but the scenes that are shown
	// Choices are what the form of a new tank offers, by the key of Tank.
	Choices map[string][]Choice
	Jobs    map[string]Job
	// Open readies the computing of one version of the scene and of settings of it.
	Open func(*scene.Scene) (Glance, error)
	// Check says what is odd in a setting and what can hurt.
	Check func(*scene.Scene) (Findings, error)
	Save  func(Draft) (saved string, err error)
	// Sheet draws what is wanted. Nil where there are none.
	Sheet func(context.Context, Wanted) (output.File, error)
	// Eyes are the places from which the lit tank can be looked at, the usual one first.
	Eyes []Choice
	// Seen computes what is seen from one of Eyes. Nil where there are none.
	Seen func(context.Context, Looked) (Seen, error)
	// Report writes the report of a scene as HTML and tells how far it is. Nil where there are none.
	Report func(ctx context.Context, sc *scene.Scene, tell func(done, total int)) ([]byte, error)
}

// Wanted is a sheet, or a picture, of what is on a screen.
type Wanted struct {
	Name     string
	From     string         // the eye, where the name is view
	Scenes   []*scene.Scene // at least one; more of them to compare
	Names    []string       // of the scenes
	Glance   *result.Glance // what is shown of the first scene, where the name is plan or slice
	Quantity result.Quantity
	Format   string // svg, png, pdf, csv or txt; empty for what is to stand on a page: SVG, or text where there is no picture
	Rail     string // the one to drill; empty for the first
	Paper    string // of a drilling template
}

// Looked is how a scene is looked at.
type Looked struct {
	Scene   *scene.Scene
	From    string  // one of the eyes
	WhiteCd float64 // luminance that is shown as white, cd/m2; 0 for one that suits
	Rough   bool    // a small picture that is there soon
}

// Seen is a picture of the lit tank.
type Seen struct {
	PNG     []byte
	WhiteCd float64
	Words   string   // what it shows, for those who cannot see it
	Notes   []string // from where, and how
}

// Findings are what check says of a scene, in words.
type Findings struct {
	Warnings []Found  `json:"warnings"`
	Cautions []string `json:"cautions"`
	Beside   []Found  `json:"beside"`   // those of the cautions that one control causes
	Prices   []Price  `json:"prices"`   // of all parts, by currency
	Unpriced int      `json:"unpriced"` // lines of the bill whose price is not known
}

// Price is what parts cost, in one currency.
type Price struct {
	Amount float64 `json:"amount"`
	Text   string  `json:"text"`
}

// Found is a warning with its place in the scene file, such as rails[0].modules, and its code.
type Found struct {
	Text  string `json:"text"`
	Path  string `json:"path"`
	Code  string `json:"code"`
	Grave bool   `json:"grave"` // it cannot be built so
}

// Handler serves the page. It is safe for several goroutines.
type Handler struct {
	http.Handler
	config  Config
	lock    sync.Mutex
	shelf   shelf
	disk    map[string]int64 // what each file holds
	changed chan struct{}    // closed when a file holds another version
	saving  sync.Mutex       // held while a scene file is written
	writing sync.Mutex       // held while a report is written, so that a page that is opened twice waits for the first
	written []written        // the last reports
}

// New returns a handler that has no scene to show yet.
func New(c Config) *Handler {
	h := &Handler{config: c, shelf: shelf{all: map[int64]*version{}}, disk: map[string]int64{}, changed: make(chan struct{})}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{token}/{$}", h.page)
	mux.HandleFunc("GET /{token}/start", h.page)
	mux.HandleFunc("GET /{token}/wait", h.page)
	mux.HandleFunc("GET /{token}/page/{name}", file)
	mux.HandleFunc("GET /{token}/scene", h.outline)
	mux.HandleFunc("GET /{token}/versions", h.versions)
	mux.HandleFunc("GET /{token}/report", h.report)
	mux.HandleFunc("GET /{token}/sheet/{name}", h.sheet)
	mux.HandleFunc("POST /{token}/light", h.light)
	mux.HandleFunc("POST /{token}/seen", h.seen)
	mux.HandleFunc("POST /{token}/edit", answering(h.edit))
	mux.HandleFunc("POST /{token}/check", answering(h.check))
	mux.HandleFunc("POST /{token}/save", answering(h.save))
	if c.Files != nil {
		mux.HandleFunc("GET /{token}/files", h.files)
		mux.HandleFunc("POST /{token}/new", answering(h.create))
		mux.HandleFunc("POST /{token}/text", answering(h.text))
		mux.HandleFunc("POST /{token}/keep", answering(h.keep))
		mux.HandleFunc("POST /{token}/job/{name}", h.job)
		mux.HandleFunc("POST /{token}/job/report", h.writeReport)
	}
	h.Handler = h.guarded(http.NewCrossOriginProtection().Handler(mux))
	return h
}

// Show tells that a scene is what its file holds now; open pages are told. A scene that cannot be computed is not
// shown.
func (h *Handler) Show(sc *scene.Scene) error {
	v, err := h.add(sc)
	if err != nil {
		return err
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	h.disk[filepath.Base(sc.File)] = v.number
	close(h.changed)
	h.changed = make(chan struct{})
	return nil
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

// contentTypes are the files that a page may have, or asks for.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8",
	".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png", ".pdf": "application/pdf",
	".txt": "text/plain; charset=utf-8", ".csv": "text/csv; charset=utf-8",
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

// page serves the first screen, the page of a file, or that on which a report is waited for.
func (h *Handler) page(w http.ResponseWriter, r *http.Request) {
	name := "index.html"
	if strings.HasSuffix(r.URL.Path, "/wait") {
		name = "wait.html"
	} else if cmp.Or(r.FormValue("file"), h.config.First) == "" || strings.HasSuffix(r.URL.Path, "/start") {
		name = "start.html"
	}
	r.SetPathValue("name", name)
	file(w, r)
}

// versions tells a page, as long as it listens, the number of the version that each file holds. It ends with the
// request, which ends with the server.
func (h *Handler) versions(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	for {
		h.lock.Lock()
		text, err := json.Marshal(h.disk)
		changed := h.changed
		h.lock.Unlock()
		if err == nil {
			_, err = fmt.Fprintf(w, "data: %s\n\n", text)
		}
		if err != nil || out.Flush() != nil {
			return
		}
		select {
		case <-changed:
		case <-r.Context().Done():
			return
		}
	}
}
