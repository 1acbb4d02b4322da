// Package schema writes JSON Schemas (2020-12) of the scene file and of a file of parts, for editors that complete and
// check while somebody types. It says which keys there are, what stands behind each, in which units and range, and
// which built-in parts may be named; package key has the rows. What only a whole scene can tell, such as water above
// the rim, the readers in the packages scene and parts alone know; they decide. Next: package key for the keys, package
// unit for the patterns of quantities.
package schema

import (
	"bytes"
	"encoding/json"
	"maps"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// dialect is the JSON Schema version that the schemas are written in.
const dialect = "https://json-schema.org/draft/2020-12/schema"

// Scene returns the schema of a scene file. Without parts of its own, names are held against the built-in ones.
func Scene() []byte {
	w := writer{namesOf(parts.Builtin())}
	s := w.table(key.Scene)
	s["title"] = "fathomlux scene"
	s["if"] = object{"not": object{"required": []string{"parts"}}}
	s["then"] = w.names(key.Shape{Kind: key.Mapping, Keys: key.Scene})
	return encode(s)
}

// Parts returns the schema of a file of parts.
func Parts() []byte {
	s := writer{namesOf(parts.Builtin())}.table(key.PartTables)
	s["title"] = "fathomlux parts"
	return encode(s)
}

func namesOf(lib *parts.Catalogue) map[string][]string {
	return map[string][]string{"module": parts.Names(lib.Modules), "optic": parts.Names(lib.Optics),
		"driver":  parts.Names(lib.Drivers),
		"profile": parts.Names(lib.Profiles), "spectrum": parts.Names(lib.Spectra), "kind of water": parts.Names(lib.Waters)}
}

// encode writes a schema with sorted keys, the same bytes each time.
func encode(s object) []byte {
	s["$schema"] = dialect
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(s); err != nil {
		panic(err) // the tables hold texts and numbers only
	}
	return b.Bytes()
}

type object = map[string]any

// writer writes schemas; builtin holds the names of the built-in parts by their kind.
type writer struct{ builtin map[string][]string }

// table is the schema of a mapping.
func (w writer) table(t *key.Table) object {
	properties := object{}
	var required []string
	for _, r := range t.Rows {
		if properties[r.Name] = w.row(r); r.Must {
			required = append(required, r.Name)
		}
	}
	s := object{"type": "object", "properties": properties, "additionalProperties": false}
	maps.Copy(s, t.Editors)
	rules := object{} // a key rules out others
	for name, others := range t.Exclude {
		off := object{}
		for _, other := range others {
			off[other] = false
		}
		rules[name] = object{"properties": off}
	}
	if len(rules) > 0 {
		s["dependentSchemas"] = rules
	}
	var one []object // exactly one of the keys must be given
	for _, name := range t.OneOf {
		one = append(one, object{"required": []string{name}})
	}
	if len(one) > 0 {
		s["oneOf"] = one
	}
	switch {
	case len(required) == 0:
	case properties["based_on"] != nil: // what the part is based on may give them
		s["if"], s["then"] = object{"not": object{"required": []string{"based_on"}}}, object{"required": required}
	default:
		s["required"] = required
	}
	return s
}

// row is the value's schema, with the key's meaning before the value's own description.
func (w writer) row(r key.Row) object {
	s := w.shape(r.Shape)
	meaning := strings.TrimSuffix(r.Meaning, ",")
	if what, _ := s["description"].(string); what != "" {
		meaning += "; " + what
	}
	s["description"] = meaning
	return s
}

// free is the type of free text: what YAML takes for a number or a flag is a text to the reader too.
var free = []string{"string", "number", "boolean"}

// shape is the schema of what stands behind a key.
func (w writer) shape(s key.Shape) object {
	switch s.Kind {
	case key.Quantity: // the range is told, not checked: a pattern cannot compare
		return object{"type": "string", "pattern": s.Dimension.Pattern(), "examples": s.Examples,
			"description": s.Range.Wanted(s.Dimension)}
	case key.Span:
		return object{"type": "string", "pattern": s.Dimension.SpanPattern(), "examples": s.Examples,
			"description": s.Range.Wanted(s.Dimension)}
	case key.Number:
		return number(s)
	case key.Whole:
		return object{"type": "integer", "minimum": s.Range.Low, "maximum": s.Range.High}
	case key.Money:
		per := ""
		if s.Word != "" {
			per = " */ *" + s.Word
		}
		amount := strings.Replace(unit.NumberPattern, "[+-]", `\+`, 1)
		return object{"type": "string", "pattern": `^\s*` + amount + `\s*[A-Z]{3}` + per + `\s*$`, "examples": s.Examples}
	case key.Choice:
		return object{"enum": s.Words}
	case key.Name:
		if s.Word == "illuminant" {
			return object{"enum": parts.Illuminants()}
		}
		return object{"anyOf": []object{{"enum": w.builtin[s.Word]}, {"type": free, "pattern": parts.NamePattern}}}
	case key.Pattern:
		return object{"type": "string", "pattern": s.Word, "examples": s.Examples}
	case key.True:
		return object{"const": true}
	case key.Flag:
		return object{"type": "boolean"}
	case key.List:
		return w.list(s)
	case key.Mapping:
		return w.table(s.Keys)
	case key.Parts:
		return object{"type": "object", "propertyNames": object{"pattern": parts.NamePattern, "maxLength": 200},
			"maxProperties": 1000, "additionalProperties": w.table(s.Keys)}
	case key.Either:
		var any []object
		for _, one := range s.Of {
			any = append(any, w.shape(one))
		}
		return object{"anyOf": any}
	}
	return object{"type": free, "pattern": `[^\s\p{Cf}]`, "maxLength": 200, "examples": s.Examples}
}

// number is a number without a unit; where percent serves, also a text such as "25 %".
func number(s key.Shape) object {
	n := object{"type": "number"}
	if s.Range != (document.Range{Percent: s.Range.Percent}) {
		n["maximum"], n["minimum"] = s.Range.High, s.Range.Low
	}
	if s.Range.Percent {
		n = object{"anyOf": []object{n, {"type": "string", "pattern": `^\s*` + unit.NumberPattern + `\s*%\s*$`}}}
	}
	n["examples"], n["description"] = []json.Number{json.Number(s.Examples[0])}, s.Range.Wanted(nil)
	return n
}

func (w writer) list(s key.Shape) object {
	l := object{"type": "array", "items": w.shape(s.Of[0])}
	if s.Range.Low > 0 {
		l["minItems"] = s.Range.Low
	}
	if s.Range.High > 0 {
		l["maxItems"] = s.Range.High
	}
	return l
}

// names is the schema of the names of parts alone, where only built-in ones serve; nil for a shape without any. Items
// and properties bind lists and mappings alone, so that alternatives can be joined.
func (w writer) names(s key.Shape) object {
	all := object{}
	switch s.Kind {
	case key.Name:
		return object{"enum": w.builtin[s.Word]}
	case key.List:
		if inner := w.names(s.Of[0]); inner != nil {
			return object{"items": inner}
		}
	case key.Either:
		for _, one := range s.Of {
			maps.Copy(all, w.names(one))
		}
	case key.Mapping:
		properties := object{}
		for _, r := range s.Keys.Rows {
			if inner := w.names(r.Shape); inner != nil {
				properties[r.Name] = inner
			}
		}
		if len(properties) > 0 {
			all["properties"] = properties
		}
	}
	if len(all) == 0 {
		return nil
	}
	return all
}
