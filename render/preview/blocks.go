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

// colour returns the colour of one pixel.
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
