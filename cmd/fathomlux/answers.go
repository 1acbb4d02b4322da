package main

import (
	"bytes"
	"context"
	"io"
	"math"
	"strings"

	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// say prints an answer in the form that the call asks for: JSON, or in a terminal all of it, or under --quiet what is
// brief.
func (o common) say(w io.Writer, whole, brief answer.Answer) error {
	switch {
	case o.json:
		return answer.WriteJSON(w, whole)
	case o.quiet:
		return answer.WriteText(w, brief)
	}
	return answer.WriteText(w, whole)
}

// tell hands over an answer and its files, whole or not at all.
func (o common) tell(ctx context.Context, s streams, dir string, files []output.File, whole,
	brief answer.Answer) error {
	return o.deliver(ctx, s, dir, files, func(s streams) error { return o.say(s.Out, whole, brief) })
}

// pictureFiles are pictures as files.
func pictureFiles(pictures []render.Picture) (files []output.File) {
	for _, p := range pictures {
		files = append(files, bytesFile(p.Name, p.Data))
	}
	return files
}

// headOf begins an answer: the scene's file, its title and the folder.
func headOf(sc *scene.Scene, file, dir string) answer.Answer {
	return answer.Answer{
		answer.Lines{List: []string{titleOr(sc.Title)}, In: answer.Text},
		answer.Figure{Key: "scene", Value: file},
		answer.Figure{Key: "title", Value: sc.Title},
		answer.Figure{Key: "out", Value: dir},
	}
}

// tailOf ends an answer: the files, then what is odd, what is to be known and what can hurt somebody.
func tailOf(sc *scene.Scene, dir string, files []output.File, notes, cautions []string) answer.Answer {
	return tail(dir, files, warningsOf(sc), notes, cautions)
}

// tail is tailOf with warnings of any scenes.
func tail(dir string, files []output.File, odd []document.Fault, notes, cautions []string) answer.Answer {
	list := append(answer.Answer{wroteLines(dir, files)}, faultParts("warnings", "warning", odd)...)
	return append(list, answer.Lines{Key: "notes", Lead: "note", List: notes},
		answer.Lines{Key: "cautions", Lead: "caution", List: cautions})
}

// wroteLines says where the files are.
func wroteLines(dir string, files []output.File) answer.Lines {
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return answer.Lines{List: []string{"wrote to " + dir + ": " + strings.Join(names, ", ")}, In: answer.Text}
}

// faultParts are faults or warnings with their places: line and column are 1-based, 0 where the whole file is meant.
func faultParts(key, lead string, faults []document.Fault) answer.Answer {
	t := answer.Table{Key: key, In: answer.JSON, Columns: []answer.Column{{Key: "file"}, {Key: "line"},
		{Key: "column"}, {Key: "path"}, {Key: "message"}}}
	lines := answer.Lines{Lead: lead, In: answer.People}
	for _, f := range faults {
		t.Rows = append(t.Rows, []any{f.File, f.Line, f.Column, f.Path, f.Message})
		lines.List = append(lines.List, f.Error())
	}
	return answer.Answer{t, lines}
}

// csvFile is a table as a file.
func csvFile(name string, t answer.Table) output.File {
	var b bytes.Buffer
	_ = answer.WriteCSV(&b, t) // a buffer takes all
	return bytesFile(name, b.Bytes())
}

// col is a column of numbers or words for all forms.
func col(key, title, unit string, digits int) answer.Column {
	return answer.Column{Key: key, Title: title, Unit: unit, Digits: digits}
}

// keys are columns for programs alone.
func keys(names ...string) (columns []answer.Column) {
	for _, name := range names {
		columns = append(columns, answer.Column{Key: name})
	}
	return columns
}

// amount is a figure that has at least two significant digits for people.
func amount(key, title, unit string, digits int, v float64) answer.Figure {
	return answer.Figure{Key: key, Title: title, Unit: unit, Digits: decimals(v, digits), Value: v}
}

// optional is a value, or nothing where it is not known.
func optional(v any, known bool) any {
	if !known {
		return nil
	}
	return v
}

// fields are figures for programs alone, written as keys and values in turn.
func fields(pairs ...any) (list answer.Answer) {
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, answer.Figure{Key: pairs[i].(string), Value: pairs[i+1]})
	}
	return list
}

// decimals returns the decimals that a figure below one takes to keep two digits, as unit.Figure writes it; least for
// others.
func decimals(v float64, least int) int {
	if math.Abs(v) >= 1 {
		return least
	}
	text := unit.Figure(v, least)
	if strings.Contains(text, "e") {
		return least
	}
	_, after, _ := strings.Cut(text, ".")
	return max(least, len(after))
}

// finer gives each column of a table the decimals that its least figure takes to keep two digits.
func finer(t answer.Table) answer.Table {
	for i := range t.Columns {
		for _, r := range t.Rows {
			if v, is := r[i].(float64); is {
				t.Columns[i].Digits = decimals(v, t.Columns[i].Digits)
			}
		}
	}
	return t
}
