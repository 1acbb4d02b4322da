// Package sheet draws a contact sheet: the plan maps of several candidates on one common scale of colours, profiles
// along the tank below them, and a table of their figures. It judges nothing: which candidate meets the goal, and the
// verdict, it is told. Lengths are metres, light is in the field's own unit. Next: package plan for one plane by
// itself, package chart for the profiles' lines.
package sheet

import (
	"cmp"
	"fmt"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
)

const mostCandidates = 60

// Candidate is one of those that are compared.
type Candidate struct {
	result.Candidate
	Scene    *scene.Scene
	Spectrum string // only modules with this one are shown; empty: all
	Plane    *result.Plane
	Figures  []string // the cells of its row, as many as the sheet's columns
}

// Sheet is all that a contact sheet shows.
type Sheet struct {
	fig.Page
	Quantity   result.Quantity
	Candidates []Candidate
	RowHead    string   // what a row of the table is; "candidate" where empty
	Columns    []string // names of the figures, with their units
	Verdict    string   // a sentence below the title
	Scale      style.Scale
}

// textWidth is the width of the page's text, in points.
const textWidth = fig.PageWidth - 2*fig.Margin

// Draw draws the sheet, 1400 points wide; without a scale of its own it has one from 0 to the highest of all
// candidates. It refuses no candidate or more than mostCandidates, and rows that are not as long as the columns.
func (s Sheet) Draw() (*style.Canvas, error) {
	if n := len(s.Candidates); n < 1 || n > mostCandidates {
		return nil, fmt.Errorf("sheet: %d candidates; 1 to %d serve", n, mostCandidates)
	}
	var values [][]float64
	for i, c := range s.Candidates {
		if len(c.Figures) != len(s.Columns) {
			return nil, fmt.Errorf("sheet: candidate %d has %d figures for %d columns", i+1, len(c.Figures), len(s.Columns))
		}
		values = append(values, s.Quantity.Drawn(c.Plane.Field))
	}
	if s.Scale.High == s.Scale.Low {
		s.Scale = style.ScaleFor(values...)
	}
	return s.Page.Draw(fig.PageWidth, func(t *style.Typesetter, textPt float64) []fig.Block {
		table, left := s.table().Block(t, textPt)
		var notes []string
		if left > 0 {
			notes = append(notes, fmt.Sprintf("The table has no room for its last %d columns.", left))
		}
		lines, title := s.profiles()
		blocks := []fig.Block{
			fig.Paragraph(t, []string{s.Verdict}, style.Font{SizePt: 17, Bold: true}, textPt),
			newLayout(s).block(),
			fig.Key(s.Quantity.Name(), s.Quantity.Unit(), s.Scale, s.goalLevel(), values...),
			fig.Paragraph(t, []string{title}, style.TextFont, textPt),
		}
		return append(append(blocks, lines.Blocks(t, textPt)...), table, fig.Paragraph(t, notes, style.TextFont, textPt))
	})
}

func differ[T comparable](s Sheet, of func(Candidate) T) bool {
	return slices.ContainsFunc(s.Candidates, func(c Candidate) bool { return of(c) != of(s.Candidates[0]) })
}

// CommonPlane returns the name of the plane that all are judged by; empty where they differ.
func (s Sheet) CommonPlane() string {
	if differ(s, func(c Candidate) string { return c.Plane.Name }) {
		return ""
	}
	return s.Candidates[0].Plane.Name
}

func (s Sheet) goalAsked() bool {
	return slices.ContainsFunc(s.Candidates, func(c Candidate) bool { return c.Goal.Asked })
}

// goalLevel returns the mean of the quantity that all goals ask for; 0 where they differ.
func (s Sheet) goalLevel() float64 {
	first := s.Candidates[0].Goal
	if first.Shown != s.Quantity || differ(s, func(c Candidate) result.Quantity { return c.Goal.Shown }) ||
		differ(s, func(c Candidate) float64 { return c.Goal.Level }) {
		return 0
	}
	return first.Level
}

// name returns a candidate's name with its number, by which map, line and row are found again.
func (s Sheet) name(i int) string {
	if len(s.Candidates) == 1 {
		return s.Candidates[i].Name
	}
	return fmt.Sprintf("%d  %s", i+1, s.Candidates[i].Name)
}

// sign returns the sign of a candidate: a disc where it meets the goal, a ring where it does not.
func (s Sheet) sign(c Candidate) fig.Mark {
	switch {
	case !s.goalAsked():
		return fig.None
	case c.Goal.Met:
		return fig.Disc
	}
	return fig.Ring
}

func (s Sheet) table() fig.Table {
	t := fig.Table{Columns: append([]string{cmp.Or(s.RowHead, "candidate")}, s.Columns...)}
	if s.goalAsked() {
		t.Columns = append(t.Columns, "goal")
	}
	for i, c := range s.Candidates {
		row := fig.Row{Cells: append([]string{s.name(i)}, c.Figures...), Mark: s.sign(c)}
		if s.goalAsked() {
			row.Cells = append(row.Cells, map[bool]string{true: "met", false: "not met"}[c.Goal.Met])
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
