package edit

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// Rewrite returns the text of the scene's file with what With, Set and Calibrated may change put in: height, y and tilt
// of each rail, its modules as a list with one line each where they are others, the water, the flux factor. Optics with
// another beam than any part become parts of the scene's own. Comments of the file stay where they can.
func Rewrite(s *scene.Scene) ([]byte, error) {
	was, err := scene.Parse(s.File, s.Source(), s.Open)
	if err != nil {
		return nil, err
	}
	if len(was.Rails) != len(s.Rails) {
		return nil, fmt.Errorf("%s has %d rails, not %d", s.File, len(was.Rails), len(s.Rails))
	}
	named, fresh := nameOptics(s)
	w, now := was.Tank.Water, s.Tank.Water
	list := key.Water.Changes(w, now, "tank", "water")
	for i, r := range s.Rails {
		list = append(list, key.Rail.Changes(was.Rails[i], r, "rails", i)...)
		if !slices.EqualFunc(was.Rails[i].Modules, r.Modules, sameModule) {
			list = append(list, key.Rail.Row("modules").Edit(modulesText(r.Modules, named), "rails", i))
		}
	}
	if s.Units() == unit.US {
		for i := range list {
			list[i].Value = inInches(list[i].Value)
		}
	}
	list = slices.Concat(partEdits(s, fresh), key.Scene.Changes(*was, *s), list, feedEdits(was, s))
	if w.Kind.Name != now.Kind.Name {
		list = append(list, key.Water.Row("kind").Edit(document.Quote(now.Kind.Name), "tank", "water"))
	}
	text, err := document.Apply(s.Source(), list)
	if err != nil {
		return nil, err
	}
	again, err := scene.Parse(s.File, text, s.Open) // it may still hold numbers of the kind before
	if err != nil {
		return nil, fmt.Errorf("the new scene would be faulty: %w", err)
	}
	return document.Apply(text, key.Water.Changes(again.Tank.Water.Kind, now.Kind, "tank", "water"))
}

// millimetres are a length as an edit has it.
var millimetres = regexp.MustCompile(`(^|: )(-?[0-9.]+) mm\b`)

// inInches returns an edit of places and modules with its lengths in inches.
func inInches(value string) string {
	return millimetres.ReplaceAllStringFunc(value, func(length string) string {
		part := millimetres.FindStringSubmatch(length)
		mm, _ := strconv.ParseFloat(part[2], 64) // we have written it
		return part[1] + unit.Short(mm/25.4, 5) + " in"
	})
}

// feedEdits put the levels of channels into the file, and, where modules moved to other numbers, those that each driver
// feeds and each channel claims.
func feedEdits(was, s *scene.Scene) (list []document.Edit) {
	channels, before := s.Wiring.Channels, was.Wiring.Channels
	moved := false
	for i, r := range s.Rails {
		moved = moved || !slices.EqualFunc(was.Rails[i].Modules, r.Modules, func(m, n scene.Module) bool {
			return m.Supply == n.Supply && m.Channel == n.Channel
		})
	}
	words := func(seats []scene.Seat) string { return "[" + quoted(s.RunsByRail(seats)...) + "]" }
	for i := range s.Wiring.Supplies {
		if moved {
			list = append(list, key.Supply.Row("modules").Edit(words(s.Fed(i)), "wiring", "drivers", i))
		}
	}
	claimed := func(c scene.Channel) bool { return c.Claims != nil }
	same := func(a, b scene.Channel) bool { return a.Level == b.Level }
	if slices.EqualFunc(before, channels, same) && !(moved && slices.ContainsFunc(channels, claimed)) {
		return list
	}
	text := ""
	for i, c := range channels {
		text += "- {name: " + quoted(c.Name)
		switch {
		case claimed(c) && moved:
			text += ", modules: " + words(s.Dimmed(i))
		case claimed(c):
			text += ", modules: [" + quoted(c.Claims...) + "]"
		}
		row := key.Channel.Row("dimming")
		text += ", level: " + key.Channel.Row("level").In(c.Level) + ", dimming: " + row.Shape.Words[c.Dimming] + "}\n"
	}
	if was.Wiring.At == (finding.Place{}) {
		return append(list, document.Edit{Path: []any{"wiring"}, Value: "channels:\n" + text})
	}
	return append(list, key.Wiring.Row("channels").Edit(text, "wiring"))
}

// quoted writes texts with quotes and commas between, for within braces.
func quoted(texts ...string) string {
	var words []string
	for _, text := range texts {
		words = append(words, strconv.Quote(text))
	}
	return strings.Join(words, ", ")
}

func sameModule(m, n scene.Module) bool {
	return m.Part.Name == n.Part.Name && m.Optic == n.Optic && m.XM == n.XM && m.CurrentA == n.CurrentA
}

func modulesText(modules []scene.Module, named map[parts.Optic]string) string {
	var b strings.Builder
	for _, m := range modules {
		fmt.Fprintf(&b, "- {part: %s, optic: %s, x: %s, current: %s}\n", document.Quote(m.Part.Name),
			document.Quote(named[m.Optic]), key.Group.Row("x").In(m.XM), key.Group.Row("current").In(m.CurrentA))
	}
	return b.String()
}

// nameOptics gives every optic of the scene the name of a part, and returns those, in order, that are no parts yet.
func nameOptics(s *scene.Scene) (named map[parts.Optic]string, fresh []parts.Optic) {
	named, taken := map[parts.Optic]string{}, map[string]bool{}
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			if _, ok := named[m.Optic]; ok {
				continue
			}
			part := m.Optic
			if s.Catalogue.Optics[part.Name] != part {
				part.Name = noPartName.ReplaceAllString(m.Optic.Name, "-")
				for n, name := 2, part.Name; taken[part.Name] || s.Catalogue.Optics[part.Name].Name != ""; n++ {
					part.Name = fmt.Sprintf("%s-%d", name, n)
				}
				taken[part.Name] = true
				fresh = append(fresh, part)
			}
			named[m.Optic] = part.Name
		}
	}
	return named, fresh
}

// noPartName matches what a name for people may hold and a part's name may not.
var noPartName = regexp.MustCompile(`[^\p{L}\p{N}_.-]`)

// partEdits puts optics into the parts of the scene's file; a file of parts that it names is included as it is.
func partEdits(s *scene.Scene, optics []parts.Optic) (list []document.Edit) {
	if len(optics) == 0 {
		return nil
	}
	root, _ := document.Read(s.File, s.Source(), &document.Report{}) // it was read before, without a fault
	at := key.Scene.Of(root).Get("parts")
	text := ""
	for _, o := range optics {
		value := opticText(o, s.Catalogue.Optics[o.BeamOf])
		list = append(list, document.Edit{Path: []any{"parts", "optics", o.Name}, Value: value})
		text += fmt.Sprintf("  %s: %s\n", document.Quote(o.Name), value)
	}
	switch {
	case at.IsScalar():
		text = fmt.Sprintf("include: [%s]\noptics:\n%s", document.Quote(at.Text()), text)
	case !at.IsMapping():
		text = "optics:\n" + text
	case key.PartTables.Of(at).Has("optics"):
		return list
	default:
		return []document.Edit{{Path: []any{"parts", "optics"}, Value: text}}
	}
	return []document.Edit{{Path: []any{"parts"}, Value: text}}
}

// opticText writes an optic with another beam than its part, base, as a part that is based on that, on one line.
func opticText(o, base parts.Optic) string {
	if o.BeamAcrossRad == o.BeamRad && o.FieldAcrossRad == o.FieldRad { // a round one
		base.BeamAcrossRad, base.FieldAcrossRad = o.BeamAcrossRad, o.FieldAcrossRad
	}
	words := "{based_on: " + document.Quote(o.BeamOf)
	for _, e := range key.Optic.Changes(base, o) {
		words += fmt.Sprintf(", %s: %s", e.Path[0], e.Value)
	}
	return words + "}"
}

// Calibrated returns a copy of the scene with the flux factor and the extra absorption, 1/m, that a meter found.
func Calibrated(s *scene.Scene, fluxFactor, extraPerM float64) *scene.Scene {
	c := s.Copy()
	c.Tank.Water.ExtraAbsorbPerM = extraPerM
	c.SetFluxFactor(fluxFactor)
	return c
}
