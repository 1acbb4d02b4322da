package scene

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"unicode"

	"fathomlux/scene/document"
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
func (s *Scene) nameOptics() (named map[parts.Optic]string, fresh []parts.Optic) {
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
func (s *Scene) partEdits(optics []parts.Optic) []document.Edit {
	if len(optics) == 0 {
		return nil
	}
	at := s.partsNode()
	table := func(value string) string { return "optics:\n" + value }
	var list strings.Builder
	for _, o := range optics {
		fmt.Fprintf(&list, "  %s: %s\n", document.Quote(o.Name), opticText(o))
	}
	switch {
	case at.IsScalar():
		return []document.Edit{{Path: []any{"parts"}, Value: fmt.Sprintf("include: [%s]\n%s", document.Quote(at.Text()), table(list.String()))}}
	case !at.IsMapping():
		return []document.Edit{{Path: []any{"parts"}, Value: table(list.String())}}
	}
	for _, e := range at.Entries() {
		if e.Name != "optics" {
			continue
		}
		var edits []document.Edit
		for _, o := range optics {
			edits = append(edits, document.Edit{Path: []any{"parts", "optics", o.Name}, Value: opticText(o)})
		}
		return edits
	}
	return []document.Edit{{Path: []any{"parts", "optics"}, Value: list.String()}}
}

// partsNode is the place of the parts in the scene's file; it does not exist where there are none.
func (s *Scene) partsNode() document.Node {
	root, ok := document.Read(s.File, s.source, &document.Report{}) // it was read before, without a fault
	if !ok {
		return document.Node{}
	}
	for _, e := range root.Entries() {
		if e.Name == "parts" {
			return e.Value
		}
	}
	return document.Node{}
}

// opticText writes an optic as a part, on one line.
func opticText(o parts.Optic) string {
	words := []string{"beam: " + degText(o.BeamRad)}
	add := func(key string, rad float64) {
		if rad > 0 {
			words = append(words, key+": "+degText(rad))
		}
	}
	add("field", o.FieldRad)
	if o.BeamAcrossRad != o.BeamRad || o.FieldAcrossRad != o.FieldRad {
		add("beam_across", o.BeamAcrossRad)
		add("field_across", o.FieldAcrossRad)
	}
	words = append(words, "efficiency: "+short(o.Efficiency), "stray: "+short(o.StrayShare))
	if o.Price.Currency != "" {
		words = append(words, fmt.Sprintf("price: %s %s", short(o.Price.Amount), o.Price.Currency))
	}
	return "{" + strings.Join(words, ", ") + "}"
}

func degText(rad float64) string { return short(rad*degreesPerRad) + " deg" }

// waterEdits are the edits of what With and Set may change of the water.
func waterEdits(was, is Water) []document.Edit {
	var edits []document.Edit
	set := func(key, value string) {
		edits = append(edits, document.Edit{Path: []any{"tank", "water", key}, Value: value})
	}
	if is.DepthM != was.DepthM {
		set("depth", mmText(is.DepthM))
	}
	if is.Kind.Name != was.Kind.Name {
		set("kind", document.Quote(is.Kind.Name))
	}
	if is.ExtraAbsorbPerM != was.ExtraAbsorbPerM {
		set("extra_absorption", short(is.ExtraAbsorbPerM)+" 1/m")
	}
	return edits
}

// finishWater puts the numbers of the water's kind into a text that still holds numbers of the kind before.
func (s *Scene) finishWater(text []byte) ([]byte, error) {
	again, err := Parse(s.File, text, s.open)
	if err != nil {
		return nil, fmt.Errorf("the new scene would be wrong: %w", err)
	}
	is, want := again.Tank.Water.Kind, s.Tank.Water.Kind
	var edits []document.Edit
	set := func(key string, is, want float64, unitName string) {
		if math.Abs(is-want) > 1e-9 {
			edits = append(edits, document.Edit{Path: []any{"tank", "water", key}, Value: strings.TrimSpace(short(want) + " " + unitName)})
		}
	}
	set("colour_440", is.CDOM440PerM, want.CDOM440PerM, "1/m")
	set("colour_slope", is.CDOMSlopePerNm, want.CDOMSlopePerNm, "1/nm")
	set("particle_absorption", is.ParticleAbsorbPerM, want.ParticleAbsorbPerM, "1/m")
	set("particle_scattering", is.ParticleScatterPerM, want.ParticleScatterPerM, "1/m")
	set("asymmetry", is.Asymmetry, want.Asymmetry, "")
	if len(edits) == 0 {
		return text, nil
	}
	return document.Apply(text, edits)
}
