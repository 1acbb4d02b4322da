// Package report writes one page that holds a whole job: texts, pictures, tables, steps and files, in one HTML file
// that asks for nothing else. It opens from disk, prints, and works without scripts; a script of a few lines lets
// tables be sorted. It takes finished pictures, words and the parts of answers, computes nothing and knows no scene.
//
// All text stays text: markup is escaped, and characters that would steer the reader's screen are shown as escapes.
// Next: the command report of cmd/fathomlux, which gathers the data.
package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"image/png"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fathomlux/render/answer"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// Page is the whole job. Sections come in the order in which they are read.
type Page struct {
	Title    string
	Verdict  string // one sentence
	State    State
	First    []any     // parts of the first page, below the verdict
	Cautions []Caution // in short; the sections that they name tell them in full
	Sections []Section
	Footer   string
}

// State says how the goal fares.
type State int

// The states of a goal.
const (
	NoGoal State = iota
	Met
	NotMet
)

// String says it in words.
func (s State) String() string { return [...]string{"No goal set", "Goal met", "Goal not met"}[s] }

// Caution is one line about what can hurt somebody, with ID and title of the section that says more.
type Caution struct{ Text, ID, Title string }

// chapters are the sections that tell a caution, each once, by their IDs and titles.
func (p Page) chapters() (list []Caution) {
	for _, c := range p.Cautions {
		if c.Text = ""; !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	return list
}

// Section is one chapter. ID names it in links: lower-case letters and hyphens. Parts are paragraphs (string), lists
// ([]string), answers and parts of answers, lists of parts ([]any), and the types below.
type Section struct {
	ID, Title string
	Parts     []any
}

//go:embed page/page.css
var pageCSS string

//go:embed page/page.js
var pageJS string

// Write writes the page. The same data gives the same bytes. Errors: a picture that is neither PNG nor SVG, and those
// of w.
func Write(w io.Writer, p Page) error {
	var m markup
	if m.page(p); m.err != nil {
		return m.err
	}
	_, err := io.WriteString(w, document.Visible(m.String(), '\n', '\t'))
	return err
}

func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// lines divides a file's text into lines, whatever their ends are.
func lines(text string) []string {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	return strings.Split(strings.TrimRight(text, "\n"), "\n")
}

// image is a picture as the page takes it: its content as an address, its size in pixels of the page, and whether two
// like it have room on a sheet.
type image struct {
	Source        string
	Width, Height float64
	Flat          bool
}

// sized finds width and height in the first tag of an SVG file, plain numbers.
var sized = regexp.MustCompile(`<svg\b[^>]*\swidth="([0-9.]+)"[^>]*\sheight="([0-9.]+)"`)

// place encodes a picture. Base64 holds no character that HTML gives a meaning to.
func place(p Picture) (at image, err error) {
	kind := "image/png"
	if c, err := png.DecodeConfig(bytes.NewReader(p.Image)); err == nil {
		at.Width, at.Height = float64(c.Width)/p.Scale, float64(c.Height)/p.Scale
	} else if found := sized.FindSubmatch(p.Image); found != nil {
		kind = "image/svg+xml"
		at.Width, _ = strconv.ParseFloat(string(found[1]), 64)
		at.Height, _ = strconv.ParseFloat(string(found[2]), 64)
	}
	if !(at.Width > 0 && at.Height > 0) {
		return at, fmt.Errorf("picture %s: neither a PNG nor an SVG file with its size", p.Name)
	}
	at.Width, at.Height, at.Flat = math.Round(at.Width), math.Round(at.Height), at.Width > 1.4*at.Height
	at.Source = "data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(p.Image)
	return at, nil
}

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
