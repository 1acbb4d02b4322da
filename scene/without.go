package scene

import (
	"fmt"
	"strconv"
	"strings"

	"fathomlux/scene/document"
)

// Without returns a copy of the scene in which some modules are dead. Each text names a rail and modules on it, counted
// from 1 in the order of the file: "main:3", "main:2,5" or "main:1-3".
func (s *Scene) Without(texts ...string) (*Scene, error) {
	out, err := s.With()
	if err != nil {
		return nil, err
	}
	for _, text := range texts {
		if err := out.kill(text); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (s *Scene) kill(text string) error {
	colon := strings.LastIndex(text, ":")
	if colon < 0 {
		return fmt.Errorf("%.60q names no module; write a rail and a number such as %s:1", text, s.Rails[0].Name)
	}
	rail, err := s.rail(text[:colon])
	if err != nil {
		return err
	}
	for _, word := range strings.Split(text[colon+1:], ",") {
		from, to, isRange := strings.Cut(word, "-")
		if !isRange {
			to = from
		}
		first, errFirst := strconv.Atoi(strings.TrimSpace(from))
		last, errLast := strconv.Atoi(strings.TrimSpace(to))
		if errFirst != nil || errLast != nil {
			return fmt.Errorf("%.20q is no number of a module; write %s:1, %s:2,5 or %s:1-3", word, rail.Name, rail.Name, rail.Name)
		}
		if first < 1 || last > len(rail.Modules) || last < first {
			return fmt.Errorf("rail %s has modules 1 to %d, not %.20s", rail.Name, len(rail.Modules), word)
		}
		for i := first - 1; i < last; i++ {
			rail.Modules[i].Dead = true
		}
	}
	return nil
}

// HasRail returns nil where the scene has a rail of that name, and else an error that names a near one, or all.
func (s *Scene) HasRail(name string) error {
	_, err := s.rail(name)
	return err
}

// rail returns the rail of that name; the error names a near one, or all.
func (s *Scene) rail(name string) (*Rail, error) {
	var names []string
	for i := range s.Rails {
		if s.Rails[i].Name == name {
			return &s.Rails[i], nil
		}
		names = append(names, s.Rails[i].Name)
	}
	if near := document.Suggest(name, names); near != "" {
		return nil, fmt.Errorf("there is no rail %.60q; did you mean %q?", name, near)
	}
	return nil, fmt.Errorf("there is no rail %.60q; there are %s", name, strings.Join(names, ", "))
}
