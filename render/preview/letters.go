package preview

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/render/style"
)

// shades are the letters from dark to bright.
const shades = " .:-=+*#"

// unknown stands where there is no value.
const unknown = '?'

// shade returns the letter of a value.
func (c *canvas) shade(v float64) byte {
	share := c.scale.Share(v)
	if math.IsNaN(share) {
		return unknown
	}
	return shades[int(math.Min(math.Max(share*float64(len(shades)), 0), float64(len(shades)-1)))]
}

// writeLetters writes the plan in letters, inside a frame, as the lowest shade is a blank.
func (c *canvas) writeLetters(b *strings.Builder) {
	edge := strings.Repeat(" ", margin-1) + "+" + strings.Repeat("-", c.columns) + "+\n"
	b.WriteString(edge)
	for line := range c.lines {
		row := make([]byte, c.columns)
		for column := range row {
			row[column] = c.shade(c.at(column, line, c.lines))
			if mark := c.marks[[2]int{column, line}]; mark != 0 {
				row[column] = mark
			}
		}
		b.WriteString(strings.Repeat(" ", margin-1) + "|" + string(row) + "|\n")
	}
	b.WriteString(edge)
}

// writeLetterScale says from which value on each letter stands, in as many lines as it takes.
func (c *canvas) writeLetterScale(b *strings.Builder) {
	words := []string{c.Unit + ":"}
	for i, letter := range shades {
		from := c.scale.Low + (c.scale.High-c.scale.Low)*float64(i)/float64(len(shades))
		words = append(words, fmt.Sprintf("'%c' %s", letter, style.Number(from)))
	}
	writeWords(b, append(words, c.legend()...), c.page)
}

// legend says what the marks are.
func (c *canvas) legend() []string {
	var words []string
	seen := map[byte]bool{}
	for _, mark := range c.marks {
		seen[mark] = true
	}
	if seen['o'] {
		words = append(words, "o module")
	}
	if seen['x'] {
		words = append(words, "x dead module")
	}
	return words
}

// writeWords writes words with two blanks between, breaking lines where the page ends.
func writeWords(b *strings.Builder, words []string, page int) {
	line := strings.Repeat(" ", margin) + words[0]
	for _, word := range words[1:] {
		if len([]rune(line))+2+len([]rune(word)) > page {
			b.WriteString(line + "\n")
			line = strings.Repeat(" ", margin) + word
			continue
		}
		line += "  " + word
	}
	b.WriteString(line + "\n")
}
