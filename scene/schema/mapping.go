package schema

import (
	"strings"
)

// field is one key of a mapping.
type field struct {
	key   string
	need  need
	value shape
	about string // for whoever rests the mouse on the key
}

// need says whether a key must be given.
type need int

const (
	may  need = iota
	must      // of a part: unless it is based on another one
)

// mapping is a mapping with known keys.
type mapping struct {
	fields []field
	rules  object // what else binds the keys together; see exclude
}

func (m mapping) schema() object {
	properties, required, based := object{}, []string{}, false
	for _, f := range m.fields {
		properties[f.key] = f.schema()
		based = based || f.key == "based_on"
		if f.need == must {
			required = append(required, f.key)
		}
	}
	s := object{"type": "object", "properties": properties, "additionalProperties": false}
	for key, rule := range m.rules {
		s[key] = rule
	}
	switch {
	case len(required) == 0:
	case based:
		s["if"], s["then"] = object{"not": object{"required": []string{"based_on"}}}, object{"required": required}
	default:
		s["required"] = required
	}
	return s
}

// schema is the value's, with the key's description before the value's own.
func (f field) schema() object {
	s := f.value.schema()
	what, _ := s["description"].(string)
	switch {
	case what != "" && f.about != "":
		s["description"] = f.about + "; " + what
	case f.about != "":
		s["description"] = f.about
	}
	return s
}

func (m mapping) names() object {
	properties := object{}
	for _, f := range m.fields {
		if inner := f.value.names(); len(inner) > 0 {
			properties[f.key] = inner
		}
	}
	if len(properties) == 0 {
		return nil
	}
	return object{"properties": properties}
}

// exclude is the rule that a key rules out others.
func exclude(key, others string) object {
	off := object{}
	for _, other := range strings.Fields(others) {
		off[other] = false
	}
	return object{key: object{"properties": off}}
}

// oneOf is the rule that exactly one of the keys must be given.
func oneOf(keys ...string) []object {
	var all []object
	for _, key := range keys {
		all = append(all, object{"required": []string{key}})
	}
	return all
}

// named is a mapping of parts by their names.
type named struct{ of mapping }

func (n named) schema() object {
	return object{"type": "object", "propertyNames": object{"pattern": namePattern, "maxLength": 200}, "maxProperties": 1000, "additionalProperties": n.of.schema()}
}

func (n named) names() object { return nil }
