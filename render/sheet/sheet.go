// Package sheet draws a contact sheet: the plan maps of several candidates on one common scale of colours, profiles along
// the tank below them, and a table of their figures. It judges nothing: which candidate meets the goal, and the verdict, it
// is told. Lengths are metres, light is in the field's own unit.
// Next: package heatmap for one plan by itself, package chart for the profiles' lines.
package sheet

import (
	"cmp"
	"fmt"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/heatmap"
	"fathomlux/render/style"
)

// mostCandidates is the largest number of candidates on one sheet.
const mostCandidates = 60

// Candidate is one of those that are compared.
type Candidate struct {
	Name            string
	Field           result.Field
	Statistics      result.Statistics // of the sheet's quantity; its min/mean chooses the profiles of a large sheet
	LengthM, WidthM float64           // of its tank, inside; 0: the sheet's
	Rails           []heatmap.Rail
	Modules         []heatmap.Mark
	Figures         []string // the cells of its row, as many as the sheet's columns
	Met             bool     // the goal
	Note            string   // a line below its map
}

// Sheet is all that a contact sheet shows.
type Sheet struct {
	Title, Subtitle string
	Quantity        result.Quantity
	Candidates      []Candidate
	RowHead         string   // what a row of the table is; "candidate" where empty
	Columns         []string // names of the figures, with their units
	LengthM, WidthM float64  // of the tanks, inside, where a candidate does not have its own
	GoalAsked       bool     // there is a goal that candidates meet or miss
	GoalLevel       float64  // of the quantity; 0 where the goal names none
	Verdict         string   // a sentence below the title
	Notes           []string
	Footer          string
	Scale           style.Scale // zero: from 0 to the highest of all candidates
	Units           style.Units
	PixelFactor     float64 // 0 is 1; 2 for a sharper picture
}

var verdictFont = style.Font{SizePt: 17, Bold: true}

// textWidth is the width of the page's text, in points.
const textWidth = fig.PageWidth - 2*fig.Margin

// Draw draws the sheet, 1400 points wide. It refuses no candidate or more than mostCandidates, sizes that are no sizes,
// values that are not as many as the cells, and rows that are not as long as the columns.
func Draw(s Sheet) (*style.Canvas, error) {
	s = s.filled()
	if err := s.check(); err != nil {
		return nil, err
	}
	t, err := style.NewTypesetter(s.PixelFactor)
	if err != nil {
		return nil, err
	}
	if !s.Scale.Usable() {
		s.Scale = style.ScaleFor(s.values()...)
	}
	profile, err := s.profile(t)
	if err != nil {
		return nil, err
	}
	table, left := s.table().Block(t, textWidth)
	notes := append([]string(nil), s.Notes...)
	if left > 0 {
		notes = append(notes, fmt.Sprintf("The table has no room for its last %d columns.", left))
	}
	maps := newLayout(s)
	if maps.uneven() {
		notes = append(notes, "The maps of small tanks are drawn larger than the others, in their own scale of lengths.")
	}
	blocks := []fig.Block{
		fig.Heading(t, s.Title, s.Subtitle, textWidth),
		fig.Paragraph(t, []string{s.Verdict}, verdictFont, textWidth),
		maps.block(),
		fig.BarFor(s.Quantity.Name(), s.Quantity.Unit(), s.Scale, s.GoalLevel, s.values()...).Block(),
	}
	blocks = append(append(blocks, profile...), table,
		fig.Paragraph(t, notes, style.TextFont, textWidth),
		fig.Paragraph(t, []string{s.Footer}, style.SmallFont, textWidth))
	return fig.DrawPage(t, fig.PageWidth, blocks)
}

// filled returns the sheet with every candidate's tank given.
func (s Sheet) filled() Sheet {
	all := append([]Candidate(nil), s.Candidates...)
	for i := range all {
		if c := &all[i]; c.LengthM == 0 && c.WidthM == 0 {
			c.LengthM, c.WidthM = s.LengthM, s.WidthM
		}
	}
	s.Candidates = all
	return s
}

func (s Sheet) check() error {
	if n := len(s.Candidates); n < 1 || n > mostCandidates {
		return fmt.Errorf("sheet: %d candidates; 1 to %d serve", n, mostCandidates)
	}
	for i, c := range s.Candidates {
		if err := s.plan(c).Check(); err != nil {
			return fmt.Errorf("sheet: candidate %d: %w", i+1, err)
		}
		if len(c.Figures) != len(s.Columns) {
			return fmt.Errorf("sheet: candidate %d has %d figures for %d columns", i+1, len(c.Figures), len(s.Columns))
		}
	}
	return nil
}

// plan returns the candidate's map.
func (s Sheet) plan(c Candidate) heatmap.Plan {
	return heatmap.Plan{
		Field: c.Field, Quantity: s.Quantity, LengthM: c.LengthM, WidthM: c.WidthM,
		Rails: c.Rails, Modules: c.Modules, Scale: s.Scale,
	}
}

func (s Sheet) values() [][]float64 {
	var all [][]float64
	for _, c := range s.Candidates {
		all = append(all, s.Quantity.Drawn(c.Field))
	}
	return all
}

// name returns a candidate's name with its number, by which map, line and row are found again.
func (s Sheet) name(i int) string {
	if len(s.Candidates) == 1 {
		return s.Candidates[i].Name
	}
	return fmt.Sprintf("%d  %s", i+1, s.Candidates[i].Name)
}

// sign returns the sign of a candidate: a disc where it meets the goal, a ring where it does not.
func (s Sheet) sign(c Candidate) fig.FigureMark {
	switch {
	case !s.GoalAsked:
		return fig.NoMark
	case c.Met:
		return fig.Filled
	}
	return fig.Hollow
}

// table returns the candidates' rows.
func (s Sheet) table() fig.Table {
	t := fig.Table{Columns: append([]string{cmp.Or(s.RowHead, "candidate")}, s.Columns...)}
	if s.GoalAsked {
		t.Columns = append(t.Columns, "goal")
	}
	for i, c := range s.Candidates {
		row := fig.Row{Cells: append([]string{s.name(i)}, c.Figures...), Mark: s.sign(c)}
		switch {
		case s.GoalAsked && c.Met:
			row.Cells = append(row.Cells, "met")
		case s.GoalAsked:
			row.Cells = append(row.Cells, "not met")
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// profile returns the lines along the tanks, with a heading.
func (s Sheet) profile(t *style.Typesetter) ([]fig.Block, error) {
	shown := s.best()
	lines := chart.Lines{
		XLabel: s.axisName(), YLabel: s.Quantity.Name() + ", " + s.Quantity.Unit(), FromZero: true,
		LowNote: "thin, in the same colour: lowest over the width", HeightPt: profileHeight,
	}
	for _, i := range shown {
		c := s.Candidates[i]
		lines.To = math.Max(lines.To, math.Max(c.LengthM, c.WidthM)/s.Units.Metres())
		lines.Lines = append(lines.Lines, s.line(i))
	}
	if s.GoalLevel > 0 {
		lines.Limits = []chart.Limit{{Y: s.GoalLevel, Label: "goal " + style.FourDigits(s.GoalLevel)}}
	}
	blocks, err := lines.Blocks(t, textWidth)
	if err != nil {
		return nil, err
	}
	return append([]fig.Block{fig.Paragraph(t, []string{s.profileTitle(len(shown))}, style.TextFont, textWidth)}, blocks...), nil
}
