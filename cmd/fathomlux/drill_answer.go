package main

import (
	"fathomlux/render/answer"
	"fathomlux/scene/drilling"
)

// drillAnswer is the answer of drill: each rail with its table.
func drillAnswer(paper string, list []drilled) answer.Answer {
	rails := answer.Groups{Key: "rails"}
	for _, d := range list {
		rails.List = append(rails.List, d.answer())
	}
	return answer.Answer{answer.Figure{Key: "paper", Value: paper}, rails}
}

// drillWarnings are the warnings of all rails.
func drillWarnings(list []drilled) (parts answer.Answer) {
	for _, d := range list {
		parts = append(parts, d.warnings())
	}
	return parts
}

func (d drilled) warnings() answer.Lines {
	return answer.Lines{Key: "warnings", Lead: "warning: rail " + d.plan.Name, List: d.plan.Warnings}
}

// answer is one rail.
func (d drilled) answer() answer.Group {
	p := d.plan
	return answer.Group{
		Title: "rail " + p.Name + ": " + p.Profile + ", " + drilling.Millimetres(p.LengthM) +
			" mm long; distances from the left end and from the front edge",
		Parts: append(fields("name", p.Name, "profile", p.Profile, "length_mm", millimetres(p.LengthM),
			"width_mm", millimetres(p.WidthM), "pdf", d.name+".pdf", "svg", d.name+".svg", "csv", d.name+".csv"),
			drillTable(p), d.warnings()),
	}
}

// drillTable is a rail's table of distances from its left end and its front edge.
func drillTable(p drilling.Layout) answer.Table {
	t := answer.Table{Key: "rows", Title: "Rail " + p.Name + ", " + p.Profile, Sorts: true, Columns: []answer.Column{
		{Key: "mark", Title: "mark"}, {Key: "module", Title: "module"}, col("from_left_mm", "from left", "mm", 1),
		col("from_left_in", "from left", "in", 0), col("from_left_in_error_mm", "rounding", "mm", 2),
		col("from_front_mm", "from front", "mm", 1), col("from_front_in", "from front", "in", 0),
		col("from_front_in_error_mm", "rounding", "mm", 2), col("diameter_mm", "hole", "mm", 1),
		{Key: "note", Title: "note"}}}
	for _, r := range p.Rows() {
		row := append([]any{string(r.Mark), optional(r.Module, r.Module > 0)}, lengthCells(r.FromLeftM, true)...)
		row = append(row, lengthCells(r.FromFrontM, r.HasFront())...)
		t.Rows = append(t.Rows, append(row, optional(millimetres(r.DiameterM), r.DiameterM > 0), r.Note))
	}
	return t
}

// lengthCells are a length in mm and to the nearest 1/32 in, and by how many mm that is off; nothing where there is no
// length.
func lengthCells(m float64, known bool) []any {
	if !known {
		return []any{nil, nil, nil}
	}
	in := drilling.NearestInches(m)
	return []any{millimetres(m), in.String(), millimetres(in.ErrorM)}
}
