package lm63

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// lineWidth is the longest line of numbers, short enough for every revision.
const lineWidth = 78

// Write writes the file in the form of its revision, lines ended by CR LF. What Read then returns is the same again, but
// for warnings and notes. It refuses a file whose lists do not fit each other.
func Write(w io.Writer, f *File) error {
	if err := f.check(); err != nil {
		return err
	}
	p := &printer{w: bufio.NewWriter(w)}
	for _, l := range firstLines {
		if l.revision == f.Revision {
			p.line(l.text)
		}
	}
	for _, k := range f.Keywords {
		p.keyword(k)
	}
	p.tilt(f.Tilt)
	p.numbers(float64(f.Lamps), f.LumensPerLamp, f.Multiplier, float64(len(f.Vertical)), float64(len(f.Horizontal)), 1, float64(f.Units),
		undo(f.WidthM, f.Units.metresPer()), undo(f.LengthM, f.Units.metresPer()), undo(f.HeightM, f.Units.metresPer()))
	p.numbers(f.BallastFactor, f.Field12, f.InputWatts)
	p.numbers(f.Vertical...)
	p.numbers(f.Horizontal...)
	for _, row := range f.Candela {
		values := make([]float64, len(row))
		for i, cd := range row {
			values[i] = undo(cd, f.factor())
		}
		p.numbers(values...)
	}
	return p.w.Flush()
}

// check says what cannot be written.
func (f *File) check() error {
	switch {
	case len(f.Vertical) < 2 || len(f.Horizontal) < 1:
		return fmt.Errorf("%d vertical and %d horizontal angles cannot be written; at least 2 and 1 serve", len(f.Vertical), len(f.Horizontal))
	case len(f.Candela) != len(f.Horizontal):
		return fmt.Errorf("%d rows of candela for %d horizontal angles cannot be written", len(f.Candela), len(f.Horizontal))
	case !(f.factor() > 0):
		return fmt.Errorf("a factor of %g on the candela cannot be written; it is above 0", f.factor())
	}
	for i, row := range f.Candela {
		if len(row) != len(f.Vertical) {
			return fmt.Errorf("row %d has %d candela values for %d vertical angles", i+1, len(row), len(f.Vertical))
		}
	}
	return nil
}

// undo returns the number whose product with factor is x: the quotient, or one of its neighbours where rounding has it so.
func undo(x, factor float64) float64 {
	quotient := x / factor
	near := quotient
	for range 4 {
		near = math.Nextafter(near, math.Inf(-1))
	}
	for range 9 {
		if near*factor == x && quotient*factor != x {
			return near
		}
		near = math.Nextafter(near, math.Inf(1))
	}
	return quotient
}

type printer struct{ w *bufio.Writer }

func (p *printer) line(text string) {
	p.w.WriteString(text) // a bufio.Writer keeps its first error for Flush
	p.w.WriteString("\r\n")
}

// keyword writes one entry of the header, each further line of its text behind [MORE].
func (p *printer) keyword(k Keyword) {
	for i, text := range strings.Split(k.Text, "\n") {
		switch {
		case i > 0:
			p.line(strings.TrimSpace("[MORE] " + text))
		case k.Name == "":
			p.line(text)
		default:
			p.line(strings.TrimSpace("[" + k.Name + "] " + text))
		}
	}
}

func (p *printer) tilt(t Tilt) {
	switch t.Kind {
	case TiltFile:
		p.line("TILT=" + t.Name)
	case TiltInclude:
		p.line("TILT=INCLUDE")
		p.numbers(float64(t.Geometry))
		p.numbers(float64(len(t.AngleDeg)))
		p.numbers(t.AngleDeg...)
		p.numbers(t.Factor...)
	default:
		p.line("TILT=NONE")
	}
}

// numbers writes a list that starts on a new line.
func (p *printer) numbers(values ...float64) {
	width := 0
	for i, v := range values {
		text := strconv.FormatFloat(v+0, 'g', -1, 64)
		switch {
		case i > 0 && width+1+len(text) > lineWidth:
			p.w.WriteString("\r\n")
			width = 0
		case i > 0:
			p.w.WriteString(" ")
			width++
		}
		p.w.WriteString(text)
		width += len(text)
	}
	p.w.WriteString("\r\n")
}
