package key

import (
	_ "embed"
	"fmt"
	"math"
	"strings"

	"go.yaml.in/yaml/v4"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// source is the table, which says itself what stands in it.
//
//go:embed keys.yaml
var source []byte

var tables = read(source)

// The mappings that readers begin with; the others are reached from these.
var (
	Scene      = tables["scene"] // the root of a scene file
	Tank       = tables["tank"]
	Water      = tables["water"] // of a scene
	Rail       = tables["rail"]
	KeepOut    = tables["keep_out"]
	Group      = tables["group"] // of equal modules, or a single one at x
	Wiring     = tables["wiring"]
	PartTables = tables["parts"] // the root of a file of parts
	Optic      = tables["optic"]
	Efficiency = tables["efficiency"] // of a driver
)

// written is a shape, or a row, as the table has it.
type written struct {
	Is, Of, Range, Keys, Means, Old, To, In string
	As, Words                               []string
	Items                                   []written
}

// kinds are what a key may be, other than a quantity.
var kinds = map[string]Kind{"text": Text, "number": Number, "share": Number, "whole number": Whole, "money": Money,
	"choice": Choice, "name": Name, "pattern": Pattern, "true": True, "list": List, "mapping": Mapping, "parts": Parts,
	"either": Either}

// read reads the table. It panics where it is wrong, as the table is our own.
func read(text []byte) map[string]*Table {
	var mappings map[string]yaml.Node
	check(yaml.Unmarshal(text, &mappings))
	all := map[string]*Table{}
	for name := range mappings {
		all[name] = &Table{}
	}
	for name, n := range mappings {
		t := all[name]
		for i := 0; i < len(n.Content); i += 2 {
			switch key, value := n.Content[i].Value, n.Content[i+1]; key {
			case "~exclude":
				check(value.Decode(&t.Exclude))
			case "~one of":
				check(value.Decode(&t.OneOf))
			case "~editors":
				check(value.Decode(&t.Editors))
			default:
				var w written
				check(value.Decode(&w))
				name, must := strings.CutSuffix(key, "!")
				t.Rows = append(t.Rows, Row{Name: name, Must: must, Shape: w.shape(all), Meaning: w.Means, Old: w.Old,
					to: w.To, in: w.In})
			}
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
	kind, known := kinds[w.Is]
	if d != nil {
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
