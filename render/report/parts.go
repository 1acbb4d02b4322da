package report

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"fathomlux/render/answer"
	"fathomlux/scene/unit"
)

// Picture is an image with its words. Lead is the sentence before it: what it shows, and how to read it. Alt says in
// words what is seen.
type Picture struct {
	Name      string // of the file that other commands write it to
	Lead, Alt string
	Image     []byte  // a whole PNG or SVG file
	Scale     float64 // pixels of the PNG a pixel of the page
	Lines     bool    // it may be drawn in light on dark, since its colours stand for no amount of light
}

// Beside are columns of parts that stand side by side where there is room.
type Beside [][]any

// Measures are figures of a goal beside what it asks for.
type Measures []Measure

// Measure is one of them. Share is how much of what is asked is there, 0 to 1.
type Measure struct {
	Title, Value, Asked string
	Share               float64
	Met                 bool
}

// bar is the length of its bar of 100.
func (m Measure) bar() string { return fmt.Sprintf("%.1f", 100*min(max(m.Share, 0), 1)) }

// word says how it fares.
func (m Measure) word() string { return map[bool]string{true: "met", false: "missed"}[m.Met] }

// Words are figures one below the other with room for long values, as for what words mean.
type Words answer.Answer

// Steps are what is done one after the other.
type Steps []Step

// Step is one step of work with the cautions that belong to it.
type Step struct {
	What     string
	Cautions []string
}

// Listing is a text file, shown line by line.
type Listing struct {
	Name, Text string
}

// Cautions are lines about what can hurt somebody.
type Cautions []string

// What the page shows beside these and strings: the heading of a part of a section, and figures side by side.
type (
	heading string
	facts   answer.Answer
)

// table is rows of cells under a head. Figures tells of each column whether it holds figures, which stand to the right.
type table struct {
	answer.Table
	Head    []string
	Rows    [][]string
	Figures []bool
	Short   bool // enough to be kept on one sheet of paper
}

// flat adds parts of a section to a list as the page shows them: figures side by side as facts, lines as sentences of
// a list or, where there is one alone, as a paragraph, and groups under their titles.
func flat(list []any, parts ...any) []any {
	for _, part := range parts {
		switch p := part.(type) {
		case []any:
			list = flat(list, p...)
		case answer.Answer:
			for _, one := range answer.On(p, answer.Page) {
				list = flat(list, one)
			}
		case answer.Groups:
			for _, g := range p.List {
				list = flat(list, g)
			}
		case answer.Group:
			list = flat(append(list, heading(p.Title)), p.Parts)
		case answer.Figure:
			if n := len(list) - 1; n >= 0 {
				if before, is := list[n].(facts); is {
					list[n] = append(before, p)
					continue
				}
			}
			list = append(list, facts{p})
		case answer.Lines:
			var all []string
			for _, line := range p.List {
				all = append(all, strings.TrimSuffix(unit.Capital(line), ".")+".")
			}
			if len(all) == 1 {
				list = append(list, all[0])
			} else {
				list = append(list, all)
			}
		case answer.Table:
			list = append(list, tableOf(p))
		case Beside:
			var columns Beside
			for _, column := range p {
				columns = append(columns, flat(nil, column...))
			}
			list = append(list, columns)
		default:
			list = append(list, p)
		}
	}
	return list
}

// class is that of a cell: figures stand to the right, and neither they nor a few words are broken.
func class(isFigure bool, cell string) string {
	const few = 22 // characters
	switch {
	case isFigure:
		return "figure"
	case utf8.RuneCountInString(cell) <= few:
		return "brief"
	}
	return "text"
}

// figure matches a short cell that begins with a number.
var figure = regexp.MustCompile(`^[+-]?\d.{0,18}$`)

// tableOf returns nil for a table without rows. A column holds figures if its cells are figures, empty or a dash; the
// first never does.
func tableOf(t answer.Table) any {
	if len(t.Rows) == 0 {
		return nil
	}
	const shortRows = 12
	head, rows := t.Head(answer.Page), t.Cells(answer.Page)
	figures := make([]bool, len(head))
	for i := 1; i < len(head); i++ {
		texts := 0
		for _, r := range rows {
			if figure.MatchString(r[i]) {
				figures[i] = true
			} else if r[i] != "" && r[i] != "-" {
				texts++
			}
		}
		figures[i] = figures[i] && texts == 0
	}
	return table{t, head, rows, figures, len(rows) <= shortRows}
}
