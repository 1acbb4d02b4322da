package edit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// stringWord names a string in place of a rail.
const stringWord = "string"

// Without returns a copy of the scene in which some modules are dead. Each text names a rail and modules on it, counted
// from 1 in the order of the file: "main:3", "main:2,5" or "main:1-3", or without the rail where there is one; or
// strings: "string:2" is all modules of the second string, as package circuit deals them to the strings that the scene
// asks for. A rail that is named string comes first.
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
	name, list := s.Rails[0].Name, text // on the only rail a number serves
	if colon := strings.LastIndex(text, ":"); colon >= 0 {
		name, list = text[:colon], text[colon+1:]
	} else if len(s.Rails) > 1 {
		return nil, fmt.Errorf("%.60q names no module; write a rail and a number such as %s:1", text, name)
	}
	what, of := "module", scene.RailWord(name)
	var groups [][]parts.Mounted // a number stands for each
	switch i := slices.IndexFunc(s.Rails, func(r scene.Rail) bool { return r.Name == name }); {
	case i >= 0:
		groups = slices.Collect(slices.Chunk(s.Mounted()[i], 1))
	case name != stringWord:
		_, err = s.Rail(name)
		return nil, err
	default:
		what, of = stringWord, "the scene"
		if groups, err = wiring.StringModules(s); err != nil {
			return nil, fmt.Errorf("%s:%.20s: %w", stringWord, list, err)
		}
	}
	for word := range strings.SplitSeq(list, ",") {
		from, to, isRange := strings.Cut(word, "-")
		if !isRange {
			to = from
		}
		first, errFirst := strconv.Atoi(strings.TrimSpace(from))
		last, errLast := strconv.Atoi(strings.TrimSpace(to))
		switch {
		case errFirst != nil || errLast != nil:
			return nil, fmt.Errorf("%.20q is not a number of a %s; write %s:1, %[3]s:2,5 or %[3]s:1-3", word, what, name)
		case first < 1 || last > len(groups) || last < first:
			return nil, fmt.Errorf("%s has %ss 1 to %d, not %.20s", of, what, len(groups), word)
		}
		modules = append(modules, slices.Concat(groups[first-1:last]...)...)
	}
	return modules, nil
}
