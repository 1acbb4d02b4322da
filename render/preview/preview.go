// Package preview draws the plan of one plane as text, for a terminal: half blocks in colour, two rows of cells a line,
// or letters that grow denser with the light where there is no colour. It writes nothing and looks at no terminal: how
// wide the text may be and how many colours there are, the caller says.
// Lengths are metres; values are in the unit that Plan names. Next: package plan for the picture of the same plane.
package preview

import (
	"cmp"
	"fmt"
	"image/color"
	"maps"
	"math"
	"slices"
	"strings"

	"fathomlux/render/style"
)

// Depth is how many colours there are.
type Depth int

// The depths.
const (
	Plain      Depth = iota // none: shades of letters, no escape sequence at all
	Colours256              // the cube and the greys of 256-colour terminals
	TrueColour              // 24 bits
)

// Mark is a module as seen from above.
type Mark struct {
	XM, YM float64
	Dead   bool
}

// Plan is what is drawn. Values stand at cell centres, index iy*NX + ix, the front row first. Every line is at most
// Columns wide, 20 at least; Lines is the most lines that the plan itself may take, 32 where it is not above 0.
type Plan struct {
	Heading         string // above the plan
	Unit            string
	LengthM, WidthM float64
	NX, NY          int
	Values          []float64
	Modules         []Mark
	Columns, Lines  int
	Depth           Depth
	Units           style.Units // of the ruler
}

const (
	leastColumns = 20
	usualLines   = 32
	margin       = 2 // columns at the left; a frame takes as many at the right
)

// Draw returns the plan with its scale, front edge at the bottom, each line with its end. It is empty where the grid
// has no cells or not a value for each.
func Draw(p Plan) string {
	if p.NX < 1 || p.NY < 1 || len(p.Values) != p.NX*p.NY || !(p.LengthM > 0 && p.WidthM > 0) {
		return ""
	}
	c := newCanvas(p)
	lines := []string{shorten(p.Heading, c.page)}
	if p.Depth == Plain {
		lines = append(append(lines, c.letters()...), c.ruler())
		lines = append(lines, c.key(c.shades())...)
	} else {
		lines = append(append(lines, c.blocks()...), c.ruler(), c.bar(), c.ticks())
		lines = append(lines, c.key([]string{c.Unit})...)
	}
	return strings.Join(lines, "\n") + "\n"
}

// canvas is a plan cut into the cells of a text: columns times lines, each line two rows of pixels high.
type canvas struct {
	Plan
	page           int // columns of the page
	columns, lines int
	scale          style.Scale
	marks          map[[2]int]byte // by column and line
	unknown        bool            // whether any pixel has no value
}

// newCanvas fits the plan to the page. A letter is about twice as high as wide.
func newCanvas(p Plan) *canvas {
	c := &canvas{Plan: p, page: max(p.Columns, leastColumns), scale: style.ScaleFor(p.Values), marks: map[[2]int]byte{}}
	most := float64(cmp.Or(max(p.Lines, 0), usualLines))
	c.columns = c.page - 2*margin
	lines := math.Round(float64(c.columns) * p.WidthM / p.LengthM / 2)
	c.lines = int(math.Max(1, math.Min(lines, most)))
	if lines > most {
		fitting := math.Round(2 * most * p.LengthM / p.WidthM)
		c.columns = int(math.Min(math.Max(fitting, leastColumns-2*margin), float64(c.columns)))
	}
	for _, m := range p.Modules {
		x, y := m.XM/p.LengthM*float64(c.columns), (1-m.YM/p.WidthM)*float64(c.lines)
		at := [2]int{int(math.Floor(x)), int(math.Floor(y))}
		if at[0] >= 0 && at[0] < c.columns && at[1] >= 0 && at[1] < c.lines && c.marks[at] != 'o' { // which hides a dead one
			c.marks[at] = map[bool]byte{false: 'o', true: 'x'}[m.Dead]
		}
	}
	return c
}

// at returns the mean of the values in one of columns times rows equal fields of the plan, row 0 at the back: of the
// cells whose centres lie in it, or of the cell around its middle where there is none. It is NaN where no value is
// known.
func (c *canvas) at(column, row, rows int) float64 {
	x0, x1 := span(column, c.columns, c.NX)
	y0, y1 := span(rows-1-row, rows, c.NY)
	sum, n := 0.0, 0
	for iy := y0; iy < y1; iy++ {
		for ix := x0; ix < x1; ix++ {
			if v := c.Values[iy*c.NX+ix]; v-v == 0 {
				sum, n = sum+v, n+1
			}
		}
	}
	c.unknown = c.unknown || n == 0
	return sum / float64(n) // NaN where n is 0
}

// span returns the cells, of so many, that the i-th of n equal parts holds: one at least.
func span(i, n, cells int) (from, to int) {
	centre := func(edge int) int { return int(math.Ceil(float64(edge)*float64(cells)/float64(n) - 0.5)) }
	from, to = centre(i), centre(i+1)
	if from >= to {
		from = min(int((float64(i)+0.5)*float64(cells)/float64(n)), cells-1)
		to = from + 1
	}
	return from, to
}

// shades are the letters from dark to bright.
const shades = " .:-=+*#"

// letters returns the plan in letters, inside a frame, as the lowest shade is a blank. A question mark has no value.
func (c *canvas) letters() (lines []string) {
	blank := strings.Repeat(" ", margin-1)
	edge := blank + "+" + strings.Repeat("-", c.columns) + "+"
	lines = append(lines, edge)
	for line := range c.lines {
		row := make([]byte, c.columns)
		for column := range row {
			shade, share := byte('?'), c.scale.Share(c.at(column, line, c.lines))
			if share-share == 0 {
				shade = shades[int(math.Min(math.Max(share, 0)*float64(len(shades)), float64(len(shades)-1)))]
			}
			row[column] = cmp.Or(c.marks[[2]int{column, line}], shade)
		}
		lines = append(lines, blank+"|"+string(row)+"|")
	}
	return append(lines, edge)
}

// shades says from which value on each letter stands.
func (c *canvas) shades() []string {
	words := []string{c.Unit + ":"}
	for i, letter := range shades {
		from := c.scale.Low + (c.scale.High-c.scale.Low)*float64(i)/float64(len(shades))
		words = append(words, fmt.Sprintf("'%c' %s", letter, style.Number(from)))
	}
	return words
}

// key returns words, and what the marks are, with two blanks between, in lines that end where the page does.
func (c *canvas) key(words []string) (lines []string) {
	seen := slices.Collect(maps.Values(c.marks))
	if c.unknown {
		words = append(words, map[bool]string{true: "'?' outside", false: "grey outside"}[c.Depth == Plain])
	}
	for _, mark := range []string{"o module", "x dead module"} {
		if slices.Contains(seen, mark[0]) {
			words = append(words, mark)
		}
	}
	line := strings.Repeat(" ", margin) + words[0]
	for _, word := range words[1:] {
		if len([]rune(line))+2+len([]rune(word)) > c.page {
			lines, line = append(lines, line), strings.Repeat(" ", margin)+word
			continue
		}
		line += "  " + word
	}
	return append(lines, line)
}

// row is a line of text that is written on at places.
type row []rune

func (c *canvas) row() row { return []rune(strings.Repeat(" ", margin+c.columns)) }

func (r row) put(at int, text string) { copy(r[max(at, 0):], []rune(text)) }

func (r row) String() string { return strings.TrimRight(string(r), " ") }

// ruler is the line below the plan: where x is 0, that this is the front, and where the tank ends.
func (c *canvas) ruler() string {
	line, end := c.row(), c.Units.Length(c.LengthM)
	line.put(margin, "0")
	line.put(margin+c.columns-len(end), end)
	if front := (c.columns - 5) / 2; front > 2 && front+5 < c.columns-len(end) {
		line.put(margin+front, "front")
	}
	return line.String()
}

func shorten(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most-3]) + "..."
}

// The pieces of the coloured plan.
const (
	upperHalf = "\u2580" // the upper half in the ink's colour, the lower in the ground's
	reset     = "\x1b[0m"
)

// blocks returns the plan in half blocks: two pixels above each other a letter, which makes them square.
func (c *canvas) blocks() (lines []string) {
	for line := range c.lines {
		p, text := pen{depth: c.Depth}, strings.Repeat(" ", margin)
		for column := range c.columns {
			upper, lower := c.colour(column, 2*line), c.colour(column, 2*line+1)
			letter := upperHalf
			if mark := c.marks[[2]int{column, line}]; mark != 0 {
				letter, upper = string(mark), color.RGBA(style.InkOn(lower))
			}
			text += p.write(letter, upper, lower)
		}
		lines = append(lines, text+reset)
	}
	return lines
}

func (c *canvas) colour(column, row int) color.RGBA {
	return style.Light().At(c.scale.Share(c.at(column, row, 2*c.lines)))
}

func (c *canvas) bar() string {
	p, text := pen{depth: c.Depth}, strings.Repeat(" ", margin)
	for i := range c.columns {
		shade := style.Light().At((float64(i) + 0.5) / float64(c.columns))
		text += p.write(" ", shade, shade)
	}
	return text + reset
}

// ticks is the line below the bar: the ticks of the scale, as many as have room.
func (c *canvas) ticks() string {
	line, free := c.row(), margin
	for i, tick := range c.scale.Ticks {
		text := style.TickText(tick)
		at := margin + int(math.Round(c.scale.Share(tick)*float64(c.columns-1)))
		if i > 0 {
			at -= len(text) / 2
		}
		if at = min(at, margin+c.columns-len(text)); at >= free {
			line.put(at, text)
			free = at + len(text) + 1
		}
	}
	return line.String()
}

// pen writes letters in colours and repeats no command that holds already.
type pen struct {
	depth Depth
	holds [2]string // of ink and ground
}

func (p *pen) write(letter string, ink, ground color.RGBA) (text string) {
	for i, c := range []color.RGBA{ink, ground} {
		if code := p.code(c); code != p.holds[i] {
			text += fmt.Sprintf("\x1b[%d8;%sm", 3+i, code)
			p.holds[i] = code
		}
	}
	return text + letter
}

// code is a colour as the terminal's command takes it (ISO 8613-6, as xterm reads it).
func (p *pen) code(c color.RGBA) string {
	if p.depth == TrueColour {
		return fmt.Sprintf("2;%d;%d;%d", c.R, c.G, c.B)
	}
	return fmt.Sprintf("5;%d", 16+xterm.Index(c))
}

// xterm is the 216 colours of the cube and the 24 greys of xterm's 256 colours, from index 16 on.
var xterm = func() (p color.Palette) {
	steps := [6]uint8{0, 95, 135, 175, 215, 255}
	for i := range 216 {
		p = append(p, color.RGBA{R: steps[i/36], G: steps[i/6%6], B: steps[i%6], A: 255})
	}
	for i := range uint8(24) {
		p = append(p, color.RGBA{R: 8 + 10*i, G: 8 + 10*i, B: 8 + 10*i, A: 255})
	}
	return p
}()
