package edit

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

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
