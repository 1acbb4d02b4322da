package answer

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strings"
)

// WriteJSON writes the answer as one indented JSON document: figures and lists under their keys, in the order of the parts.
// A number that is not finite is null. A key that comes twice is a fault of the caller and panics.
func WriteJSON(w io.Writer, a Answer) error {
	var flat bytes.Buffer
	if err := object(&flat, a); err != nil {
		return err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, flat.Bytes(), "", "  "); err != nil {
		return err
	}
	out.WriteByte('\n')
	_, err := w.Write(out.Bytes())
	return err
}

// object writes parts as one object.
func object(b *bytes.Buffer, parts Answer) error {
	o := opener{b: b, seen: map[string]bool{}}
	for _, p := range On(parts, JSON) {
		if err := o.part(p); err != nil {
			return err
		}
	}
	return o.close()
}

// opener writes the members of one object.
type opener struct {
	b    *bytes.Buffer
	seen map[string]bool
}

// key begins a member. It returns false where the part has no key and so stands in no JSON.
func (o opener) key(name string) bool {
	if name == "" {
		return false
	}
	if o.seen[name] {
		panic("answer: key twice: " + name)
	}
	o.b.WriteByte(map[bool]byte{true: '{', false: ','}[len(o.seen) == 0])
	o.seen[name] = true
	o.b.WriteByte('"')
	o.b.WriteString(name)
	o.b.WriteString(`":`)
	return true
}

func (o opener) close() error {
	if len(o.seen) == 0 {
		o.b.WriteByte('{')
	}
	o.b.WriteByte('}')
	return nil
}

// part writes one part as a member.
func (o opener) part(p Part) error {
	switch p := p.(type) {
	case Figure:
		if o.key(p.Key) {
			return value(o.b, p.Value)
		}
	case Lines:
		if o.key(p.Key) {
			return value(o.b, p.List)
		}
	case Table:
		if o.key(p.Key) {
			return tableJSON(o.b, p)
		}
	case Group:
		if o.key(p.Key) {
			return object(o.b, p.Parts)
		}
	case Groups:
		if o.key(p.Key) {
			return list(o.b, len(p.List), func(i int) error { return object(o.b, p.List[i].Parts) })
		}
	}
	return nil
}

// list writes n things as a list.
func list(b *bytes.Buffer, n int, one func(i int) error) error {
	b.WriteByte('[')
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := one(i); err != nil {
			return err
		}
	}
	b.WriteByte(']')
	return nil
}

// tableJSON writes a table as a list of objects. Columns side by side whose keys share what stands before a dot are an object
// of their own: "illuminance.mean_lx", "illuminance.min_lx".
func tableJSON(b *bytes.Buffer, t Table) error {
	columns := t.columns(JSON)
	return list(b, len(t.Rows), func(row int) error {
		return object(b, nested(t, columns, t.Rows[row]))
	})
}

// nested returns a row as figures, those with a common prefix in groups.
func nested(t Table, columns []int, row []any) (parts Answer) {
	for _, i := range columns {
		prefix, key, dotted := strings.Cut(t.Columns[i].Key, ".")
		if !dotted {
			parts = append(parts, Figure{Key: prefix, Value: row[i]})
			continue
		}
		one := Figure{Key: key, Value: row[i]}
		if n := len(parts); n > 0 {
			if g, is := parts[n-1].(Group); is && g.Key == prefix {
				g.Parts = append(g.Parts, one)
				parts[n-1] = g
				continue
			}
		}
		parts = append(parts, Group{Key: prefix, Parts: Answer{one}})
	}
	return parts
}

// value writes one value, which may be a table or an answer of its own. Lists are never null.
func value(b *bytes.Buffer, v any) error {
	switch f := v.(type) {
	case float64:
		if math.IsNaN(f) || math.IsInf(f, 0) {
			v = nil
		}
	case []string:
		if f == nil {
			v = []string{}
		}
	case Table:
		return tableJSON(b, f)
	case Answer:
		return object(b, f)
	}
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	b.Truncate(b.Len() - 1) // Encode ends the line
	return nil
}
