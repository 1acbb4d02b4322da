package edit

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// ofAnotherBeam is the end of the name of an optic whose beam was changed, here or by the scene that Rewrite wrote.
var ofAnotherBeam = regexp.MustCompile(`( at |-at-)[0-9.]+[ -]deg$`)

// beamName names an optic after the beam that it was given in place of its own.
func beamName(name string, beamRad float64) string {
	return fmt.Sprintf("%s at %s", ofAnotherBeam.ReplaceAllString(name, ""), unit.Angle.Say(beamRad))
}

// nameOptics gives every optic of the scene the name of a part, and returns those, in order, that are no parts yet.
func nameOptics(s *scene.Scene) (named map[parts.Optic]string, fresh []parts.Optic) {
	named = map[parts.Optic]string{}
	taken := map[string]bool{}
	for _, name := range s.Catalogue.OpticNames() {
		taken[name] = true
	}
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			if _, ok := named[m.Optic]; ok {
				continue
			}
			if s.Catalogue.Optics[m.Optic.Name] == m.Optic {
				named[m.Optic] = m.Optic.Name
				continue
			}
			part := m.Optic
			part.Name = freeName(partName(m.Optic.Name), taken)
			taken[part.Name] = true
			named[m.Optic] = part.Name
			fresh = append(fresh, part)
		}
	}
	return named, fresh
}

// partName turns a name for people into one that a part may have.
func partName(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_.", r) {
			return r
		}
		return '-'
	}, name)
}

func freeName(name string, taken map[string]bool) string {
	free := name
	for n := 2; taken[free]; n++ {
		free = fmt.Sprintf("%s-%d", name, n)
	}
	return free
}

// partEdits puts optics into the parts of the scene's file. A file of parts that the scene names stays as it is and is
// included.
func partEdits(s *scene.Scene, optics []parts.Optic) []document.Edit {
	if len(optics) == 0 {
		return nil
	}
	at := partsNode(s)
	table := func(value string) string { return "optics:\n" + value }
	var list strings.Builder
	for _, o := range optics {
		fmt.Fprintf(&list, "  %s: %s\n", document.Quote(o.Name), opticText(o))
	}
	switch {
	case at.IsScalar():
		return []document.Edit{{Path: []any{"parts"}, Value: fmt.Sprintf("include: [%s]\n%s", document.Quote(at.Text()),
			table(list.String()))}}
	case !at.IsMapping():
		return []document.Edit{{Path: []any{"parts"}, Value: table(list.String())}}
	}
	if key.PartTables.Of(at).Has("optics") {
		var edits []document.Edit
		for _, o := range optics {
			edits = append(edits, document.Edit{Path: []any{"parts", "optics", o.Name}, Value: opticText(o)})
		}
		return edits
	}
	return []document.Edit{{Path: []any{"parts", "optics"}, Value: list.String()}}
}

// partsNode is the place of the parts in the scene's file; it does not exist where there are none.
func partsNode(s *scene.Scene) document.Node {
	root, ok := document.Read(s.File, s.Source(), &document.Report{}) // it was read before, without a fault
	if !ok {
		return document.Node{}
	}
	return key.Scene.Of(root).Get("parts")
}

// opticText writes an optic as a part, on one line.
func opticText(o parts.Optic) string {
	var words []string
	add := func(name string, value float64) {
		words = append(words, name+": "+key.Optic.Row(name).In(value))
	}
	add("beam", o.BeamRad)
	if o.FieldRad > 0 {
		add("field", o.FieldRad)
	}
	if o.BeamAcrossRad != o.BeamRad || o.FieldAcrossRad != o.FieldRad {
		add("beam_across", o.BeamAcrossRad)
		if o.FieldAcrossRad > 0 {
			add("field_across", o.FieldAcrossRad)
		}
	}
	add("efficiency", o.Efficiency)
	add("stray", o.StrayShare)
	if o.Price.Currency != "" {
		words = append(words, fmt.Sprintf("price: %s %s", strconv.FormatFloat(o.Price.Amount, 'f', -1, 64), o.Price.Currency))
	}
	return "{" + strings.Join(words, ", ") + "}"
}

// waterEdits are the edits of what With and Set may change of the water.
func waterEdits(was, is scene.Water) []document.Edit {
	e := edits{table: key.Water, at: []any{"tank", "water"}}
	e.value("depth", was.DepthM, is.DepthM)
	if is.Kind.Name != was.Kind.Name {
		e.put("kind", document.Quote(is.Kind.Name))
	}
	e.value("extra_absorption", was.ExtraAbsorbPerM, is.ExtraAbsorbPerM)
	return e.list
}

// finishWater puts the numbers of the water's kind into a text that still holds numbers of the kind before.
func finishWater(s *scene.Scene, text []byte) ([]byte, error) {
	again, err := scene.Parse(s.File, text, s.Open)
	if err != nil {
		return nil, fmt.Errorf("the new scene would be wrong: %w", err)
	}
	was, is := again.Tank.Water.Kind, s.Tank.Water.Kind
	e := edits{table: key.Water, at: []any{"tank", "water"}}
	for _, number := range []struct {
		name    string
		was, is float64
	}{
		{"cdom_absorption_440", was.CDOM440PerM, is.CDOM440PerM},
		{"cdom_spectral_slope", was.CDOMSlopePerNm, is.CDOMSlopePerNm},
		{"particle_absorption", was.ParticleAbsorbPerM, is.ParticleAbsorbPerM},
		{"particle_scattering", was.ParticleScatterPerM, is.ParticleScatterPerM},
		{"asymmetry", was.Asymmetry, is.Asymmetry},
	} {
		if math.Abs(number.is-number.was) > 1e-9 {
			e.value(number.name, number.was, number.is)
		}
	}
	if len(e.list) == 0 {
		return text, nil
	}
	return document.Apply(text, e.list)
}
