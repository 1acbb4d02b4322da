package main

import (
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/drilling"
)

// drillAnswer is the answer of drill: each rail with its table.
func drillAnswer(o drillOptions, dir string, list []drilled, sc *scene.Scene) answer.Answer {
	rails := answer.Groups{Key: "rails"}
	for _, d := range list {
		rails.List = append(rails.List, d.answer())
	}
	return answer.Answer{
		answer.Figure{Key: "scene", Value: o.scene},
		answer.Figure{Key: "out", Value: dir},
		answer.Figure{Key: "paper", Value: o.paper},
		rails,
		answer.Lines{Key: "cautions", Lead: "caution", List: cautions("drill", sc), In: answer.JSON},
	}
}

// drillWarnings are the warnings of all rails.
func drillWarnings(list []drilled) (parts answer.Answer) {
	for _, d := range list {
		parts = append(parts, d.warnings())
	}
	return parts
}

// warnings are those of one rail, and of its name.
func (d drilled) warnings() answer.Lines {
	list := d.plan.Warnings
	if words := unshownWords(d.plan.Name); words != "" {
		list = append(list[:len(list):len(list)], words)
	}
	return answer.Lines{Key: "warnings", Lead: "warning: rail " + d.plan.Name, List: list}
}

// answer is one rail.
func (d drilled) answer() answer.Group {
	p := d.plan
	return answer.Group{
		Title: "rail " + p.Name + ": " + p.Profile + ", " + drilling.Millimetres(p.LengthM) + " mm long; distances from the left end and from the front edge",
		Parts: answer.Answer{
			answer.Figure{Key: "name", Value: p.Name},
			answer.Figure{Key: "profile", Value: p.Profile},
			answer.Figure{Key: "length_mm", Value: millimetres(p.LengthM)},
			answer.Figure{Key: "width_mm", Value: millimetres(p.WidthM)},
			answer.Figure{Key: "pdf", Value: d.pdf},
			answer.Figure{Key: "svg", Value: d.svg},
			answer.Figure{Key: "csv", Value: d.csv},
			drillTable(p),
			d.warnings(),
		},
	}
}

// drillTable is a rail's table of distances from its left end and its front edge.
func drillTable(p drilling.Plan) answer.Table {
	t := answer.Table{Key: "rows", Title: "Rail " + p.Name + ", " + p.Profile, Sorts: true, Columns: []answer.Column{
		{Key: "mark", Title: "mark"}, {Key: "module", Title: "module"},
		{Key: "from_left_mm", Title: "from left", Unit: "mm", Digits: 1},
		{Key: "from_left_in", Title: "from left", Unit: "in"},
		{Key: "from_left_in_error_mm", Title: "rounding", Unit: "mm", Digits: 2},
		{Key: "from_front_mm", Title: "from front", Unit: "mm", Digits: 1},
		{Key: "from_front_in", Title: "from front", Unit: "in"},
		{Key: "from_front_in_error_mm", Title: "rounding", Unit: "mm", Digits: 2},
		{Key: "diameter_mm", Title: "hole", Unit: "mm", Digits: 1},
		{Key: "note", Title: "note"},
	}}
	for _, r := range p.Rows() {
		var module, diameter any
		if r.Module > 0 {
			module = r.Module
		}
		if r.DiameterM > 0 {
			diameter = millimetres(r.DiameterM)
		}
		row := append([]any{string(r.Mark), module}, lengthCells(r.FromLeftM, true)...)
		row = append(row, lengthCells(r.FromFrontM, r.HasFront())...)
		t.Rows = append(t.Rows, append(row, diameter, r.Note))
	}
	return t
}

// lengthCells are a length in mm and to the nearest 1/32 in, and by how many mm that is off; nothing where there is no length.
func lengthCells(m float64, known bool) []any {
	if !known {
		return []any{nil, nil, nil}
	}
	in := drilling.NearestInches(m)
	return []any{millimetres(m), in.String(), millimetres(in.ErrorM)}
}
