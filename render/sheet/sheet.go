// Package sheet draws a contact sheet: the plan maps of several candidates on one common scale of colours, profiles
// along the tank below them, and a table of their figures. It judges nothing: which candidate meets the goal, and the
// verdict, it is told. Lengths are metres, light is in the field's own unit. Next: package plan for one plane by
// itself, package chart for the profiles' lines.
package sheet

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/render/plan"
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

// The sizes of the maps' grid, in points.
const (
	cellGapX   = 26.0
	cellGapY   = 14.0
	nameRow    = 20.0 // above a map
	noteRow    = 19.0 // below it
	leastCell  = 150.0
	mostAcross = 8
	tallest    = 460.0 // of one map
	aimHeight  = 620.0 // of the grid; a large sheet may have aimLarge
	aimLarge   = 1100.0
	largeSheet = 24
)

// layout is where the maps stand: columns of equal width, all maps at one scale of lengths.
type layout struct {
	Sheet
	columns   int
	cellWidth float64
	perM      float64 // points a metre
	rowHeight float64
}

// newLayout chooses the number of columns whose maps are the largest without the grid growing too high; an empty
// place in the last row costs half its share.
func newLayout(s Sheet) (best layout) {
	longest, widest, note := 0.0, 0.0, 0.0
	for _, c := range s.Candidates {
		longest, widest = math.Max(longest, c.Scene.Tank.LengthM), math.Max(widest, c.Scene.Tank.WidthM)
		if s.note(c) != "" {
			note = noteRow
		}
	}
	most, aim := math.Inf(-1), aimHeight
	if len(s.Candidates) > largeSheet {
		aim = aimLarge
	}
	for columns := 1; columns <= min(len(s.Candidates), mostAcross); columns++ {
		l := layout{Sheet: s, columns: columns, cellWidth: (textWidth - float64(columns-1)*cellGapX) / float64(columns)}
		if columns > 1 && l.cellWidth < leastCell {
			break
		}
		l.perM = math.Min(l.cellWidth/longest, tallest/widest)
		l.rowHeight = nameRow + l.perM*widest + note + cellGapY
		score := l.perM * (0.5 + 0.5*float64(len(s.Candidates))/float64(columns*l.rows()))
		if l.height() > aim {
			score = -l.height() // of those that are too high the lowest
		}
		if score > most {
			best, most = l, score
		}
	}
	return best
}

func (l layout) rows() int { return (len(l.Candidates) + l.columns - 1) / l.columns }

func (l layout) height() float64 { return float64(l.rows())*l.rowHeight - cellGapY }

func (l layout) block() fig.Block {
	return fig.Block{HeightPt: l.height(), Draw: func(c *style.Canvas, box style.Box) {
		for i := range l.Candidates {
			at := style.Pt(box.Left+float64(i%l.columns)*(l.cellWidth+cellGapX), box.Top+float64(i/l.columns)*l.rowHeight)
			l.candidate(c, i, at)
		}
	}}
}

// candidate draws one map with its sign and name above and its note below.
func (l layout) candidate(c *style.Canvas, i int, at style.Point) {
	one, tank := l.Candidates[i], l.Candidates[i].Scene.Tank
	write := func(text string, x, y float64, ink color.NRGBA) {
		c.Write(style.Text{Text: c.Shorten(text, style.LabelFont, at.X+l.cellWidth-x), At: style.Pt(x, y),
			Anchor: style.MiddleLeft, Font: style.LabelFont, Colour: ink})
	}
	nameX, nameY := at.X, at.Y+nameRow/2-2
	if mark := l.sign(one); mark != fig.None {
		mark.Sign(c, style.Pt(at.X+6, nameY), 5)
		nameX += 18
	}
	write(l.name(i), nameX, nameY, style.Ink)
	frame := style.Box{Left: at.X, Right: at.X + l.perM*tank.LengthM, Top: at.Y + nameRow, Bottom: at.Y + nameRow +
		l.perM*tank.WidthM}
	plan.Small{Scene: one.Scene, Spectrum: one.Spectrum, Field: one.Plane.Field, Quantity: l.Quantity,
		Scale: l.Scale}.Draw(c, frame)
	if note := l.note(one); note != "" {
		write(note, at.X, frame.Bottom+noteRow/2+2, style.SoftInk)
	}
}

// note returns the line below a map: the tank's size and the plane's name where they differ, and why the candidate
// cannot be built.
func (s Sheet) note(c Candidate) string {
	size := func(c Candidate) string {
		return s.Units.Figure(c.Scene.Tank.LengthM) + " \u00d7 " + s.Units.Length(c.Scene.Tank.WidthM)
	}
	var words []string
	if differ(s, size) {
		words = append(words, size(c))
	}
	if s.CommonPlane() == "" {
		words = append(words, "plane \""+c.Plane.Name+"\"")
	}
	if why := c.Goal.Unbuildable; why.Any() {
		words = append(words, why.Words(s.Units))
	}
	return strings.Join(words, "; ")
}

const (
	mostProfiles  = 8 // more candidates than this share a chart of the best
	bestProfiles  = 6
	profileHeight = 400.0
)

// best returns which candidates have a profile: all, or of many those with the highest uniformity, candidates that
// meet the goal before the others, in the sheet's order.
func (s Sheet) best() []int {
	var order []int
	for i := range s.Candidates {
		order = append(order, i)
	}
	if len(order) <= mostProfiles {
		return order
	}
	met := map[bool]int{true: 1}
	slices.SortStableFunc(order, func(i, j int) int { // a value that is none is below all others
		a, b := s.Candidates[i], s.Candidates[j]
		return cmp.Or(met[b.Goal.Met]-met[a.Goal.Met],
			cmp.Compare(b.Light(s.Quantity).MinOverMean, a.Light(s.Quantity).MinOverMean))
	})
	order = order[:bestProfiles]
	slices.Sort(order)
	return order
}

func (s Sheet) profiles() (c chart.Chart, title string) {
	shown := s.best()
	from := map[bool]string{false: "from the left", true: "from the front"}[s.Candidates[0].upright()]
	if differ(s, Candidate.upright) {
		from = "from the left or the front, along the longer side"
	}
	p := chart.Panel{X: chart.Axis{Label: from + ", " + s.Units.Name(), Tight: true},
		Y: chart.Axis{Label: s.Quantity.Name() + ", " + s.Quantity.Unit(), Zero: true}}
	if level := s.goalLevel(); level > 0 {
		p.Limits = []chart.Limit{{At: level, Label: "goal " + style.FourDigits(level)}}
	}
	for k, i := range shown {
		p.X.High = math.Max(p.X.High, s.Candidates[i].longM()/s.Units.Metres())
		p.Series = append(p.Series, s.lines(k, i)...)
	}
	title = "Along the tank: mean over the width; thin, in the same colour: lowest over the width."
	if len(shown) < len(s.Candidates) {
		which := "with the highest uniformity"
		if s.goalAsked() {
			which += ", those that meet the goal first"
		}
		title += fmt.Sprintf(" Shown are the %d of %d candidates %s; the table has all.", len(shown), len(s.Candidates),
			which)
	}
	return chart.Chart{HeightPt: profileHeight, Panels: []chart.Panel{p}}, title
}

// upright tells whether the candidate's long axis is y, and longM how long it is.
func (c Candidate) upright() bool { return c.Scene.Tank.WidthM > c.Scene.Tank.LengthM }

func (c Candidate) longM() float64 { return math.Max(c.Scene.Tank.LengthM, c.Scene.Tank.WidthM) }

// lines returns the k-th profile, of a candidate, along its longer side: the mean and the lowest of the cells across
// it that no obstacle fills.
func (s Sheet) lines(k, candidate int) []chart.Series {
	c := s.Candidates[candidate]
	grid, values := c.Plane.Field.Grid, s.Quantity.Drawn(c.Plane.Field)
	n, across, along, aside := grid.NX, grid.NY, 1, grid.NX // steps of the index
	if c.upright() {
		n, across, along, aside = across, n, aside, along
	}
	pen, _ := chart.Look(k, 2)
	mean := chart.Series{Name: s.name(candidate), Pen: pen}
	pen.Width = 1
	low := chart.Series{Pen: pen}
	for i := range n {
		sum, count, least := 0.0, 0, math.Inf(1)
		for j := range across {
			if v := values[i*along+j*aside]; v-v == 0 {
				sum, count, least = sum+v, count+1, math.Min(least, v)
			}
		}
		x := (float64(i) + 0.5) / float64(n) * c.longM() / s.Units.Metres()
		mean.X, mean.Y = append(mean.X, x), append(mean.Y, sum/float64(count)) // no number where nothing is left
		low.X, low.Y = append(low.X, x), append(low.Y, least)
	}
	return []chart.Series{low, mean}
}
