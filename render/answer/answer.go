// Package answer holds what a command answers as figures, tables, lines and groups of them, made once as data. One
// writer a form makes the bytes: text for a terminal, JSON, CSV, and the blocks of a report are each written from the
// same answer, so that no form can say what another does not.
//
// Every figure carries its key (JSON and CSV, with the unit in the key), its title, its unit and its number of
// decimals. Texts, titles and units are made where an Answer is made; nothing is parsed back out of them. Next:
// package report, which takes the parts of an answer as blocks of a page; the commands of cmd/fathomlux make answers.
package answer

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

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

// WriteText writes the answer for people: figures one below the other with their values in one column, tables with
// their numbers to the right, groups under their titles with their lines set in.
func WriteText(w io.Writer, a Answer) error {
	var b strings.Builder
	writeText(&b, a, "")
	_, err := io.WriteString(w, b.String())
	return err
}

// writeText writes parts; indent stands before each line that has no lead.
func writeText(b *strings.Builder, parts Answer, indent string) {
	var figures [][]string
	flush := func() {
		aligned(b, figures, func(int) bool { return false })
		figures = nil
	}
	for _, p := range On(parts, Text) {
		if f, is := p.(Figure); is {
			figures = append(figures, []string{f.Title, f.Words()})
			continue
		}
		flush()
		switch p := p.(type) {
		case Table:
			writeTable(b, p)
		case Lines:
			lead := indent
			if p.Lead != "" {
				lead = p.Lead + ": "
			}
			for _, line := range p.List {
				b.WriteString(lead + line + "\n")
			}
		case Group:
			if p.Title != "" {
				b.WriteString(p.Title + "\n")
			}
			writeText(b, p.Parts, "  ")
		case Groups:
			for _, g := range p.List {
				g.In = 0 // that of the groups counts
				writeText(b, Answer{g}, "")
			}
		}
	}
	flush()
}

// writeTable writes a table with its columns of numbers, but for the first, to the right.
func writeTable(b *strings.Builder, t Table) {
	if len(t.Rows) == 0 {
		return
	}
	columns := t.columns(Text)
	rows := append([][]string{t.Head(Text)}, t.Cells(Text)...)
	aligned(b, rows, func(i int) bool {
		return i > 0 && slices.ContainsFunc(t.Rows, func(r []any) bool {
			switch r[columns[i]].(type) {
			case nil, bool, string, []string, []float64:
				return false
			}
			return true
		})
	})
}

// aligned writes rows of cells below each other in columns, of which some keep to the right.
func aligned(b *strings.Builder, rows [][]string, right func(column int) bool) {
	var widths []int
	for _, r := range rows {
		widths = append(widths, make([]int, max(0, len(r)-len(widths)))...)
		for i, c := range r {
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	for _, r := range rows {
		line := ""
		for i, c := range r {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))
			if right(i) {
				c = pad + c
			} else {
				c += pad
			}
			line += "  " + c
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

// Words is a figure's value with its unit, for people; "-" where there is none.
func (f Figure) Words() string {
	text := words(f.Value, f)
	if _, isText := f.Value.(string); f.Unit == "" || isText || text == "-" {
		return text
	}
	if f.Unit == "°" {
		return text + f.Unit
	}
	return text + " " + f.Unit
}

// Head returns the titles of the columns in a form for people, each with its unit: "rail °C" in a terminal, "rail, °C"
// on a page.
func (t Table) Head(form Form) (head []string) {
	between := map[bool]string{true: ", ", false: " "}[form == Page]
	for _, i := range t.columns(form) {
		c := t.Columns[i]
		if c.Unit != "" {
			c.Title += between + c.Unit
		}
		head = append(head, c.Title)
	}
	return head
}

// Cells returns the rows as words, in a form for people.
func (t Table) Cells(form Form) (rows [][]string) {
	columns := t.columns(form)
	for _, r := range t.Rows {
		cells := make([]string, len(columns))
		for k, i := range columns {
			cells[k] = words(r[i], t.Columns[i])
		}
		rows = append(rows, cells)
	}
	return rows
}

// words writes a value of a figure for people; "-" where a number is missing, nothing where a text is empty.
func words(v any, f Figure) string {
	switch v := v.(type) {
	case nil:
		return "-"
	case float64:
		if f.Say != nil && !math.IsNaN(v) && !math.IsInf(v, 0) {
			return f.Say(v)
		}
		return Number(v, f.Digits)
	case []string:
		return strings.Join(v, ", ")
	case []float64:
		var list []string
		for _, one := range v {
			list = append(list, words(one, f))
		}
		return strings.Join(list, ", ")
	case bool:
		return map[bool]string{true: "yes", false: "no"}[v]
	}
	return fmt.Sprint(v)
}

// General stands for up to six significant digits in place of a number of decimals.
const General = -1

// Number writes a number with so many decimals, or with General. What rounds to nothing has no sign; what is not
// finite is "-".
func Number(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	text := strconv.FormatFloat(v, 'f', max(digits, 0), 64)
	if digits == General {
		text = strconv.FormatFloat(v, 'g', 6, 64)
	}
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// WriteCSV writes a table with the columns' keys as its first line. Numbers have seven significant digits; what is
// missing is empty; a text that a spreadsheet would run as a formula gets an apostrophe.
func WriteCSV(w io.Writer, t Table) error {
	out := csv.NewWriter(w)
	columns := t.columns(CSV)
	record := make([]string, len(columns))
	for k, i := range columns {
		record[k] = t.Columns[i].Key
	}
	_ = out.Write(record) // Error tells below
	for _, r := range t.Rows {
		for k, i := range columns {
			record[k] = cell(r[i])
		}
		_ = out.Write(record)
	}
	out.Flush()
	return out.Error()
}

// cell writes a value for a CSV file.
func cell(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', 7, 64)
	case []string:
		return harmless(strings.Join(v, "; "))
	case string:
		return harmless(v)
	}
	return fmt.Sprint(v)
}

// harmless keeps a spreadsheet from running a text as a formula, which a sign alone is not.
func harmless(text string) string {
	if len(text) > 1 && strings.ContainsAny(text[:1], "=+-@") {
		return "'" + text
	}
	return text
}
