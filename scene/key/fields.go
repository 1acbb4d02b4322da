package key

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// Fields are the values of a mapping, which are read as its table has them. The readers of a key that is not given
// return what they are handed for that case; they add a fault where the key must be given.
type Fields struct {
	document.Fields
	table *Table
	Based bool // what is not given comes from a base part
}

// Of returns the values of the mapping at n. It adds a fault where something else stands there, for each unknown key,
// where keys exclude each other, and where not exactly one is given of those of which there must be one; it warns of
// old names.
func (t *Table) Of(n document.Node) Fields {
	old := map[string]string{}
	for _, r := range t.Rows {
		old[r.Old] = r.Name
	}
	f := Fields{Fields: n.Fields(t.Names(), old), table: t}
	f.Based = f.Has("based_on")
	for key, others := range t.Exclude {
		for _, other := range others {
			if f.Has(key) && f.Has(other) {
				f.Get(other).Faultf("%s and %s exclude each other; give one or the other", key, other)
			}
		}
	}
	if len(t.OneOf) > 0 && n.IsMapping() && len(f.Given()) != 1 {
		n.Faultf("give exactly one of %s", strings.Join(t.OneOf, ", "))
	}
	return f
}

// Fill reads the keys into those fields of a struct that the table names; target is a pointer to it. A field whose key
// is not given stays as it is, but for one whose key must be given, which becomes 0.
func (f Fields) Fill(target any) { f.fill(reflect.ValueOf(target).Elem()) }

func (f Fields) fill(into reflect.Value) {
	for _, r := range f.table.Rows {
		field := into
		to, end, _ := strings.Cut(r.to, "..")
		if to != "." {
			field = into.FieldByName(to)
		}
		if to == "" || !field.IsValid() {
			continue // some other struct takes it
		}
		if n := f.Need(r.Name); n.Exists() && r.Shape.Kind == Span {
			from, until := n.Span(r.Shape.Dimension, r.Shape.Range)
			field.SetFloat(from)
			into.FieldByName(end).SetFloat(until)
		} else if n.Exists() {
			f.take(r, n, field)
		} else if r.Must && !f.Based && r.to != "." {
			field.SetZero()
		}
	}
}

// take reads the value of a row at n into a field.
func (f Fields) take(r Row, n document.Node, field reflect.Value) {
	switch kind := field.Kind(); {
	case r.Shape.Kind == Mapping && kind == reflect.Pointer:
		field.Set(reflect.New(field.Type().Elem()))
		f.Open(r.Name).fill(field.Elem())
	case r.Shape.Kind == Mapping:
		f.Open(r.Name).fill(field)
	case r.Shape.Kind == Money:
		amount, currency := n.Money(r.Shape.Word)
		field.Field(0).SetFloat(amount)
		field.Field(1).SetString(currency)
	case r.Shape.Kind == Flag:
		field.SetBool(n.OneOf("true", "false") == "true")
	case r.Shape.Kind == Choice && kind == reflect.String:
		field.SetString(f.Word(r.Name))
	case r.Shape.Kind == Choice:
		field.SetInt(int64(max(slices.Index(r.Shape.Words, f.Word(r.Name)), 0)))
	case r.Shape.Kind == Pattern:
		field.SetString(n.Text())
		if text := field.String(); text != "" && !regexp.MustCompile(r.Shape.Word).MatchString(text) {
			n.Faultf("%q is no %s; write it as in %s", text, r.Meaning, r.Shape.Examples[0])
		}
	case kind == reflect.Slice:
		f.list(r.Name, field)
	case kind == reflect.String:
		field.SetString(n.Text())
	case kind == reflect.Int:
		field.SetInt(int64(r.Shape.Value(n)))
	case r.in != "":
		field.SetFloat(r.Shape.Dimension.In(r.Shape.Value(n), r.in))
	default:
		field.SetFloat(r.Shape.Value(n))
	}
}

// list reads a list of numbers, or of mappings.
func (f Fields) list(name string, field reflect.Value) {
	item := f.table.Row(name).Shape.Of[0]
	field.SetZero()
	for _, n := range f.Items(name) {
		one := reflect.New(field.Type().Elem()).Elem()
		if item.Kind == Mapping {
			item.Keys.Of(n).fill(one)
		} else {
			one.SetFloat(item.Value(n))
		}
		field.Set(reflect.Append(field, one))
	}
}

// Changes returns the edits that put those numbers of a struct into a mapping of a file in which it differs from what
// it was by more than rounding; both are of the same type.
func (t *Table) Changes(was, is any, mapping ...any) (list []document.Edit) {
	for _, r := range t.Rows {
		before, now := reflect.ValueOf(was).FieldByName(r.to), reflect.ValueOf(is).FieldByName(r.to)
		if now.IsValid() && now.CanFloat() && math.Abs(now.Float()-before.Float()) > 1e-9 {
			list = append(list, r.Edit(r.In(now.Float()), mapping...))
		}
	}
	return list
}

// Given returns the keys that are given of those of which there must be one.
func (f Fields) Given() []string {
	return slices.DeleteFunc(slices.Clone(f.table.OneOf), func(name string) bool { return !f.Has(name) })
}

// Has tells whether a key is given.
func (f Fields) Has(name string) bool { return f.Get(name).Exists() }

// Need returns the value of a key, or the hole where it could be; there it adds a fault where the key must be given.
func (f Fields) Need(name string) document.Node {
	n, row := f.Get(name), f.table.Row(name)
	if row.Must && !f.Based && !n.Exists() && f.At().IsMapping() {
		n.Faultf("missing; give %s", row.wanted())
	}
	return n
}

// Demand adds a fault where a key is not given that other values make necessary.
func (f Fields) Demand(name string) {
	if n := f.Get(name); !n.Exists() && f.At().IsMapping() {
		n.Faultf("missing beside the other values; give %s", f.table.Row(name).wanted())
	}
}

// Value reads a number, a whole number or a quantity in SI units.
func (f Fields) Value(name string, otherwise float64) float64 {
	if n := f.Need(name); n.Exists() {
		return f.table.Row(name).Shape.Value(n)
	}
	return otherwise
}

// Value reads a number, a whole number or a quantity at n. Of alternatives it takes a quantity where a unit with a
// slash stands there, and else the number.
func (s Shape) Value(n document.Node) float64 {
	switch s.Kind {
	case Quantity:
		return n.Quantity(s.Dimension, s.Range)
	case Whole:
		return float64(n.Integer(int(s.Range.Low), int(s.Range.High)))
	case Either:
		if s.Of[1].Kind == Quantity && n.IsScalar() && strings.Contains(n.Text(), "/") {
			return s.Of[1].Value(n)
		}
		return s.Of[0].Value(n)
	}
	return n.Number(s.Range)
}

// Word reads one of the words that the key may be.
func (f Fields) Word(name string) string {
	return f.Need(name).OneOf(f.table.Row(name).Shape.alternative(Choice).Words...)
}

// Open returns the values of the mapping behind a key.
func (f Fields) Open(name string) Fields {
	return f.table.Row(name).Shape.alternative(Mapping).Keys.Of(f.Need(name))
}

// Items returns the places of the items of a list; where they are too few or too many, none, and it adds a fault.
func (f Fields) Items(name string) []document.Node {
	return f.table.Row(name).Shape.alternative(List).Items(f.Need(name))
}

// Items returns the places of the items of a list at n, see Fields.Items.
func (s Shape) Items(n document.Node) []document.Node {
	items := n.Items()
	switch least, most := int(s.Range.Low), int(s.Range.High); {
	case len(items) < least && n.IsSequence():
		n.Faultf("the list is too short; give at least %d", least)
	case len(items) > most && most > 0:
		n.Faultf("%d items are too many; at most %d are allowed", len(items), most)
	default:
		return items
	}
	return nil
}

// Item returns the place of the i-th item of a list, or of the list itself where a base part gives it.
func (f Fields) Item(name string, i int) document.Node {
	if n := f.Get(name); n.IsSequence() {
		return n.Items()[i]
	}
	return f.Get(name)
}

// Rows returns the values of the mappings in a list.
func (f Fields) Rows(name string) []Fields {
	var rows []Fields
	for _, item := range f.Items(name) {
		rows = append(rows, f.table.Row(name).Shape.alternative(List).Of[0].Keys.Of(item))
	}
	return rows
}

// alternative returns the alternative of a kind, or the shape itself where it has none.
func (s Shape) alternative(k Kind) Shape {
	for _, one := range s.Of {
		if s.Kind == Either && one.Kind == k {
			return one
		}
	}
	return s
}

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
