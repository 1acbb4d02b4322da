package key

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// Text writes a struct as the YAML mapping that Fill reads it from, a key a line behind an indent. own has the values,
// as YAML, of keys that no field stands for. What is 0 or empty and need not be given is left out.
func (t *Table) Text(of any, indent string, own map[string]string) string {
	var b strings.Builder
	for _, pair := range t.pairs(reflect.ValueOf(of), own) {
		fmt.Fprintf(&b, "%s%s\n", indent, pair)
	}
	return b.String()
}

// pairs writes keys with their values.
func (t *Table) pairs(from reflect.Value, own map[string]string) (list []string) {
	for _, r := range t.Rows {
		value, field := own[r.Name], from
		if r.to != "." && r.to != "" {
			field = from.FieldByName(r.to)
		}
		if value == "" && r.to != "" && field.IsValid() {
			value = r.text(field)
		}
		if value != "" {
			list = append(list, r.Name+": "+value)
		}
	}
	return list
}

// text writes the value of a row; empty for what need not be given.
func (r Row) text(v reflect.Value) string {
	switch kind := r.Shape.Kind; {
	case kind == Mapping:
		return r.Shape.Keys.flow(v, r.Must)
	case v.IsZero() && !r.Must:
		return ""
	case kind == Money:
		of := ""
		if r.Shape.Word != "" {
			of = "/" + r.Shape.Word
		}
		return number(v.Field(0).Float()) + " " + v.Field(1).String() + of
	case kind == Flag:
		return strconv.FormatBool(v.Bool())
	case v.Kind() == reflect.String:
		return document.Quote(v.String())
	case kind == Choice:
		return r.Shape.Words[v.Int()]
	case kind == List:
		var items []string
		for i := range v.Len() {
			if of := r.Shape.Of[0]; of.Kind == Mapping {
				items = append(items, of.Keys.flow(v.Index(i), true))
			} else {
				items = append(items, Row{Shape: of, Must: true}.text(v.Index(i)))
			}
		}
		return "[" + strings.Join(items, ", ") + "]"
	case v.CanInt():
		return strconv.FormatInt(v.Int(), 10)
	case r.in != "":
		return number(v.Float()) + " " + r.in
	case kind == Quantity:
		_, name, _ := unit.Split(r.Shape.Examples[0])
		return number(r.Shape.Dimension.In(v.Float(), name)) + " " + name
	}
	return number(v.Float())
}

// flow writes a mapping within braces; empty where none of its numbers is above 0 and it need not be given.
func (t *Table) flow(from reflect.Value, must bool) string {
	some := must
	for _, r := range t.Rows {
		some = some || r.to != "" && !from.FieldByName(r.to).IsZero()
	}
	if !some {
		return ""
	}
	return "{" + strings.Join(t.pairs(from, nil), ", ") + "}"
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 9, 64) }
