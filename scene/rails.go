package scene

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

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
	var places []document.Node // of the modules
	groups := []document.Node{f.Need("modules")}
	if !groups[0].IsMapping() {
		groups = f.Items("modules")
	}
	for _, group := range groups {
		modules := r.group(group, rail)
		r.modules += max(len(modules), 1) // a faulty group counts too, so that a long list of them ends here
		if r.modules > MaxModules {
			break // rails complains; more would only cost time
		}
		rail.Modules = append(rail.Modules, modules...)
		places = append(places, slices.Repeat([]document.Node{group}, len(modules))...)
	}
	if wrong, err := r.scene.CheckAbove(&rail); err != nil && rail.AboveWaterM > 0 {
		f.Get(wrong).Faultf("%v", err)
	}
	warnRail(f.At(), t, rail)
	warnModules(places, t, rail)
	return rail
}

// group reads one group of equal modules, or a single one.
func (r *reader) group(n document.Node, rail Rail) []Module {
	f, c := key.Group.Of(n), r.scene.Catalogue
	m := Module{CurrentA: f.Value("current", 0)}
	var okPart, okOptic bool
	if m.Part, okPart = named(r, f, "part", c.Modules, m.Part); okPart {
		checkCurrent(f.Get("current"), m)
	}
	m.Optic, okOptic = named(r, f, "optic", c.Optics, m.Optic)
	r.measured(f.Get("optic"), &m.Optic)
	if limit := 170 * math.Pi / 180; okOptic && max(m.Optic.BeamRad, m.Optic.BeamAcrossRad) > limit {
		f.Get("optic").Warn(finding.BeamTooWide.Of(finding.Text(m.Optic.Name)))
	}
	if f.Has("x") {
		m.XM = f.Value("x", 0)
		return []Module{m}
	}
	f.Demand("count")
	count := int(f.Value("count", 0))
	if count > 1 {
		f.Demand("spacing")
	}
	modules := slices.Repeat([]Module{m}, max(count, 0))
	for i, xM := range Spaced(count, f.Value("centre", rail.LeftM+rail.LengthM/2), f.Value("spacing", 0)) {
		modules[i].XM = xM
	}
	return modules
}

// Spaced returns n places at equal distances about a middle.
func Spaced(n int, middle, step float64) []float64 {
	places := make([]float64, n)
	for i := range places {
		places[i] = middle + (float64(i)-float64(n-1)/2)*step
	}
	return places
}

// checkCurrent holds the current of a module against the part's tables.
func checkCurrent(n document.Node, m Module) {
	if m.CurrentA == 0 || m.Part.ParallelPaths < 1 {
		return
	}
	if err := m.Part.CheckCurrent(m.CurrentA); err != nil {
		n.Faultf("%v", err)
	} else if m.CurrentA > m.Part.HighestA && m.Part.HighestA > 0 {
		n.Warn(finding.CurrentAboveHighest.Of(finding.Amount{Of: unit.Current, Value: m.CurrentA},
			finding.Text(m.Part.Name), finding.Amount{Of: unit.Current, Value: m.Part.HighestA}))
	}
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
	for optic, n := range r.scene.Catalogue.OpticFiles() {
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
