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

	"fathomlux/scene/document"
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
