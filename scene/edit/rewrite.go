package edit

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
)

// Rewrite returns the text of the scene's file with what With and Set may change put in: height, y and tilt of each
// rail, its modules as a list with one line each where they are others, the water. Optics with another beam than any
// part has become parts of the scene's own. Comments of the file stay where they can.
func Rewrite(s *scene.Scene) ([]byte, error) {
	was, err := scene.Parse(s.File, s.Source(), s.Open)
	if err != nil {
		return nil, err
	}
	if len(was.Rails) != len(s.Rails) {
		return nil, fmt.Errorf("%s has %d rails, not %d", s.File, len(was.Rails), len(s.Rails))
	}
	named, fresh := nameOptics(s)
	edits := partEdits(s, fresh)
	for i, r := range s.Rails {
		edits = append(edits, railEdits(i, was.Rails[i], r, named)...)
	}
	edits = append(edits, waterEdits(was.Tank.Water, s.Tank.Water)...)
	text := s.Source()
	if len(edits) > 0 { // else as it was typed
		if text, err = document.Apply(s.Source(), edits); err != nil {
			return nil, err
		}
	}
	return finishWater(s, text)
}

// railEdits are the edits of one rail; named gives each optic the name of a part.
func railEdits(i int, was, is scene.Rail, named map[parts.Optic]string) []document.Edit {
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
func sameModules(a, b []scene.Module) bool {
	return slices.EqualFunc(a, b, func(m, n scene.Module) bool {
		return m.Part.Name == n.Part.Name && m.Optic == n.Optic && m.XM == n.XM && m.CurrentA == n.CurrentA
	})
}

// modulesText writes modules as a YAML list.
func modulesText(modules []scene.Module, named map[parts.Optic]string) string {
	var b strings.Builder
	for _, m := range modules {
		fmt.Fprintf(&b, "- {part: %s, optic: %s, x: %s, current: %s}\n", document.Quote(m.Part.Name),
			document.Quote(named[m.Optic]), key.Group.Row("x").In(m.XM), key.Group.Row("current").In(m.CurrentA))
	}
	return b.String()
}

// Fitted returns a copy of the scene with another flux factor and another extra absorption, 1/m.
func Fitted(s *scene.Scene, fluxFactor, extraPerM float64) *scene.Scene {
	c := s.Copy()
	c.Tank.Water.ExtraAbsorbPerM = extraPerM
	c.SetFluxFactor(fluxFactor)
	return c
}

// RewriteFitted returns the text of the scene's file with the scene's flux factor and extra absorption put in. All
// else, comments included, stays as the file has it.
func RewriteFitted(s *scene.Scene) ([]byte, error) {
	factor := key.Scene.Row("flux_factor")
	edits := []document.Edit{factor.Edit(factor.In(s.FluxFactor))}
	was, err := scene.Parse(s.File, s.Source(), s.Open)
	if err != nil {
		return nil, err
	}
	if s.Tank.Water.ExtraAbsorbPerM != was.Tank.Water.ExtraAbsorbPerM {
		extra := key.Water.Row("extra_absorption")
		edits = append(edits, extra.Edit(extra.In(s.Tank.Water.ExtraAbsorbPerM), "tank", "water"))
	}
	return document.Apply(s.Source(), edits)
}
