package scene

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
)

// Rewrite returns the text of the scene's file with what With and Set may change put in: height, y and tilt of each
// rail, its modules as a list with one line each where they are others, the water. Optics with another beam than any
// part has become parts of the scene's own. Comments of the file stay where they can.
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
	e := edits{table: key.Rail, at: []any{"rails", i}}
	e.value("above_water", was.AboveWaterM, is.AboveWaterM)
	e.value("y", was.YM, is.YM)
	e.value("tilt", was.TiltRad, is.TiltRad)
	if !sameModules(was.Modules, is.Modules) {
		e.put("modules", modulesText(is.Modules, named))
	}
	return e.list
}

// edits collects what is to be changed in one mapping of a scene's file.
type edits struct {
	table *key.Table
	at    []any
	list  []document.Edit
}

func (e *edits) put(name, value string) {
	e.list = append(e.list, e.table.Row(name).Edit(value, e.at...))
}

// value puts a number or a quantity where it has changed.
func (e *edits) value(name string, was, is float64) {
	if is != was {
		e.put(name, e.table.Row(name).In(is))
	}
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
		fmt.Fprintf(&b, "- {part: %s, optic: %s, x: %s, current: %s}\n", document.Quote(m.Part.Name),
			document.Quote(named[m.Optic]), key.Group.Row("x").In(m.XM), key.Group.Row("current").In(m.CurrentA))
	}
	return b.String()
}
