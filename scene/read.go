package scene

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// The limits of a scene.
const (
	MaxSideM        = 20.0   // longest side of a tank, longest rail, greatest height above the water
	MinSideM        = 0.01   // shortest side of a tank and shortest rail
	MaxModules      = 500    // modules of all rails together
	MaxDies         = 20_000 // dies of all modules together
	MaxRails        = 50
	MaxKeepOuts     = 100 // of one rail
	MaxObstacles    = 200
	MaxModulesGroup = 400 // modules of one group
)

// reader walks one scene file.
type reader struct {
	scene   *Scene
	open    Opener
	report  *document.Report
	modules int                   // counted over all rails
	hours   document.Node         // wiring.hours, which a goal may need
	wires   document.Node         // wiring
	files   map[string]*lm63.File // measured distributions by name, nil where there is a fault
}

// Parse reads a scene from data. file is its name for messages, and open reads the files that the scene names; with a
// nil open it may name none. The error is a *document.Error with every fault, of the scene and of those files.
func Parse(file string, data []byte, open Opener) (*Scene, error) {
	if open == nil {
		open = func(string) ([]byte, error) { return nil, errors.New("files beside the scene cannot be read here") }
	}
	report := &document.Report{}
	root, ok := document.Read(file, data, report)
	if !ok {
		return nil, report.Err()
	}
	kept := &keeper{open: open}
	r := &reader{scene: &Scene{File: file, Catalogue: parts.Builtin(), open: kept.read, source: bytes.Clone(data), kept: kept}, open: kept.read, report: report, files: map[string]*lm63.File{}}
	r.read(root)
	if err := report.Err(); err != nil {
		return nil, err
	}
	r.warnWiring()
	r.scene.Warnings = report.InOrder(report.Warnings)
	return r.scene, nil
}

// read fills the scene from the root of its file. Parts come first, for the rest names them; rails stand over the tank.
func (r *reader) read(root document.Node) {
	f := root.Fields("title", "tank", "rails", "wiring", "ambient", "goal", "parts", "flux_factor", "tolerance")
	r.parts(f.Get("parts"))
	r.scene.Title = f.Get("title").Text()
	if r.scene.Title == "" {
		base := filepath.Base(r.scene.File)
		r.scene.Title = document.Visible(strings.TrimSuffix(base, filepath.Ext(base)))
	}
	r.tank(f.WithHint("the tank with length, width, height and water").Require("tank"))
	r.rails(f.WithHint("a list of at least one rail").Require("rails"))
	r.unusedOptics()
	r.wiring(f.Get("wiring"))
	r.scene.Ambient.AirC = 24
	if ambient := f.Get("ambient"); ambient.Exists() {
		r.ambient(ambient)
	}
	r.goal(f.Get("goal"), root)
	r.fluxFactor(f.Get("flux_factor"))
	r.tolerance(f.Get("tolerance"))
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

// quantity reads an optional quantity and returns otherwise where it is not given.
func quantity(n document.Node, d *unit.Dimension, within document.Range, otherwise float64) float64 {
	if !n.Exists() {
		return otherwise
	}
	return n.Quantity(d, within)
}
