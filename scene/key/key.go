// Package key is the table of the keys of scene files and of files of parts, one row a key: its name, whether it must
// be given, what stands behind it with its range, what it means, and the name that it had before. The readers in the
// packages scene and parts ask it for range and unit, package schema writes it for editors, and what varies a value or
// writes it back into a file takes name, unit and range from it. It knows no scene: which values go together, the
// readers say. Next: package document for the reader of files, package schema for what editors see.
package key

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// Kind tells what may stand behind a key.
type Kind int

// The kinds of values.
const (
	Text     Kind = iota // one line
	Quantity             // a number with its unit
	Span                 // a quantity, or two of them joined by two points
	Number               // a number without a unit
	Whole                // a whole number
	Money                // an amount with its currency, per Word where that is not empty
	Choice               // one of Words
	Name                 // of a part of the kind Word
	Pattern              // a text that the regular expression Word matches
	True                 // the flag true
	Flag                 // true or false
	List                 // Range.Low to Range.High of Of[0]; without an end where High is 0
	Mapping              // the keys of Keys
	Parts                // names of parts with the keys of Keys
	Either               // one of Of, told apart by their types
)

// Shape is what may stand behind a key. Fields that its kind does not name are empty.
type Shape struct {
	Kind      Kind
	Dimension *unit.Dimension // of a quantity
	Range     document.Range  // in SI units
	Examples  []string        // as a file has them
	Word      string
	Words     []string
	Of        []Shape
	Keys      *Table
}

// Row is one key.
type Row struct {
	Name    string
	Must    bool // of a part: unless it is based on another one
	Shape   Shape
	Meaning string
	Old     string // what the key was called in the version before, empty where it has not changed
	to, in  string // field of a struct that takes the value, and its unit where that is not the SI unit
}

// Table is the keys of one mapping.
type Table struct {
	Rows    []Row
	Exclude map[string][]string // keys that a key rules out
	OneOf   []string            // of which exactly one must be given
	Editors map[string]any      // JSON Schema of further rules, which the readers know by themselves
}

// Row returns the row of a key. It panics on a name that the table does not have, which is a slip of ours.
func (t *Table) Row(name string) Row {
	for _, r := range t.Rows {
		if r.Name == name {
			return r
		}
	}
	panic("no key " + name)
}

// Names returns the names of the keys, in the order of the table.
func (t *Table) Names() []string {
	names := make([]string, len(t.Rows))
	for i, r := range t.Rows {
		names[i] = r.Name
	}
	return names
}

// Ends returns the range of a key, in SI units; of a list, how many items it may have.
func (t *Table) Ends(name string) (low, high float64) {
	r := t.Row(name).Shape.Range
	return r.Low, r.High
}

// In returns an SI value of the key as a file has it, such as "420 mm", in the unit of the row's example.
func (r Row) In(si float64) string {
	if r.Shape.Kind != Quantity {
		return unit.Short(si, 6)
	}
	_, name, _ := unit.Split(r.Shape.Examples[0])
	return unit.Short(r.Shape.Dimension.In(si, name), 6) + " " + name
}

// Edit returns the edit that puts a value, as YAML, at the key of a mapping in a file.
func (r Row) Edit(value string, mapping ...any) document.Edit {
	return document.Edit{Path: append(mapping, r.Name), Old: r.Old, Value: value}
}

// wanted says what would serve, such as "a length such as 1180 mm (inside, along x)".
func (r Row) wanted() string {
	s, what, such := r.Shape, "", ""
	if len(s.Examples) > 0 {
		such = " such as " + s.Examples[0]
	}
	switch s.Kind {
	case Quantity:
		what = s.Dimension.A()
	case Number:
		what = "a number"
	case Whole:
		what = "a whole number"
	case Name:
		what = "the " + s.Word + "'s name"
	case Choice:
		what = strings.Join(s.Words, " or ")
	default:
		return r.Meaning + such
	}
	return what + such + " (" + r.Meaning + ")"
}

// source is keys.yaml, which says itself what stands in it, in a form that is read in a fraction of the time: each
// start of the program waits for it. TestTableIsThatOfTheFile holds one against the other.
//
//go:embed keys.json
var source []byte

var tables = read(source)

// The mappings that readers begin with; the others are reached from these.
var (
	Scene      = tables["scene"] // the root of a scene file
	Tank       = tables["tank"]
	Goal       = tables["goal"]  // or a part of one
	Water      = tables["water"] // of a scene
	Rail       = tables["rail"]
	KeepOut    = tables["keep_out"]
	Group      = tables["group"] // of equal modules, or a single one at x
	Wiring     = tables["wiring"]
	Supply     = tables["supply"]  // a driver of a scene
	Channel    = tables["channel"] // what dims together
	PartTables = tables["parts"]   // the root of a file of parts
	Optic      = tables["optic"]
	Efficiency = tables["efficiency"] // of a driver
)

// mapping is a table as the file has it, one after the other.
type mapping struct {
	Name    string
	Exclude map[string][]string `json:",omitempty"`
	OneOf   []string            `json:",omitempty"`
	Editors map[string]any      `json:",omitempty"`
	Rows    []written
}

// written is a shape, or a row with its name, as the table has it.
type written struct {
	Name  string    `json:",omitempty"`
	Is    string    `json:",omitempty"`
	Of    string    `json:",omitempty"`
	Range string    `json:",omitempty"`
	Keys  string    `json:",omitempty"`
	As    []string  `json:",omitempty"`
	Words []string  `json:",omitempty"`
	Items []written `json:",omitempty"`
	To    string    `json:",omitempty"`
	In    string    `json:",omitempty"`
	Old   string    `json:",omitempty"`
	Means string    `json:",omitempty"`
}

// kinds are what a key may be, other than a quantity.
var kinds = map[string]Kind{"text": Text, "span": Span, "number": Number, "share": Number, "whole number": Whole,
	"money":  Money,
	"choice": Choice, "name": Name, "pattern": Pattern, "true": True, "flag": Flag, "list": List,
	"mapping": Mapping, "parts": Parts, "either": Either}

// read reads the table. It panics where it is wrong, as the table is our own.
func read(text []byte) map[string]*Table {
	var mappings []mapping
	check(json.Unmarshal(text, &mappings))
	all := map[string]*Table{}
	for _, m := range mappings {
		all[m.Name] = &Table{Exclude: m.Exclude, OneOf: m.OneOf, Editors: m.Editors}
	}
	for _, m := range mappings {
		t := all[m.Name]
		for _, w := range m.Rows {
			name, must := strings.CutSuffix(w.Name, "!")
			t.Rows = append(t.Rows, Row{Name: name, Must: must, Shape: w.shape(all), Meaning: w.Means, Old: w.Old,
				to: w.To, in: w.In})
		}
	}
	return all
}

func check(err error) {
	if err != nil {
		panic(fmt.Sprintf("the table of keys: %v", err))
	}
}

// shape returns what may stand behind a key.
func (w written) shape(all map[string]*Table) Shape {
	d := unit.Named(w.Is)
	if w.Is == "span" {
		d = unit.Named(w.Of)
	}
	kind, known := kinds[w.Is]
	if d != nil && !known {
		kind, known = Quantity, true
	}
	if !known || w.Keys != "" && all[w.Keys] == nil {
		check(fmt.Errorf("%q with the keys %q is not known", w.Is, w.Keys))
	}
	s := Shape{Kind: kind, Dimension: d, Range: w.limits(d), Examples: w.As, Word: w.Of, Words: w.Words, Keys: all[w.Keys]}
	for _, one := range w.Items {
		s.Of = append(s.Of, one.shape(all))
	}
	if kind == List && s.Keys != nil {
		s.Of, s.Keys = []Shape{{Kind: Mapping, Keys: s.Keys}}, nil
	}
	if of := unit.Named(w.Of); kind == Pattern && of != nil {
		s.Word = of.Pattern()
	}
	return s
}

// hair is what a written angle may be off by rounding, in degrees.
const hair = 1e-9 * math.Pi / 180

// limits returns the range. Angles are a hair wider than the whole degrees in their messages.
func (w written) limits(d *unit.Dimension) document.Range {
	low, high, given := strings.Cut(w.Range, "..")
	if !given {
		return document.Range{}
	}
	least, parse := document.LeastShare, unit.ParseNumber
	if d != nil {
		least, parse = d.Least(), d.Parse
	}
	end := func(text string, otherwise float64) float64 {
		if strings.TrimSpace(text) == "" {
			return otherwise
		}
		v, err := parse(strings.TrimSpace(text))
		check(err)
		return v
	}
	r := document.Range{Low: end(low, least), High: end(high, 0), Percent: w.Is == "share"}
	if d == unit.Angle {
		r.Low, r.High = r.Low-hair, r.High+hair
	}
	return r
}
