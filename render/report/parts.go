package report

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/render/answer"
)

// Picture is an image with its words. Lead is the sentence before it: what it shows, and how to read it. Alt says in
// words what is seen.
type Picture struct {
	Name      string // of the file that other commands write it to
	Lead, Alt string
	Image     []byte  // a whole PNG or SVG file
	Scale     float64 // pixels of the PNG a pixel of the page
}

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

// block is one thing on the page: the field that is set.
type block struct {
	Heading  string // of a part of the section
	Text     string // one paragraph
	List     []string
	Facts    Words // side by side
	Words    Words
	Table    *table
	Picture  *Picture
	Steps    Steps
	Listing  *Listing
	Cautions Cautions
}

// table is rows of cells under a head. Figures tells of each column whether it holds figures, which stand to the right.
type table struct {
	Caption      string
	Head         []string
	Rows         [][]string
	Figures      []bool
	Sorts, Short bool
}

// blocks are a part of a section as the page shows it: figures side by side as facts, lines as sentences of a list or,
// where there is one alone, as a paragraph, and groups under their titles.
func blocks(part any) (list []block) {
	var inside []any
	switch p := part.(type) {
	case []any:
		inside = p
	case answer.Answer:
		for _, one := range answer.On(p, answer.Page) {
			inside = append(inside, one)
		}
	case answer.Groups:
		for _, g := range p.List {
			inside = append(inside, g)
		}
	case answer.Group:
		list, inside = []block{{Heading: p.Title}}, []any{p.Parts}
	default:
		return []block{blockOf(p)}
	}
	for _, one := range inside {
		next := blocks(one)
		if n := len(list); n > 0 && list[n-1].Facts != nil && len(next) == 1 && next[0].Facts != nil {
			list[n-1].Facts = append(list[n-1].Facts, next[0].Facts...)
			continue
		}
		list = append(list, next...)
	}
	return list
}

// blockOf is a part that holds no others.
func blockOf(part any) block {
	switch p := part.(type) {
	case string:
		return block{Text: p}
	case []string:
		return block{List: p}
	case answer.Figure:
		return block{Facts: Words{p}}
	case answer.Lines:
		var list []string
		for _, line := range p.List {
			list = append(list, sentence(line))
		}
		if len(list) == 1 {
			return block{Text: list[0]}
		}
		return block{List: list}
	case answer.Table:
		return block{Table: tableOf(p)}
	case Words:
		return block{Words: p}
	case Picture:
		return block{Picture: &p}
	case Steps:
		return block{Steps: p}
	case Listing:
		return block{Listing: &p}
	case Cautions:
		return block{Cautions: p}
	}
	return block{}
}

// shortRows is the number of rows up to which a table is kept on one sheet of paper.
const shortRows = 12

// figure matches a short cell that begins with a number.
var figure = regexp.MustCompile(`^[+-]?\d.{0,18}$`)

// tableOf returns nil for a table without rows. A column holds figures if its cells are figures, empty or a dash; the
// first never does.
func tableOf(t answer.Table) *table {
	if len(t.Rows) == 0 {
		return nil
	}
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
	return &table{t.Title, head, rows, figures, t.Sorts, len(rows) <= shortRows}
}

// sentence writes a line of an answer as a sentence: with a capital at its beginning and a full stop.
func sentence(line string) string {
	first, size := utf8.DecodeRuneInString(line)
	if first != utf8.RuneError {
		line = string(unicode.ToUpper(first)) + line[size:]
	}
	if line == "" || strings.HasSuffix(line, ".") {
		return line
	}
	return line + "."
}
