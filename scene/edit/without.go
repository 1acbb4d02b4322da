package edit

import (
	"fmt"
	"strconv"
	"strings"

	"fathomlux/scene"
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
		if err := kill(out, text); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func kill(s *scene.Scene, text string) error {
	colon := strings.LastIndex(text, ":")
	name, list := s.Rails[0].Name, text // on the only rail a number serves
	if colon >= 0 {
		name, list = text[:colon], text[colon+1:]
	} else if len(s.Rails) > 1 {
		return fmt.Errorf("%.60q names no module; write a rail and a number such as %s:1", text, name)
	}
	rail, err := s.Rail(name)
	if err != nil && name == stringWord {
		return killStrings(s, list)
	}
	if err != nil {
		return err
	}
	numbers, err := parseNumbers(list, counted{what: "module", of: scene.RailWord(rail.Name), prefix: rail.Name,
		most: len(rail.Modules)})
	for _, n := range numbers {
		rail.Modules[n-1].Dead = true
	}
	return err
}

// killStrings kills all modules of some strings.
func killStrings(s *scene.Scene, text string) error {
	all, err := wiring.StringModules(s)
	if err != nil {
		return fmt.Errorf("%s:%.20s: %w", stringWord, text, err)
	}
	numbers, err := parseNumbers(text, counted{what: "string", of: "the scene", prefix: stringWord, most: len(all)})
	for _, n := range numbers {
		for _, m := range all[n-1] {
			s.Rails[m.Rail].Modules[m.Number-1].Dead = true
		}
	}
	return err
}

// counted is what numbers from 1 to most count.
type counted struct {
	what, of, prefix string
	most             int
}

// parseNumbers reads "3", "2,5" or "1-3".
func parseNumbers(text string, c counted) ([]int, error) {
	var all []int
	for _, word := range strings.Split(text, ",") {
		from, to, isRange := strings.Cut(word, "-")
		if !isRange {
			to = from
		}
		first, errFirst := strconv.Atoi(strings.TrimSpace(from))
		last, errLast := strconv.Atoi(strings.TrimSpace(to))
		if errFirst != nil || errLast != nil {
			return nil, fmt.Errorf("%.20q is not a number of a %s; write %s:1, %s:2,5 or %s:1-3", word, c.what, c.prefix,
				c.prefix,
				c.prefix)
		}
		if first < 1 || last > c.most || last < first {
			return nil, fmt.Errorf("%s has %ss 1 to %d, not %.20s", c.of, c.what, c.most, word)
		}
		for i := first; i <= last; i++ {
			all = append(all, i)
		}
	}
	return all, nil
}
