package scene

import (
	"bytes"
	_ "embed"
	"errors"
	"path/filepath"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
)

// The limits of a scene; see package key.
var (
	MinSideM, MaxSideM = key.Tank.Ends("length")     // of a tank and of a rail; the greatest height above the water
	MaxModules         = most(key.Wiring, "strings") // of all rails together; each string has one at least
	MaxRails           = most(key.Scene, "rails")
	MaxKeepOuts        = most(key.Rail, "keep_out") // of one rail
	MaxObstacles       = most(key.Tank, "obstacles")
	MaxModulesGroup    = most(key.Group, "count")
)

// MaxDies is how many dies the modules of all rails together may have.
const MaxDies = 20000

func most(t *key.Table, name string) int {
	_, high := t.Ends(name)
	return int(high)
}

var errNoFiles = errors.New("files beside the scene cannot be read here")

// reader walks one scene file.
type reader struct {
	scene   *Scene
	open    Opener
	report  *document.Report
	modules int                   // counted over all rails
	hours   document.Node         // wiring.hours, which a goal may need
	files   map[string]*lm63.File // measured distributions by name, nil where there is a fault
}

// Parse reads a scene from data. file is its name for messages, and open reads the files that the scene names; with a
// nil open it may name none. The error is a *document.Error with every fault, of the scene and of those files.
func Parse(file string, data []byte, open Opener) (*Scene, error) {
	if open == nil {
		open = func(string) ([]byte, error) { return nil, errNoFiles }
	}
	report := &document.Report{}
	root, ok := document.Read(file, data, report)
	if !ok {
		return nil, report.Err()
	}
	kept := &keeper{open: open}
	r := &reader{open: kept.read, report: report, files: map[string]*lm63.File{}}
	r.scene = &Scene{File: file, Catalogue: parts.Builtin(), source: bytes.Clone(data), kept: kept}
	r.read(root)
	if err := report.Err(); err != nil {
		return nil, err
	}
	r.scene.Warnings = report.Sorted()
	return r.scene, nil
}

// read fills the scene from the root of its file. Parts come first, for the rest names them; rails stand over the tank.
func (r *reader) read(root document.Node) {
	f := key.Scene.Of(root)
	r.parts(f.Get("parts"))
	base := filepath.Base(r.scene.File)
	r.scene.Title, r.scene.FluxFactor = document.Visible(strings.TrimSuffix(base, filepath.Ext(base))), 1
	f.Fill(r.scene)
	r.tank(f.Open("tank"))
	r.rails(f)
	r.unusedOptics()
	r.wiring(f.Open("wiring"))
	r.ambient(f.Open("ambient"))
	r.goal(f.Open("goal"), root)
	r.scene.SetFluxFactor(r.scene.FluxFactor)
	tolerance := f.Open("tolerance")
	r.scene.Tolerance = UsualTolerance()
	r.scene.Tolerance.Given = tolerance.At().Exists()
	tolerance.Fill(&r.scene.Tolerance)
}

// parts reads the scene's own parts, from the scene itself or from the file that it names.
func (r *reader) parts(n document.Node) {
	switch root, ok := r.partsRoot(n); {
	case ok:
		parts.Read(root, r.open, r.report, r.scene.Catalogue)
	case n.Exists():
		r.scene.Catalogue.Incomplete = true
	}
}

// partsRoot returns the table of the scene's own parts; ok is false where there is none, or none that can be read.
func (r *reader) partsRoot(n document.Node) (root document.Node, ok bool) {
	if !n.IsScalar() {
		return n, n.Exists()
	}
	name := n.Text()
	if name == "" {
		return n, false
	}
	data, err := r.open(name)
	if err == nil {
		err = parts.CheckTable(data)
	}
	if err != nil {
		n.Faultf("%s: %v", name, err)
		return n, false
	}
	return document.Read(filepath.Join(filepath.Dir(r.scene.File), filepath.FromSlash(name)), data, r.report)
}

//go:embed starter.yaml
var starter string

// Starter returns the commented scene that a new plan begins with. It is sound and uses built-in parts only.
func Starter() string { return starter }
