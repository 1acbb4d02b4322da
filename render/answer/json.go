package answer

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
)

// WriteJSON writes the answer as one indented JSON document: figures and lists under their keys, in the order of the
// parts. A number that is not finite is null. A key that comes twice is a fault of the caller and panics.
func WriteJSON(w io.Writer, a Answer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(a)
}

// MarshalJSON writes the parts that have a key as members of an object.
func (a Answer) MarshalJSON() ([]byte, error) {
	b := bytes.NewBufferString("{")
	seen := map[string]bool{"": true}
	for _, p := range On(a, JSON) {
		key, value := member(p)
		if key == "" {
			continue
		}
		if seen[key] {
			panic("answer: key twice: " + key)
		}
		if len(seen) > 1 {
			b.WriteByte(',')
		}
		seen[key] = true
		b.WriteString(`"` + key + `":`)
		if err := encode(b, value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// member returns a part's key and what stands under it; lists are never null.
func member(p Part) (key string, value any) {
	switch p := p.(type) {
	case Figure:
		if list, is := p.Value.([]string); is {
			return p.Key, append([]string{}, list...)
		}
		return p.Key, p.Value
	case Lines:
		return p.Key, append([]string{}, p.List...)
	case Table:
		return p.Key, p
	case Group:
		return p.Key, p.Parts
	case Groups:
		list := []Answer{}
		for _, g := range p.List {
			list = append(list, g.Parts)
		}
		return p.Key, list
	}
	return "", nil
}

// MarshalJSON writes a list of objects.
func (t Table) MarshalJSON() ([]byte, error) {
	list := []Answer{}
	for _, row := range t.Rows {
		var parts Answer
		for _, i := range t.columns(JSON) {
			parts = append(parts, Figure{Key: t.Columns[i].Key, Value: row[i]})
		}
		list = append(list, parts)
	}
	var b bytes.Buffer
	err := encode(&b, list)
	return b.Bytes(), err
}

// encode writes a value, with < and > as they are.
func encode(b *bytes.Buffer, v any) error {
	if f, is := v.(float64); is && (math.IsNaN(f) || math.IsInf(f, 0)) {
		v = nil
	}
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
