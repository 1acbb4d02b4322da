package schema

import (
	"maps"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// object is a part of a schema.
type object = map[string]any

// shape is what may stand behind a key.
type shape interface {
	schema() object // what editors check
	names() object  // the same for the names of parts alone, where only built-in ones serve; empty for what holds none
}

// plain is a shape that holds no name of a part.
type plain object

func (p plain) schema() object { return maps.Clone(object(p)) }
func (p plain) names() object  { return nil }

// quantity is a number with its unit, such as "350 mA". The range is told, not checked: a pattern cannot compare.
func quantity(d *unit.Dimension, r document.Range, examples ...string) shape {
	return plain{"type": "string", "pattern": d.Pattern(), "examples": examples, "description": r.Wanted(d)}
}

// number is a number without a unit; where r.Percent is set, also a text such as "25 %".
func number(r document.Range, example float64) shape {
	n := object{"type": "number"}
	if r != (document.Range{Percent: r.Percent}) {
		n["maximum"], n["minimum"] = r.High, r.Low
	}
	if r.Percent {
		n = object{"anyOf": []object{n, {"type": "string", "pattern": `^\s*` + unit.NumberPattern + `\s*%\s*$`}}}
	}
	n["examples"], n["description"] = []float64{example}, r.Wanted(nil)
	return plain(n)
}

// whole is a whole number.
func whole(low, high int) shape {
	return plain{"type": "integer", "minimum": low, "maximum": high}
}

// text is one line of free text. What YAML takes for a number or a flag is a text to the reader too.
func text(example string) shape {
	return plain{"type": []string{"string", "number", "boolean"}, "pattern": `[^\s\p{Cf}]`, "maxLength": 200, "examples": []string{example}}
}

// choice is one of some words.
func choice(words ...string) shape { return plain{"enum": words} }

// money is an amount with its currency, per a unit where per is not empty.
func money(per string) shape {
	suffix, example := "", "4.20 EUR"
	if per != "" {
		suffix, example = " */ *"+per, "0.28 EUR/"+per
	}
	return plain{"type": "string", "pattern": `^\s*` + strings.Replace(unit.NumberPattern, "[+-]", `\+`, 1) + `\s*[A-Z]{3}` + suffix + `\s*$`, "examples": []string{example}}
}

// partName is the name of a part: a built-in one, which editors offer, or one of the maker's own.
type partName struct{ builtin []string }

func (p partName) schema() object {
	return object{"anyOf": []object{{"enum": p.builtin}, {"type": []string{"string", "number", "boolean"}, "pattern": namePattern}}}
}

func (p partName) names() object { return object{"enum": p.builtin} }

// namePattern is what a part may be called: letters, digits, dots, dashes and underscores, no dash in front.
const namePattern = `^[\p{L}\p{N}_.][\p{L}\p{N}_.-]*$`

// list is a list of one shape.
type list struct {
	of          shape
	least, most int // most is 0 where the reader has no limit
}

func (l list) schema() object {
	s := object{"type": "array", "items": l.of.schema()}
	if l.least > 0 {
		s["minItems"] = l.least
	}
	if l.most > 0 {
		s["maxItems"] = l.most
	}
	return s
}

func (l list) names() object {
	if inner := l.of.names(); len(inner) > 0 {
		return object{"items": inner}
	}
	return nil
}

// either is one of several shapes, told apart by their types.
type either []shape

func (e either) schema() object {
	var any []object
	for _, one := range e {
		any = append(any, one.schema())
	}
	return object{"anyOf": any}
}

// names joins what the alternatives say: items and properties bind lists and mappings alone.
func (e either) names() object {
	all := object{}
	for _, one := range e {
		maps.Copy(all, one.names())
	}
	return all
}
