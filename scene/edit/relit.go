package edit

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// Relit returns the text of the scene's file with other rails over the tank, and other drivers that feed their modules
// by the modules' Supply. What the file says of a single driver, of strings, channels and their day is taken out.
// Where rails are kept, only their modules are others. Comments stay where what they speak of does.
func Relit(s *scene.Scene, rails []scene.Rail, supplies []scene.Supply, keep bool) ([]byte, error) {
	lit := s.Copy()
	lit.Rails = rails
	named, fresh := nameOptics(lit)
	list := partEdits(lit, fresh)
	if keep {
		for i, r := range rails {
			list = append(list, key.Rail.Row("modules").Edit(modulesText(r.Modules, named), "rails", i))
		}
	} else {
		text := ""
		for _, r := range rails {
			text += railText(r, named)
		}
		list = append(list, key.Scene.Row("rails").Edit(text))
	}
	drivers := ""
	for i, v := range supplies {
		drivers += fmt.Sprintf("- {name: %s, driver: %s, modules: [%s], strings: %d}\n", document.Quote(v.Name),
			document.Quote(v.Driver.Name), quoted(lit.RunsByRail(lit.Fed(i))...), v.Strings)
	}
	if !given(s, "wiring") {
		return document.Apply(s.Source(), append(list, key.Scene.Row("wiring").Edit("drivers:\n"+drivers)))
	}
	if given(s, "day") && len(s.Wiring.Channels) > 1 {
		list = append(list, key.Scene.Row("day").Edit(""))
	}
	for _, name := range []string{"driver", "strings", "channels"} {
		list = append(list, key.Wiring.Row(name).Edit("", "wiring"))
	}
	return document.Apply(s.Source(), append(list, key.Wiring.Row("drivers").Edit(drivers, "wiring")))
}

// given tells whether the scene's file has a key.
func given(s *scene.Scene, name string) bool {
	root, _ := document.Read(s.File, s.Source(), &document.Report{}) // it was read before, without a fault
	return key.Scene.Of(root).Get(name).Exists()
}

// railText writes a rail as an item of the list of rails: modules at even distances about its middle as a group.
func railText(r scene.Rail, named map[parts.Optic]string) string {
	row := func(name string, si float64) string { return "  " + name + ": " + key.Rail.Row(name).In(si) + "\n" }
	text := "- name: " + document.Quote(r.Name) + "\n  profile: " + document.Quote(r.Profile.Name) + "\n" +
		row("length", r.LengthM) + row("x", r.LeftM) + row("above_water", r.AboveWaterM) + row("y", r.YM) + "  modules:"
	if n := len(r.Modules); even(r) {
		m, spacing := r.Modules[0], ""
		if n > 1 {
			spacing = ", spacing: " + key.Group.Row("spacing").In(r.Modules[1].XM-m.XM)
		}
		return text + fmt.Sprintf(" {part: %s, optic: %s, count: %d%s, current: %s}\n", document.Quote(m.Part.Name),
			document.Quote(named[m.Optic]), n, spacing, key.Group.Row("current").In(m.CurrentA))
	}
	for line := range strings.Lines(modulesText(r.Modules, named)) {
		text += "\n    " + strings.TrimSuffix(line, "\n")
	}
	return text + "\n"
}

// even tells whether the modules of a rail are alike and stand at even distances about its middle.
func even(r scene.Rail) bool {
	n := len(r.Modules)
	if n == 0 || slices.ContainsFunc(r.Modules, func(m scene.Module) bool {
		return m.Part.Name != r.Modules[0].Part.Name || m.Optic != r.Modules[0].Optic || m.CurrentA != r.Modules[0].CurrentA
	}) {
		return false
	}
	step := (r.Modules[n-1].XM - r.Modules[0].XM) / float64(max(1, n-1))
	for i, x := range scene.Spaced(n, r.LeftM+r.LengthM/2, step) {
		if d := x - r.Modules[i].XM; d > 1e-7 || d < -1e-7 {
			return false
		}
	}
	return true
}

// WithParts returns the scene with a file of parts beside it that its own file names too.
func WithParts(s *scene.Scene, file string) (*scene.Scene, error) {
	root, _ := document.Read(s.File, s.Source(), &document.Report{}) // it was read before, without a fault
	at, name := key.Scene.Of(root).Get("parts"), document.Quote(file)
	list := []document.Edit{key.Scene.Row("parts").Edit(name)}
	switch {
	case at.IsScalar() && at.Text() == file:
		return s, nil
	case at.IsScalar():
		list[0].Value = fmt.Sprintf("include: [%s, %s]", document.Quote(at.Text()), name)
	case at.IsMapping() && key.PartTables.Of(at).Has("include"):
		return nil, fmt.Errorf("name %s in parts.include of %s", file, s.File)
	case at.IsMapping():
		list = []document.Edit{{Path: []any{"parts", "include"}, Value: "[" + name + "]"}}
	}
	text, err := document.Apply(s.Source(), list)
	if err != nil {
		return nil, err
	}
	return scene.Parse(s.File, text, s.Open)
}

// Words that stand in place of a rail: a string by its number, and all that a driver feeds by its name.
const (
	stringWord = "string"
	driverWord = "driver"
)

// Without returns a copy of the scene in which some modules are dead. Each text names modules as scene.Named takes
// them, or strings: "string:2" is all modules of the second string, as package circuit deals them to the strings that
// the scene asks for; or "driver:blue", all that a driver feeds. A rail that is named string or driver comes first.
func Without(s *scene.Scene, texts ...string) (*scene.Scene, error) {
	out := s.Copy()
	for _, text := range texts {
		dead, err := named(out, text)
		if err != nil {
			return nil, err
		}
		out = wiring.WithDead(out, dead)
	}
	return out, nil
}

// named returns the modules that a text of Without names.
func named(s *scene.Scene, text string) (modules []parts.Mounted, err error) {
	name, list, _ := strings.Cut(text, ":")
	isRail := slices.ContainsFunc(s.Rails, func(r scene.Rail) bool { return r.Name == name })
	if name != stringWord && name != driverWord || isRail {
		seats, err := s.Named(text)
		mounted := s.Mounted()
		for _, at := range seats {
			modules = append(modules, mounted[at.Rail][at.Module])
		}
		return modules, err
	}
	if name == driverWord {
		return wiring.DriverModules(s, list)
	}
	groups, err := wiring.StringModules(s)
	if err != nil {
		return nil, fmt.Errorf("%s:%.20s: %w", stringWord, list, err)
	}
	numbers, err := scene.Numbers(list, stringWord, name, "the scene", len(groups))
	for _, n := range numbers {
		modules = append(modules, groups[n-1]...)
	}
	return modules, err
}
