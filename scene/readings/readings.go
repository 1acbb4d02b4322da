// Package readings reads what somebody measured in the tank with a light meter: a CSV file with a place, a plane and an
// illuminance or a PPFD in each row. It is strict: every fault comes with its line and column, all at once, and what a
// spreadsheet of another country writes is explained.
// Lengths are metres in the tank's axes, illuminance is in lx, PPFD in umol/m2/s. It computes no light and fits
// nothing. Next: package document for faults, package unit for quantities.
package readings

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"

	"fathomlux/scene/document"
)

// The limits of a file.
const (
	MaxBytes    = document.MaxBytes
	MaxReadings = 10000

	maxColumns = 50   // far more than there are kinds
	mostCommas = 1000 // in a line: notes hold some
	mostFaults = 200  // after which the rest of a file is not read
)

// Reading is one value that a meter showed.
type Reading struct {
	XM, YM, DepthM float64 // DepthM below the water surface
	Value          float64 // lx, or umol/m2/s where Photons
	Photons        bool
	Sensor, Note   string // empty where the file names none
	Line           int
}

// Place is the tank as far as a reading needs it. Plane turns "surface", "mid", "floor" or a depth into metres.
type Place struct {
	LengthM, WidthM, DepthM float64
	Plane                   func(text string) (depthM float64, err error)
}

// File is what a file holds. Unfilled counts rows without a value, such as those of a sheet that is not full yet.
type File struct {
	Readings []Reading
	Unfilled int
}

// Read reads a file of readings; name is for messages. The error is a *document.Error with every fault.
func Read(name string, data []byte, at Place) (*File, error) {
	r := &reader{Text: document.Text{Name: name, Report: &document.Report{}}, place: at, file: &File{}}
	r.read(bytes.TrimPrefix(data, []byte("\ufeff")))
	if err := r.Err(); err != nil {
		return nil, err
	}
	return r.file, nil
}

// reader walks one file.
type reader struct {
	document.Text
	place   Place
	file    *File
	columns []column
}

// whole is the whole file, as the place of a fault.
var whole document.Position

// start is the beginning of a line.
func start(line int) document.Position { return document.Position{Line: line, Column: 1} }

func (r *reader) read(data []byte) {
	if !r.Plain(data, "a CSV file in UTF-8 is needed, not a spreadsheet's own format") {
		return
	}
	line := 0
	for text := range bytes.SplitSeq(data, []byte("\n")) {
		if line++; bytes.Count(text, []byte(",")) > mostCommas {
			r.Faultf(start(line), "more than %d commas in a line are too many; a line holds one reading", mostCommas)
			return
		}
	}
	c := csv.NewReader(bytes.NewReader(data))
	c.FieldsPerRecord, c.Comment, c.TrimLeadingSpace = -1, '#', true
	for len(r.Faults) < mostFaults {
		fields, err := c.Read()
		var bad *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			r.conclude()
			return
		case errors.As(err, &bad):
			r.Faultf(document.Position{Line: bad.Line, Column: bad.Column}, "a quotation mark stands where none may be; put "+
				"the whole field into quotation marks, or none")
			return
		}
		cells := make([]cell, len(fields))
		for i, text := range fields {
			line, column := c.FieldPos(i)
			cells[i] = cell{strings.TrimSpace(text), document.Position{Line: line, Column: column}}
		}
		if !r.record(cells) {
			return
		}
	}
}

// cell is one field of a line.
type cell struct {
	text string
	at   document.Position
}

// record reads one line; it is false where no more is to be read.
func (r *reader) record(cells []cell) bool {
	line := cells[0].at.Line
	switch filled := func(c cell) bool { return c.text != "" }; {
	case r.columns == nil:
		return r.header(cells)
	case !slices.ContainsFunc(cells, filled):
	case len(r.file.Readings) >= MaxReadings:
		r.Faultf(start(line), "%d readings or more are too many; at most %d are allowed: several files, or every second row",
			len(r.file.Readings)+1, MaxReadings)
		return false
	case len(cells) < len(r.columns):
		r.Faultf(start(line), "%d fields where the header has %d", len(cells), len(r.columns))
	case len(cells) > len(r.columns):
		r.Faultf(start(line), "%d fields where the header has %d; decimals take a point, and a note with a comma stands in "+
			"quotation marks", len(cells), len(r.columns))
	default:
		r.row(cells)
	}
	return true
}

// conclude refuses a file that says nothing.
func (r *reader) conclude() {
	if len(r.Faults) > 0 {
		return
	}
	lit := func(one Reading) bool { return one.Value > 0 }
	switch n := len(r.file.Readings); {
	case r.columns == nil:
		r.Faultf(whole, "the file is empty; it begins with a header such as x_mm,y_mm,plane,lux")
	case n == 0 && r.file.Unfilled > 0:
		r.Faultf(whole, "none of the %d rows has a value yet; fill in what the meter showed", r.file.Unfilled)
	case n == 0:
		r.Faultf(whole, "there is no reading below the header")
	case !slices.ContainsFunc(r.file.Readings, lit):
		r.Faultf(whole, "all readings are 0; was the light on, and the meter?")
	}
}
