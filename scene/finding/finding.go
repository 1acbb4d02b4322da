// Package finding holds what there is to say about a scene as data: a code, a place and arguments. The words of all
// codes are in one table, words.go, and are made at the edge, in the units of whoever reads them. An error says why
// there is no answer, and may be a finding. Next: package unit for the units; each package that finds something.
package finding

import (
	"encoding/json"
	"fmt"
	"strings"

	"fathomlux/scene/unit"
)

// Severity is how much a finding counts.
type Severity int

// The severities: what is worth knowing, what is probably not meant, what cannot be built so.
const (
	Note Severity = iota
	Warning
	Obstacle
)

// String returns the severity's name, which also leads its lines in a terminal.
func (s Severity) String() string { return [...]string{"note", "warning", "obstacle"}[s] }

// Code is a row of the table of words: what kind of thing was found. Each {} of its words stands for an argument.
type Code struct {
	Name     string // for programs
	Severity Severity
	words    string
}

// Of makes a finding, with as many arguments as the words of its code take. It has no place.
func (c *Code) Of(args ...Arg) Finding { return Finding{Code: c, Args: args} }

// Place is a place in a file; Line and Column are 1-based (characters), 0 where the whole file is meant.
type Place struct {
	File         string
	Line, Column int
	Path         string // such as "rails[0].modules.current", empty where the file is meant
}

// String writes the place as "foyer.yaml:22:63: rails[0].modules.current"; the zero Place is empty.
func (p Place) String() string {
	text := p.File
	if p.Line > 0 {
		text += fmt.Sprintf(":%d:%d", p.Line, p.Column)
	}
	if p.Path != "" {
		text += ": " + p.Path
	}
	return text
}

// Finding is one thing to say about a scene or about its answer. The zero Finding is none.
type Finding struct {
	Code  *Code
	Place Place
	Args  []Arg
}

// Any tells whether there is something to say.
func (f Finding) Any() bool { return f.Code != nil }

// At returns the finding at a place.
func (f Finding) At(p Place) Finding {
	f.Place = p
	return f
}

// Words writes what was found without its place, lower case and without a full stop; empty for the zero Finding.
func (f Finding) Words(u unit.System) string {
	if !f.Any() {
		return ""
	}
	text, rest := "", f.Code.words
	for _, a := range f.Args {
		before, after, _ := strings.Cut(rest, "{}")
		text, rest = text+before+a.Say(u), after
	}
	return text + rest
}

// Line writes the finding behind its place.
func (f Finding) Line(u unit.System) string {
	if f.Place == (Place{}) {
		return f.Words(u)
	}
	return f.Place.String() + ": " + f.Words(u)
}

// Sentence writes the words with a capital and a full stop.
func (f Finding) Sentence(u unit.System) string {
	if !f.Any() {
		return ""
	}
	return unit.Capital(f.Words(u)) + "."
}

// String is Line in millimetres.
func (f Finding) String() string { return f.Line(unit.Metric) }

// Error is the finding as why there is no answer.
func (f Finding) Error() string { return f.String() }

// Lines writes findings of at least one severity behind their places.
func Lines(list []Finding, least Severity, u unit.System) (lines []string) {
	for _, f := range list {
		if f.Code.Severity >= least {
			lines = append(lines, f.Line(u))
		}
	}
	return lines
}

// kept is a finding as a file keeps it: with its words made, for readers of either system.
type kept struct {
	Code     string
	Severity Severity
	Place    Place
	Words    spoken
}

// spoken is an argument whose words are made, by unit.System.
type spoken [2]string

// Say returns the words.
func (s spoken) Say(u unit.System) string { return s[u] }

// MarshalJSON writes a finding, null where it is none; what UnmarshalJSON makes of it says the same.
func (f Finding) MarshalJSON() ([]byte, error) {
	if !f.Any() {
		return []byte("null"), nil
	}
	return json.Marshal(kept{f.Code.Name, f.Code.Severity, f.Place, spoken{f.Words(unit.Metric), f.Words(unit.US)}})
}

// UnmarshalJSON reads what MarshalJSON has written. A severity that there is not is taken for Note.
func (f *Finding) UnmarshalJSON(data []byte) error {
	var s *kept
	if err := json.Unmarshal(data, &s); err != nil || s == nil {
		*f = Finding{}
		return err
	}
	if s.Severity < Note || s.Severity > Obstacle {
		s.Severity = Note
	}
	*f = (&Code{s.Code, s.Severity, "{}"}).Of(s.Words).At(s.Place)
	return nil
}
