// Package report writes one page that holds a whole job: texts, pictures, tables, steps and files, in one HTML file
// that asks for nothing else. It opens from disk, prints, and works without scripts; a script of a few lines lets
// tables be sorted. It takes finished pictures and words as plain data, computes nothing and knows no scene.
//
// All text stays text: markup is escaped, and characters that would steer the reader's screen are shown as escapes.
// Next: the command report of cmd/fathomlux, which gathers the data.
package report

// Page is the whole job. Sections come in the order in which they are read.
type Page struct {
	Title    string
	Verdict  string // one sentence
	State    State
	Facts    []Fact    // the few figures that count, each with its unit
	Cautions []Caution // in short; the sections tell them in full
	Sections []Section
	Footer   string
}

// TitleOf returns the title of a section, empty where there is none of that ID.
func (p Page) TitleOf(id string) string {
	for _, s := range p.Sections {
		if s.ID == id {
			return s.Title
		}
	}
	return ""
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
func (s State) String() string {
	switch s {
	case Met:
		return "Goal met"
	case NotMet:
		return "Goal not met"
	}
	return "No goal set"
}

// Fact is one figure with what it is.
type Fact struct{ Name, Value string }

// Caution is one line about what can hurt somebody, with the section that says more.
type Caution struct {
	Text      string
	SectionID string
}

// Section is one chapter. ID names it in links: lower-case letters and hyphens.
type Section struct {
	ID, Title string
	Blocks    []Block
}

// Block is one thing on the page: the field that is set.
type Block struct {
	Heading  string // of a part of the section
	Text     string // one paragraph
	Figure   *Figure
	Table    *Table
	List     []string
	Steps    []Step
	Facts    []Fact
	Words    []Fact // what words mean
	Listing  *Listing
	Cautions []string
}

// Figure is a picture. Lead is the sentence before it: what it shows, and how to read it. Alt says in words what is
// seen.
type Figure struct {
	Name      string // of the file that other commands write it to
	Lead, Alt string
	Image     []byte  // a whole PNG or SVG file
	Scale     float64 // pixels of the PNG a pixel of the page; 0 stands for 1
}

// Table is rows of cells under a head; all rows are as long as the head. Sorts says whether the order of rows is the
// reader's.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
	Sorts   bool
}

// Step is one step of work with the cautions that belong to it.
type Step struct {
	What     string
	Cautions []string
}

// Listing is a text file, shown line by line.
type Listing struct {
	Name, Text string
}
