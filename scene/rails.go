package scene

import (
	"fmt"
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

func (r *reader) rails(n document.Node) {
	items := n.Items()
	switch {
	case n.IsSequence() && len(items) == 0:
		n.Faultf("the list is empty; at least one rail is needed")
	case len(items) > MaxRails:
		n.Faultf("%d rails are too many; at most %d serve", len(items), MaxRails)
		return
	}
	lines := map[string]int{} // of the rails by name
	for i, item := range items {
		rail, name := r.rail(item, i)
		if line, taken := lines[rail.Name]; taken && rail.Name != "" {
			name.Faultf("%q is the name of the rail on line %d already; give each rail its own", rail.Name, line)
		}
		lines[rail.Name] = name.Line()
		for _, other := range r.scene.Rails {
			if inOneSpace(rail, other) {
				item.Warnf("the bar lies in one space with that of rail %s; move one of them", other.Name)
			}
		}
		r.scene.Rails = append(r.scene.Rails, rail)
	}
	if r.modules > MaxModules {
		n.Faultf("%d modules or more on all rails together are too many; at most %d serve, by a lower count", r.modules, MaxModules)
	}
	if err := r.scene.checkDies(); err != nil {
		n.Faultf("%v", err)
	}
}

// rail reads one rail, and returns the place of its name too.
func (r *reader) rail(n document.Node, i int) (rail Rail, name document.Node) {
	f := n.Fields("name", "profile", "length", "x", "y", "above_water", "tilt", "modules", "keep_out")
	rail.Name, name = fmt.Sprintf("rail %d", i+1), f.Get("name")
	if name.Exists() {
		rail.Name = name.Text()
	}
	rail.Profile = r.scene.Catalogue.Profiles["bar-40x20"]
	if profile := f.Get("profile"); profile.Exists() {
		rail.Profile, _ = r.scene.Catalogue.Profile(profile)
	}
	t := r.scene.Tank
	rail.LengthM = f.WithHint("the rail's length such as 1100 mm").Require("length").Quantity(unit.Length, side)
	rail.LeftM = quantity(f.Get("x"), unit.Length, anywhere, (t.LengthM-rail.LengthM)/2)
	rail.YM = quantity(f.Get("y"), unit.Length, anywhere, t.WidthM/2)
	rail.TiltRad = quantity(f.Get("tilt"), unit.Angle, document.Range{Low: -steepest, High: steepest}, 0)
	above := f.WithHint("the height of the emitting face above the water such as 160 mm").Require("above_water")
	rail.AboveWaterM = above.Quantity(unit.Length, document.Range{Low: 0.001, High: MaxSideM})
	rail.KeepOuts = readKeepOuts(f.Get("keep_out"))
	places := r.railModules(f.WithHint("a group such as {part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}").
		Require("modules"), &rail)
	r.checkHeight(above, f.Get("tilt"), rail)
	warnRail(n, r.scene.Tank, rail)
	warnModules(places, r.scene.Tank, rail)
	return rail, name
}

// steepest is the largest tilt, 80 degrees and a rounding error.
const steepest = 80.000001 * math.Pi / 180

// checkHeight refuses a rail whose emitting face, or lowest die, is not above the water and the cover.
func (r *reader) checkHeight(above, tilt document.Node, rail Rail) {
	if rail.AboveWaterM <= 0 {
		return
	}
	below, topM := "the water", 0.0
	if c := r.scene.Tank.Cover; c != nil {
		below, topM = "the cover's top", c.AboveWaterM+c.ThicknessM
	}
	if rail.AboveWaterM <= topM {
		above.Faultf("%s is not above the cover, whose top is at %s", say(rail.AboveWaterM), say(topM))
		return
	}
	for _, m := range rail.Modules {
		reachM := float64(m.Part.DiesAcross-1) / 2 * m.Part.PitchAcrossM * math.Abs(math.Sin(rail.TiltRad))
		if m.Part.DiesAcross > 1 && rail.AboveWaterM-reachM <= topM {
			tilt.Faultf("the lowest dies of %s would stand at %s, not above %s; lift the rail or tilt it less",
				m.Part.Name, say(rail.AboveWaterM-reachM), below)
			return
		}
	}
}

func readKeepOuts(n document.Node) []KeepOut {
	var outs []KeepOut
	items := n.Items()
	if len(items) > MaxKeepOuts {
		n.Faultf("%d keep-outs are too many; at most %d serve", len(items), MaxKeepOuts)
		return nil
	}
	for _, item := range items {
		f := item.Fields("from", "to", "why").WithHint("an x in the tank's axes such as 560 mm")
		from, to := f.Require("from"), f.Require("to")
		k := KeepOut{FromM: from.Quantity(unit.Length, anywhere), ToM: to.Quantity(unit.Length, anywhere), Why: f.Get("why").Text()}
		if from.IsScalar() && to.IsScalar() && k.FromM >= k.ToM {
			item.Faultf("from must be left of to: %s is not below %s", say(k.FromM), say(k.ToM))
		}
		outs = append(outs, k)
	}
	return outs
}

// railModules appends the modules of a rail, groups spread out, in the order of the file. It returns the place in the
// file of each.
func (r *reader) railModules(n document.Node, rail *Rail) []document.Node {
	groups := []document.Node{n}
	if !n.IsMapping() {
		groups = n.Items()
		if n.IsSequence() && len(groups) == 0 {
			n.Faultf("the list is empty; a rail needs at least one module")
		}
	}
	var places []document.Node
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
	f := n.Fields("part", "optic", "x", "count", "spacing", "centre", "current")
	var m Module
	okPart, okOptic := false, false
	if part := f.WithHint("a module's name such as quad-neutral").Require("part"); part.Exists() {
		m.Part, okPart = r.scene.Catalogue.Module(part)
	}
	if optic := f.WithHint("an optic's name such as round-40").Require("optic"); optic.Exists() {
		m.Optic, okOptic = r.scene.Catalogue.Optic(optic)
		r.measured(optic, &m.Optic)
	}
	m.CurrentA = readCurrent(f.WithHint("the current through one module such as 350 mA").Require("current"), m, okPart)
	if limit := 170 * math.Pi / 180; okOptic && max(m.Optic.BeamRad, m.Optic.BeamAcrossRad) > limit {
		f.Get("optic").Warnf("the beam of %s is wider than 170 deg", m.Optic.Name)
	}
	places := positions(f, rail)
	modules := make([]Module, len(places))
	for i, x := range places {
		modules[i] = m
		modules[i].XM = x
	}
	return modules
}

// positions returns where the modules of a group sit, as x in the tank's axes.
func positions(f document.Fields, rail Rail) []float64 {
	x, count := f.Get("x"), f.Get("count")
	if x.Exists() {
		for _, key := range []string{"count", "spacing", "centre"} {
			if f.Get(key).Exists() {
				f.Get(key).Faultf("x places one module and %s spreads a group; give one or the other", key)
			}
		}
		return []float64{x.Quantity(unit.Length, anywhere)}
	}
	if !count.Exists() {
		f.WithHint("how many modules with their spacing, or x for a single one").Require("count")
		return nil
	}
	n := count.Integer(1, MaxModulesGroup)
	spacing := f.Get("spacing")
	if n > 1 {
		spacing = f.WithHint("the distance from middle to middle such as 180 mm").Require("spacing")
	}
	step := quantity(spacing, unit.Length, document.Range{Low: 0.001, High: MaxSideM}, 0)
	middle := quantity(f.Get("centre"), unit.Length, anywhere, rail.LeftM+rail.LengthM/2)
	places := make([]float64, n)
	for i := range places {
		places[i] = middle + (float64(i)-float64(n-1)/2)*step
	}
	return places
}

// readCurrent reads the current of a module and checks it against the part's tables.
func readCurrent(n document.Node, m Module, known bool) float64 {
	current := n.Quantity(unit.Current, document.UpTo(unit.Current, 1000))
	if current == 0 || !known || m.Part.ParallelPaths < 1 {
		return current
	}
	paths := float64(m.Part.ParallelPaths)
	low, high := m.Part.FluxLm.Domain()
	if lowV, highV := m.Part.ForwardV.Domain(); !m.Part.ForwardV.Empty() {
		low, high = max(low, lowV), min(high, highV)
	}
	one := current / paths
	switch {
	case !(one >= low && one <= high):
		n.Faultf("%s is outside the table of %s, which runs from %s to %s", unit.Current.Say(current), m.Part.Name,
			unit.Current.Say(low*paths), unit.Current.Say(high*paths))
	case current > m.Part.HighestA && m.Part.HighestA > 0:
		n.Warnf("%s is above the highest current of %s, %s", unit.Current.Say(current), m.Part.Name, unit.Current.Say(m.Part.HighestA))
	}
	return current
}
