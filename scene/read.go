package scene

import (
	"bytes"
	_ "embed"
	"errors"
	"path/filepath"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
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
	if n := f.Get("parts"); n.Exists() {
		parts.Read(n, r.open, r.report, r.scene.Catalogue)
	}
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

//go:embed starter.yaml
var starter string

// Starter returns the commented scene that a new plan begins with. It is sound and uses built-in parts only.
func Starter() string { return starter }

func (r *reader) wiring(f key.Fields) {
	r.hours = f.Get("hours")
	w := &r.scene.Wiring
	if f.At().Exists() {
		w.At = f.At().Place()
	}
	w.Driver, _ = named(r, f, "driver", r.scene.Catalogue.Drivers, parts.Driver{})
	f.Fill(w)
}

// named returns the part that a key names, or otherwise where the key is not given; ok is false where there is none.
func named[T any](r *reader, f key.Fields, name string, of map[string]T, otherwise T) (part T, ok bool) {
	n := f.Need(name)
	if !n.Exists() {
		return otherwise, false
	}
	return parts.LookUp(r.scene.Catalogue, of, n)
}

// goal reads what the light has to reach. root is where a missing goal is noted.
func (r *reader) goal(f key.Fields, root document.Node) {
	g := &r.scene.Goal
	g.Plane = PlaneRef{Name: "floor", DepthM: r.scene.Tank.Water.DepthM}
	if !f.At().Exists() {
		root.Warn(finding.NoGoal.Of())
		return
	}
	f.Fill(g)
	if g.DLI > 0 && !r.hours.Exists() {
		f.Get("dli").Faultf("a daily light integral needs the hours of light; give wiring.hours such as 9 h")
	}
	if g.DLI > 0 && r.hours.IsScalar() && r.scene.Wiring.HoursPerDay == 0 {
		f.Get("dli").Warn(finding.NoHours.Of())
	}
	if !g.Set() {
		f.At().Warn(finding.EmptyGoal.Of())
	}
	n := f.Get("plane")
	if text := n.Text(); text != "" && r.scene.Tank.Water.DepthM > 0 {
		plane, err := r.scene.Tank.Plane(text)
		if err != nil {
			n.Faultf("%v", err)
			return
		}
		g.Plane = plane
	}
}

// ambient reads the air of the room and the hood over the rails.
func (r *reader) ambient(f key.Fields) {
	a := &r.scene.Ambient
	a.AirC = 24
	f.Fill(a)
	if a.Hood != nil {
		a.Hood.At = f.Get("hood").Place()
	}
}
