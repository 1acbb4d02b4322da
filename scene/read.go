package scene

import (
	"bytes"
	"cmp"
	_ "embed"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// The limits of a scene; see package key.
var (
	MinSideM, MaxSideM = key.Tank.Ends("length")     // of a tank and of a rail; the greatest height above the water
	MaxModules         = most(key.Wiring, "strings") // of all rails together; each string has one at least
	MaxRails           = most(key.Scene, "rails")
	MaxKeepOuts        = most(key.Rail, "keep_out") // of one rail
	MaxObstacles       = most(key.Tank, "obstacles")
	MaxThings          = most(key.Tank, "things")
	MaxModulesGroup    = most(key.Group, "count")
)

// MaxDies is how many dies the modules of all rails together may have.
const MaxDies = 20000

func most(t *key.Table, name string) int {
	_, high := t.Ends(name)
	return int(high)
}

var errNoFiles = errors.New("files beside the scene cannot be read here")

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
	r.scene.Maintenance = Maintenance{Lamp: 1, Lid: 1}
	f.Fill(r.scene)
	tank := f.Open("tank")
	r.tank(tank)
	told := r.report.Told()
	r.rails(f)
	r.aroundRails(tank)
	sound := told == r.report.Told()
	r.unusedOptics()
	r.ambient(f.Open("ambient"))
	r.wiring(f.Open("wiring"), sound)
	r.day(f)
	r.goal(f, root)
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

// wiring reads how the modules are fed; sound tells whether all rails were read.
func (r *reader) wiring(f key.Fields, sound bool) {
	r.hours = f.Get("hours")
	w := &r.scene.Wiring
	if f.At().Exists() {
		w.At = f.At().Place()
	}
	w.Driver, _ = named(r, f, "driver", r.scene.Catalogue.Drivers, parts.Driver{})
	f.Fill(w)
	r.supplies(f, sound)
	r.channels(f, sound)
}

// named returns the part that a key names, or otherwise where the key is not given; ok is false where there is none.
func named[T parts.Kind](r *reader, f key.Fields, name string, of map[string]T, otherwise T) (part T, ok bool) {
	n := f.Need(name)
	if !n.Exists() {
		return otherwise, false
	}
	return parts.LookUp(r.scene.Catalogue, of, n)
}

func (r *reader) ambient(f key.Fields) {
	a := &r.scene.Ambient
	a.AirC = 24
	f.Fill(a)
	if a.Hood != nil {
		a.Hood.At = f.Get("hood").Place()
		r.checkHood(f.Open("hood"))
	}
}

func (r *reader) rails(f key.Fields) {
	n := f.Get("rails")
	lines := map[string]int{} // of the rails by name
	for i, one := range f.Rows("rails") {
		rail, name := r.rail(one, i), one.Get("name")
		if line, taken := lines[rail.Name]; taken && rail.Name != "" {
			name.Faultf("%q is the name of the rail on line %d already; give each rail its own", rail.Name, line)
		}
		lines[rail.Name] = name.Place().Line
		for _, other := range r.scene.Rails {
			if inOneSpace(rail, other) {
				one.At().Warn(barsOverlap(other, rail))
			}
		}
		r.scene.Rails = append(r.scene.Rails, rail)
	}
	if r.modules > MaxModules {
		n.Faultf("%d modules or more on all rails together are too many; at most %d are allowed; lower the count", r.modules,
			MaxModules)
	}
	if err := r.scene.CheckDies(); err != nil {
		n.Faultf("%v", err)
	}
}

func (r *reader) rail(f key.Fields, i int) Rail {
	t, c := r.scene.Tank, r.scene.Catalogue
	rail := Rail{Name: fmt.Sprintf("rail %d", i+1), YM: t.WidthM / 2}
	rail.Profile, _ = named(r, f, "profile", c.Profiles, c.Profiles["bar-40x20"])
	f.Fill(&rail)
	if !f.Has("x") {
		rail.LeftM = (t.LengthM - rail.LengthM) / 2
	}
	for i, k := range rail.KeepOuts {
		one := key.KeepOut.Of(f.Item("keep_out", i))
		if one.Get("from").IsScalar() && one.Get("to").IsScalar() && k.FromM >= k.ToM {
			one.At().Faultf("from must be left of to: %s is not below %s", say(k.FromM), say(k.ToM))
		}
	}
	for i := 0; i < len(rail.HangersM) && rail.LengthM > 0; i++ {
		r.hanger(f.Item("hangers", i), rail, i)
	}
	var places []document.Node // of the modules
	var rows []turn
	groups := []document.Node{f.Need("modules")}
	if !groups[0].IsMapping() {
		groups = f.Items("modules")
	}
	for _, group := range groups {
		modules, row := r.group(group, rail)
		r.modules += max(len(modules), 1) // a faulty group counts too, so that a long list of them ends here
		if r.modules > MaxModules {
			break // rails complains; more would only cost time
		}
		if row.count > 0 {
			row.first = len(rail.Modules)
			rows = append(rows, row)
		}
		rail.Modules = append(rail.Modules, modules...)
		places = append(places, slices.Repeat([]document.Node{group}, len(modules))...)
	}
	alternate(rail.Modules, rows)
	if wrong, err := r.scene.CheckAbove(&rail); err != nil && rail.AboveWaterM > 0 {
		f.Get(wrong).Faultf("%v", err)
	}
	warnRail(f.At(), t, rail)
	warnModules(places, t, rail)
	if t.LengthM > 0 && t.WidthM > 0 && rail.beside(t) {
		f.At().Faultf("all its modules shine straight down beside the tank, more than %s from its inside; hang it over the "+
			"tank%s, or tilt it", say(rail.AboveWaterM), aboutShape(t))
	}
	return rail
}

// hangersApartM is the least distance of two hangers of a rail, which a part of the hardware takes. Assumed.
const hangersApartM = 0.01

// hanger complains about a hanger that is beyond the rail, or too near to the one before it.
func (r *reader) hanger(n document.Node, rail Rail, i int) {
	x := rail.HangersM[i]
	switch rightM := rail.LeftM + rail.LengthM; {
	case x < rail.LeftM-SlackM || x > rightM+SlackM:
		n.Faultf("the hanger at x = %s is beyond the rail, which runs from %s to %s", say(x), say(rail.LeftM), say(rightM))
	case i > 0 && x < rail.HangersM[i-1]+hangersApartM:
		n.Faultf("the hanger at x = %s is not %s or more to the right of the one before it", say(x), say(hangersApartM))
	}
}

// group reads one group of equal modules, or a single one, and how it takes turns with others, if it does.
func (r *reader) group(n document.Node, rail Rail) ([]Module, turn) {
	f, c := key.Group.Of(n), r.scene.Catalogue
	m := Module{CurrentA: f.Value("current", 0), TurnRad: f.Value("turn", 0)}
	var okPart, okOptic bool
	if m.Part, okPart = named(r, f, "part", c.Modules, m.Part); okPart && m.CurrentA != 0 && m.Part.ParallelPaths >= 1 {
		if err := m.Part.CheckCurrent(m.CurrentA); err != nil {
			f.Get("current").Faultf("%v", err)
		} else if m.CurrentA > m.Part.HighestA && m.Part.HighestA > 0 {
			f.Get("current").Warn(finding.CurrentAboveHighest.Of(finding.Amount{Of: unit.Current, Value: m.CurrentA},
				finding.Text(m.Part.Name), finding.Amount{Of: unit.Current, Value: m.Part.HighestA}))
		}
	}
	m.Optic, okOptic = named(r, f, "optic", c.Optics, m.Optic)
	r.measured(f.Get("optic"), &m.Optic)
	if limit := 170 * math.Pi / 180; okOptic && max(m.Optic.BeamRad, m.Optic.BeamAcrossRad) > limit {
		f.Get("optic").Warn(finding.BeamTooWide.Of(finding.Text(m.Optic.Name)))
	}
	if f.Has("x") {
		m.XM = f.Value("x", 0)
		return []Module{m}, turn{}
	}
	f.Demand("count")
	count := int(f.Value("count", 0))
	if count > 1 {
		f.Demand("spacing")
	}
	modules := slices.Repeat([]Module{m}, max(count, 0))
	row := turn{f: f, middleM: f.Value("centre", rail.LeftM+rail.LengthM/2), stepM: f.Value("spacing", 0)}
	for i, xM := range Spaced(count, row.middleM, row.stepM) {
		modules[i].XM = xM
	}
	if n := f.Get("alternate"); n.Exists() && n.OneOf("true", "false") == "true" {
		row.count = len(modules)
	}
	return modules, row
}

// turn is one counted entry of a rail that takes turns with others.
type turn struct {
	f              key.Fields
	first, count   int // of the rail's modules
	middleM, stepM float64
}

// alternate puts the modules of entries that take turns into one row, as far apart as their spacing has room for: from
// left to right always one of the entry that is behind by its share, of equals the first in the file. It complains
// about entries that do not go together.
func alternate(modules []Module, rows []turn) {
	total, step := 0, 0.0
	for _, t := range rows {
		if t.stepM > 0 && step > 0 && t.stepM != step {
			t.f.Get("spacing").Faultf("entries that alternate have one spacing; give it as in the first of them")
		}
		if t.middleM != rows[0].middleM {
			t.f.Get("centre").Faultf("entries that alternate have one centre; give it as in the first of them")
		}
		total, step = total+t.count, cmp.Or(step, t.stepM)
	}
	placed := make([]int, len(rows))
	behind := func(i int) float64 {
		if placed[i] == rows[i].count {
			return math.Inf(1)
		}
		return (float64(placed[i]) + 0.5) / float64(rows[i].count)
	}
	for at := range total {
		next := 0
		for i := range rows {
			if behind(i) < behind(next)-1e-12 {
				next = i
			}
		}
		x := rows[0].middleM + (float64(at)-float64(total-1)/2)*step/float64(len(rows))
		modules[rows[next].first+placed[next]].XM = x
		placed[next]++
	}
}

// Spaced returns n places at equal distances about a middle.
func Spaced(n int, middle, step float64) []float64 {
	places := make([]float64, n)
	for i := range places {
		places[i] = middle + (float64(i)-float64(n-1)/2)*step
	}
	return places
}

// measured reads the distribution that the optic named at n comes from, once a file, and gives the optic the beam and
// field angles that it has, here and in the library. Faults of the file stand at their places in it.
func (r *reader) measured(n document.Node, o *parts.Optic) {
	if o.File == "" {
		return
	}
	f, known := r.files[o.File]
	if !known {
		f = r.readMeasured(n, *o)
		r.files[o.File] = f
	}
	if f == nil {
		return
	}
	o.BeamRad, o.BeamAcrossRad = f.FullAngles(0.5)
	o.FieldRad, o.FieldAcrossRad = f.FullAngles(0.1)
	if o.BeamRad == 0 {
		n.Warn(finding.OpticDarkMiddle.Of(finding.Text(o.Name), finding.Text(o.File)))
	}
	r.scene.Catalogue.Optics[o.Name] = *o
}

// readMeasured reads a distribution, nil where there is a fault.
func (r *reader) readMeasured(n document.Node, o parts.Optic) *lm63.File {
	data, err := r.open(o.File)
	if err != nil {
		n.Faultf("the distribution of %s, %s: %v", o.Name, o.File, err)
		return nil
	}
	f, err := lm63.Read(filepath.Join(filepath.Dir(r.scene.File), filepath.FromSlash(o.File)), data)
	var faults *document.Error
	if errors.As(err, &faults) {
		for _, fault := range faults.Faults {
			r.report.AddFault(fault)
		}
		return nil
	}
	for _, w := range f.Warnings {
		r.report.AddWarning(w)
	}
	switch down := f.FluxWithin(math.Pi/2) / f.FluxWithin(math.Pi); {
	case !(down > leastDown):
		n.Faultf("the distribution of %s, %s, has light above its horizon only; a rail needs one that shines down", o.Name,
			o.File)
		return nil
	case down < oddDown:
		n.Warn(finding.OpticShinesUp.Of(finding.Percent(1-down), finding.Text(o.Name), finding.Text(o.File)))
	}
	return f
}

// unusedOptics warns of own optics that no rail uses and whose distribution cannot be read: they would fail later,
// where a command puts them in. It opens no file that a rail's optic has opened.
func (r *reader) unusedOptics() {
	for optic, n := range r.scene.Catalogue.OpticFiles {
		file := r.scene.Catalogue.Optics[optic].File
		if _, read := r.files[file]; read || file == "" {
			continue
		}
		data, err := r.open(file)
		if err == nil {
			_, err = lm63.Read(file, data)
		}
		var faults *document.Error
		if errors.As(err, &faults) {
			err = faults.Faults[0]
		}
		if err != nil {
			n.Warn(finding.OpticUnreadable.Of(finding.Text(optic), finding.Text(err.Error())))
		}
	}
}

// Shares of light that goes down: up to leastDown is rounding, less than oddDown is worth a word.
const (
	leastDown = 1e-9
	oddDown   = 0.99
)
