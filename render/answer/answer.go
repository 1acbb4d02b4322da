// Package answer holds what a command answers as figures, tables, lines and groups of them, made once as data. One
// writer a form makes the bytes: text for a terminal, JSON, CSV, and the blocks of a report are each written from the
// same answer, so that no form can say what another does not.
//
// Every figure carries its key (JSON and CSV, with the unit in the key), its title, its unit and its number of
// decimals. Texts, titles and units are made where an Answer is made; nothing is parsed back out of them. Next:
// package report, which takes the parts of an answer as blocks of a page; the commands of cmd/fathomlux make answers.
package answer

import "slices"

// Form is one form of an answer, or several together.
type Form uint8

// The forms of an answer. A part whose In is 0 stands in all of them.
const (
	Text   Form = 1 << iota // for people, in a terminal
	JSON                    // one document for programs
	CSV                     // columns of tables alone
	Page                    // in the report
	People = Text | Page
	Data   = JSON | CSV
)

// has tells whether a part with this In stands in a form.
func (f Form) has(one Form) bool { return f == 0 || f&one != 0 }

// Answer is what a command answers: its parts in the order in which they are read.
type Answer []Part

// On returns the parts that stand in a form: those of an answer within it, not those of groups.
func On(a Answer, form Form) (parts Answer) {
	for _, p := range a {
		if more, is := p.(Answer); is {
			parts = append(parts, On(more, form)...)
		} else if p.in().has(form) {
			parts = append(parts, p)
		}
	}
	return parts
}

// Part is one of Figure, Table, Lines, Group, Groups and Answer.
type Part interface{ in() Form }

// Figure is one value: a float64, an int, a string, a bool, a list of numbers or strings, or nil where there is
// none; in JSON alone also a Table or an Answer.
type Figure struct {
	Key    string               // in JSON, with the unit: "load_w"; empty where it stands in no JSON
	Title  string               // for people; empty where only JSON has the figure
	Unit   string               // for people: "W"
	Digits int                  // decimals, for people
	Say    func(float64) string // writes a number for people in place of Digits
	Value  any
	In     Form
}

// Table is rows of cells; each row is as long as Columns. Cells are values as those of a Figure, or words in a column
// of numbers.
type Table struct {
	Key     string // of the list of rows in JSON; empty where it stands in no JSON
	Title   string // caption on a page
	Columns []Column
	Rows    [][]any
	In      Form
}

// Column is what all figures of a column of a table have in common. Key serves JSON and CSV, the rest people.
type Column = Figure

// Rows makes a table of records that hold the same figures in the same order, one record a row.
func Rows(key, title string, records ...Answer) Table {
	t := Table{Key: key, Title: title}
	for _, record := range records {
		row := make([]any, len(record))
		t.Columns = make([]Column, len(record))
		for i, p := range record {
			f := p.(Figure)
			row[i], f.Value = f.Value, nil
			t.Columns[i] = f
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// TableOf makes a table with one row for each thing of a list.
func TableOf[T any](key string, columns []Column, list []T, row func(T) []any) Table {
	t := Table{Key: key, Columns: columns}
	for _, one := range list {
		t.Rows = append(t.Rows, row(one))
	}
	return t
}

// Lines are sentences, each behind the same lead: "note: ...".
type Lines struct {
	Key  string // of the list in JSON
	Lead string // in a terminal; empty for none
	List []string
	In   Form
}

// Group is parts that belong together: an object in JSON, a part under a heading for people.
type Group struct {
	Key, Title string
	Parts      Answer
	In         Form
}

// Groups are alike groups: a list of objects in JSON. Their own keys are not used.
type Groups struct {
	Key  string
	List []Group
	In   Form
}

// in is for programs alone where there is no title.
func (f Figure) in() Form {
	if f.Title == "" && f.In != JSON {
		return Data
	}
	return f.In
}

// in is for programs alone where no column has a title.
func (t Table) in() Form {
	if t.In == 0 && !slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Title != "" }) {
		return Data
	}
	return t.In
}

func (a Answer) in() Form { return 0 }
func (l Lines) in() Form  { return l.In }
func (g Group) in() Form  { return g.In }
func (g Groups) in() Form { return g.In }

// columns returns the numbers of the columns that stand in a form.
func (t Table) columns(f Form) (list []int) {
	for i, c := range t.Columns {
		if c.In.has(f) && (c.Key != "" || f&Data == 0) && (c.Title != "" || f&People == 0) {
			list = append(list, i)
		}
	}
	return list
}
