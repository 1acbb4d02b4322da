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
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"fathomlux/scene/document"
)

// The limits of a file.
const (
	MaxBytes    = 1 << 20
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
	r := &reader{name: name, place: at, report: &document.Report{}, file: &File{}}
	r.read(data)
	if err := r.report.Err(); err != nil {
		return nil, err
	}
	return r.file, nil
}

// reader walks one file.
type reader struct {
	name    string
	place   Place
	report  *document.Report
	file    *File
	columns []column
}

func (r *reader) faultf(line, col int, format string, args ...any) {
	r.report.AddFault(document.Fault{File: r.name, Line: line, Column: col, Message: fmt.Sprintf(format, args...)})
}

func (r *reader) read(data []byte) {
	if len(data) > MaxBytes {
		r.faultf(0, 0, "%d bytes are too many; at most %d serve", len(data), MaxBytes)
		return
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !r.isText(data) {
		return
	}
	c := csv.NewReader(bytes.NewReader(data))
	c.FieldsPerRecord, c.Comment, c.TrimLeadingSpace = -1, '#', true
	for len(r.report.Faults) < mostFaults {
		fields, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			r.quoteFault(err)
			return
		}
		if !r.record(c, fields) {
			return
		}
	}
	r.conclude()
}

// isText refuses bytes that are no text.
func (r *reader) isText(data []byte) bool {
	line, col, commas := 1, 1, 0
	for len(data) > 0 {
		c, n := utf8.DecodeRune(data)
		switch {
		case c == utf8.RuneError && n == 1:
			r.faultf(line, col, "byte 0x%02x is not UTF-8; save the file as CSV in UTF-8", data[0])
			return false
		case c < ' ' && c != '\n' && c != '\r' && c != '\t':
			r.faultf(line, col, "control character 0x%02x is not text; a CSV file is needed, not a spreadsheet's own format", c)
			return false
		}
		col++
		switch c {
		case '\n':
			line, col, commas = line+1, 1, 0
		case ',':
			if commas++; commas > mostCommas {
				r.faultf(line, col-1, "more than %d commas in a line are too many; a line holds one reading", mostCommas)
				return false
			}
		}
		data = data[n:]
	}
	return true
}

// quoteFault explains what the CSV reader refuses.
func (r *reader) quoteFault(err error) {
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		r.faultf(bad.Line, bad.Column, "a quotation mark stands where none may be; put the whole field into quotation "+
			"marks, or none")
		return
	}
	r.faultf(0, 0, "%v", err)
}

// record reads one line; it is false where no more is to be read.
func (r *reader) record(c *csv.Reader, fields []string) bool {
	pos := func(i int) (line, col int) { return c.FieldPos(i) }
	if r.columns == nil {
		return r.header(fields, pos)
	}
	line, _ := pos(0)
	if strings.TrimSpace(strings.Join(fields, "")) == "" {
		return true
	}
	if len(r.file.Readings) >= MaxReadings {
		r.faultf(line, 1, "%d readings or more are too many; at most %d serve: several files, or every second row",
			len(r.file.Readings)+1, MaxReadings)
		return false
	}
	if len(fields) != len(r.columns) {
		hint := ""
		if len(fields) > len(r.columns) {
			hint = "; decimals take a point, and a note with a comma stands in quotation marks"
		}
		r.faultf(line, 1, "%d fields where the header has %d%s", len(fields), len(r.columns), hint)
		return true
	}
	r.row(fields, pos)
	return true
}

// conclude refuses a file that says nothing.
func (r *reader) conclude() {
	if len(r.report.Faults) > 0 {
		return
	}
	n, dark := len(r.file.Readings), 0
	for _, one := range r.file.Readings {
		if one.Value == 0 {
			dark++
		}
	}
	switch {
	case r.columns == nil:
		r.faultf(0, 0, "the file is empty; it begins with a header such as x_mm,y_mm,plane,lux")
	case n == 0 && r.file.Unfilled > 0:
		r.faultf(0, 0, "none of the %d rows has a value yet; fill in what the meter showed", r.file.Unfilled)
	case n == 0:
		r.faultf(0, 0, "there is no reading below the header")
	case dark == n:
		r.faultf(0, 0, "all readings are 0; was the light on, and the meter?")
	}
}
