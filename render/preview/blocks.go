package preview

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"fathomlux/render/style"
)

// The pieces of the coloured plan.
const (
	upperHalf = "\u2580" // the upper half in the ink's colour, the lower in the ground's
	reset     = "\x1b[0m"
)

// writeBlocks writes the plan in half blocks: two pixels above each other a letter, which makes them square.
func (c *canvas) writeBlocks(b *strings.Builder) {
	for line := range c.lines {
		p := pen{depth: c.Depth}
		b.WriteString(strings.Repeat(" ", margin))
		for column := range c.columns {
			upper, lower := c.colour(column, 2*line), c.colour(column, 2*line+1)
			if mark := c.marks[[2]int{column, line}]; mark != 0 {
				ground := between(upper, lower)
				p.write(b, color.RGBA(style.InkOn(ground)), ground, string(mark))
				continue
			}
			p.write(b, upper, lower, upperHalf)
		}
		b.WriteString(reset + "\n")
	}
}

// colour returns the colour of one pixel.
func (c *canvas) colour(column, row int) color.RGBA {
	return style.Light().At(c.scale.Share(c.at(column, row, 2*c.lines)))
}

// between returns the colour half-way between two.
func between(a, b color.RGBA) color.RGBA {
	half := func(x, y uint8) uint8 { return uint8((int(x) + int(y)) / 2) }
	return color.RGBA{R: half(a.R, b.R), G: half(a.G, b.G), B: half(a.B, b.B), A: 255}
}

// writeColourScale writes a bar of all colours with the ticks of the scale below it, and what the marks are.
func (c *canvas) writeColourScale(b *strings.Builder) {
	b.WriteString(strings.Repeat(" ", margin))
	p := pen{depth: c.Depth}
	for i := range c.columns {
		shade := style.Light().At((float64(i) + 0.5) / float64(c.columns))
		p.write(b, shade, shade, " ")
	}
	b.WriteString(reset + "\n")
	line := []rune(strings.Repeat(" ", c.page))
	free := margin
	for i, tick := range c.scale.Ticks {
		text := []rune(style.TickText(tick))
		at := margin + int(math.Round(c.scale.Share(tick)*float64(c.columns-1)))
		if i > 0 {
			at -= len(text) / 2
		}
		if at = min(at, margin+c.columns-len(text)); at >= free {
			copy(line[at:], text)
			free = at + len(text) + 1
		}
	}
	b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	writeWords(b, append([]string{c.Unit}, c.legend()...), c.page)
}

// pen writes letters in colours and repeats no command that holds already.
type pen struct {
	depth       Depth
	ink, ground color.RGBA
	down        bool // a colour was set on this line
}

func (p *pen) write(b *strings.Builder, ink, ground color.RGBA, letter string) {
	if !p.down || ink != p.ink {
		fmt.Fprintf(b, "\x1b[38;%sm", p.code(ink))
	}
	if !p.down || ground != p.ground {
		fmt.Fprintf(b, "\x1b[48;%sm", p.code(ground))
	}
	p.ink, p.ground, p.down = ink, ground, true
	b.WriteString(letter)
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
