package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"math"
	"regexp"
	"strconv"
)

// placed is a picture as the page takes it: its content as an address, and its size in pixels of the page.
type placed struct {
	Source        template.URL
	Width, Height int
}

// place encodes a figure's image. The error says which figure is neither PNG nor SVG.
func place(f *Figure) (placed, error) {
	if c, err := png.DecodeConfig(bytes.NewReader(f.Image)); err == nil {
		scale := f.Scale
		if scale <= 0 {
			scale = 1
		}
		return placed{Source: address("image/png", f.Image), Width: pixels(float64(c.Width) / scale),
			Height: pixels(float64(c.Height) / scale)}, nil
	}
	width, height, ok := vectorSize(f.Image)
	if !ok {
		return placed{}, fmt.Errorf("figure %s: neither a PNG nor an SVG file with its size", f.Name)
	}
	return placed{Source: address("image/svg+xml", f.Image), Width: pixels(width), Height: pixels(height)}, nil
}

func pixels(v float64) int { return int(math.Max(1, math.Round(v))) }

// address returns the content as a data address. Base64 holds no character that HTML gives a meaning to.
func address(kind string, content []byte) template.URL {
	return template.URL("data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(content))
}

// sized finds width and height in the first tag of an SVG file, plain numbers.
var sized = regexp.MustCompile(`<svg\b[^>]*\swidth="([0-9.]+)"[^>]*\sheight="([0-9.]+)"`)

// vectorSize reads width and height of an SVG file, plain numbers above 0.
func vectorSize(svg []byte) (width, height float64, ok bool) {
	found := sized.FindSubmatch(svg)
	if found == nil {
		return 0, 0, false
	}
	width, _ = strconv.ParseFloat(string(found[1]), 64)
	height, _ = strconv.ParseFloat(string(found[2]), 64)
	return width, height, width > 0 && height > 0 && width+height < 1e6
}

// columns tells of each column of a table whether all its cells are figures, or empty, or a dash; such a column stands
// to the right.
func columns(t *Table) []bool {
	numeric := make([]bool, len(t.Head))
	for i := range numeric {
		figures := 0
		numeric[i] = i > 0
		for _, r := range t.Rows {
			if isFigure(r[i]) {
				figures++
			} else if r[i] != "" && r[i] != "-" {
				numeric[i] = false
			}
		}
		numeric[i] = numeric[i] && figures > 0
	}
	return numeric
}

// shortRows is the number of rows up to which a table is kept on one sheet of paper.
const shortRows = 12

func short(t *Table) bool { return len(t.Rows) <= shortRows }

// isFigure tells whether a cell begins with a number, after a sign, and is short.
func isFigure(cell string) bool {
	if len(cell) > 0 && (cell[0] == '+' || cell[0] == '-') {
		cell = cell[1:]
	}
	return len(cell) > 0 && len(cell) <= 20 && cell[0] >= '0' && cell[0] <= '9'
}
