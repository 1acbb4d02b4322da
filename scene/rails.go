package scene

import (
	"fmt"
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
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
	places := r.railModules(f, &rail)
	if wrong, err := r.scene.CheckAbove(&rail); err != nil && rail.AboveWaterM > 0 {
		f.Get(wrong).Faultf("%v", err)
	}
	warnRail(f.At(), t, rail)
	warnModules(places, t, rail)
	return rail
}

// railModules appends the modules of a rail in the order of the file, and returns the place in the file of each.
func (r *reader) railModules(f key.Fields, rail *Rail) (places []document.Node) {
	groups := []document.Node{f.Need("modules")}
	if !groups[0].IsMapping() {
		groups = f.Items("modules")
	}
	for _, group := range groups {
		modules := r.group(group, *rail)
		r.modules += max(len(modules), 1) // a faulty group counts too, so that a long list of them ends here
		if r.modules > MaxModules {
			break // rails complains; more would only cost time
		}
		for range modules {
			places = append(places, group)
		}
		rail.Modules = append(rail.Modules, modules...)
	}
	return places
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
	var modules []Module
	for _, m.XM = range positions(f, rail) {
		modules = append(modules, m)
	}
	return modules
}

// positions returns where the modules of a group sit, as x in the tank's axes.
func positions(f key.Fields, rail Rail) []float64 {
	if f.Has("x") {
		return []float64{f.Value("x", 0)}
	}
	f.Demand("count")
	n := int(f.Value("count", 0))
	if n > 1 {
		f.Demand("spacing")
	}
	return Spaced(n, f.Value("centre", rail.LeftM+rail.LengthM/2), f.Value("spacing", 0))
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
