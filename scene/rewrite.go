package scene

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
)

// Rewrite returns the text of the scene's file with what With and Set may change put in: height, y and tilt of each rail,
// its modules as a list with one line each where they are others, the water. Optics with another beam than any part has
// become parts of the scene's own. Comments of the file stay where they can.
func (s *Scene) Rewrite() ([]byte, error) {
	was, err := Parse(s.File, s.source, s.open)
	if err != nil {
		return nil, err
	}
	if len(was.Rails) != len(s.Rails) {
		return nil, fmt.Errorf("%s has %d rails, not %d", s.File, len(was.Rails), len(s.Rails))
	}
	named, fresh := s.nameOptics()
	edits := s.partEdits(fresh)
	for i, r := range s.Rails {
		edits = append(edits, railEdits(i, was.Rails[i], r, named)...)
	}
	edits = append(edits, waterEdits(was.Tank.Water, s.Tank.Water)...)
	text := s.source
	if len(edits) > 0 { // else as it was typed
		if text, err = document.Apply(s.source, edits); err != nil {
			return nil, err
		}
	}
	return s.finishWater(text)
}

// railEdits are the edits of one rail; named gives each optic the name of a part.
func railEdits(i int, was, is Rail, named map[parts.Optic]string) []document.Edit {
	var edits []document.Edit
	set := func(key, value string) {
		edits = append(edits, document.Edit{Path: []any{"rails", i, key}, Value: value})
	}
	if is.AboveWaterM != was.AboveWaterM {
		set("above_water", mmText(is.AboveWaterM))
	}
	if is.YM != was.YM {
		set("y", mmText(is.YM))
	}
	if is.TiltRad != was.TiltRad {
		set("tilt", short(is.TiltRad*degreesPerRad)+" deg")
	}
	if !sameModules(was.Modules, is.Modules) {
		set("modules", modulesText(is.Modules, named))
	}
	return edits
}

// sameModules tells whether two lists name the same modules at the same places.
func sameModules(a, b []Module) bool {
	return slices.EqualFunc(a, b, func(m, n Module) bool {
		return m.Part.Name == n.Part.Name && m.Optic == n.Optic && m.XM == n.XM && m.CurrentA == n.CurrentA
	})
}

// modulesText writes modules as a YAML list.
func modulesText(modules []Module, named map[parts.Optic]string) string {
	var b strings.Builder
	for _, m := range modules {
		fmt.Fprintf(&b, "- {part: %s, optic: %s, x: %s, current: %s mA}\n",
			document.Quote(m.Part.Name), document.Quote(named[m.Optic]), mmText(m.XM), short(m.CurrentA*1000))
	}
	return b.String()
}

func mmText(m float64) string { return short(m*1000) + " mm" }

// short writes a number to a millionth without trailing zeros.
func short(v float64) string {
	text := strconv.FormatFloat(v, 'f', 6, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

const degreesPerRad = 180 / math.Pi
