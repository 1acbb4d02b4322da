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
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
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
	Value          float64 // lx, or umol/m2/s where Photons: what the meter showed times Immersion
	Photons        bool
	Sensor, Note   string // empty where the file names none
	Immersion      float64
	Trust          Trust
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
			r.Faultf(document.Position{Line: bad.Line, Column: bad.Column}, "a quotation mark is out of place; quote "+
				"the whole field or none of it")
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

// kind is what a column may hold: a quantity up to most, or words where of is nil.
type kind struct {
	of   *unit.Dimension
	most float64
}

// kinds are the columns by their names without units. Full sun on the ground gives about 120 klx and 2200 umol/m2/s;
// the limits are far beyond.
var kinds = map[string]kind{"x": {of: unit.Length}, "y": {of: unit.Length}, "plane": {}, "depth": {of: unit.Length},
	"lux": {unit.Illuminance, 1e6}, "illuminance": {unit.Illuminance, 1e6}, "ppfd": {unit.PhotonFluxDensity, 1e4},
	"sensor": {}, "note": {}, "calibrated": {}, "immersion": {}, "face": {of: unit.Length}}

// usual are the columns for messages.
var usual = []string{"x_mm", "y_mm", "plane", "depth_mm", "lux", "ppfd_umol_m2_s", "sensor", "note", "calibrated",
	"immersion", "face_mm"}

// column is one column of the file. unit is put behind bare numbers; empty where each value carries its own.
type column struct {
	kind
	base, name, unit string
}

// parseColumn reads one name of the header.
func parseColumn(text string) (column, error) {
	name := strings.ToLower(text)
	base, ending, _ := strings.Cut(name, "_")
	if isUnit(unit.Illuminance, name) { // the unit alone says what it is
		base, ending = "lux", name
	}
	c := column{name: name, unit: strings.ReplaceAll(ending, "_", "/")}
	c.base = strings.Replace(base, "illuminance", "lux", 1)
	var known bool
	c.kind, known = kinds[base]
	near := document.Suggest(name, usual)
	switch {
	case !known && near != "":
		return column{}, fmt.Errorf("unknown column %.40q; did you mean %q?", text, near)
	case !known:
		return column{}, fmt.Errorf("unknown column %.40q; known: %s; lengths may end in _cm, _m, _in or _ft too, and "+
			"klx or fc may stand for lux", text, strings.Join(usual, ", "))
	case ending == "" || c.of != nil && isUnit(c.of, c.unit):
		return c, nil
	case c.of == nil:
		return column{}, fmt.Errorf("unknown column %.40q; did you mean %q?", text, base)
	}
	all := strings.ReplaceAll(strings.Join(c.of.Units(), ", "+base+"_"), "/", "_")
	return column{}, fmt.Errorf("unknown column %.40q; its name with a unit is one of %s_%s", text, base, all)
}

// isUnit tells whether a dimension has a unit of that name.
func isUnit(d *unit.Dimension, name string) bool {
	_, err := d.Parse("1 " + name)
	return err == nil
}

// header reads the first line; it is false where it is wrong, for nothing below can be understood then.
func (r *reader) header(cells []cell) bool {
	at := start(cells[0].at.Line)
	switch only := cells[0].text; {
	case len(cells) == 1 && strings.Contains(only, ";"):
		r.Faultf(at, "semicolons stand between the columns, as spreadsheets write where decimals take a comma; save "+
			"the file with commas between the columns and points in the numbers")
		return false
	case len(cells) == 1 && strings.Contains(only, "\t"):
		r.Faultf(at, "tabs stand between the columns; save the file with commas between them")
		return false
	case len(cells) > maxColumns:
		r.Faultf(at, "%d columns are too many; %d are known: %s", len(cells), len(usual), strings.Join(usual, ", "))
		return false
	}
	seen := map[string]string{} // names in the file
	for _, cell := range cells {
		c, err := parseColumn(cell.text)
		if err != nil {
			r.Faultf(cell.at, "%v", err)
			continue
		}
		if before := seen[c.base]; before != "" {
			r.Faultf(cell.at, "column %s repeats %s", c.name, before)
		}
		seen[c.base] = c.name
		r.columns = append(r.columns, c)
	}
	if len(r.Faults) > 0 {
		return false
	}
	for _, missing := range []struct {
		is   bool
		what string
	}{
		{seen["x"] == "" || seen["y"] == "", "the columns x_mm and y_mm are needed: from the left and from the front"},
		{seen["plane"] == "" && seen["depth"] == "", "a column plane or depth_mm is needed"},
		{seen["plane"] != "" && seen["depth"] != "", "plane and depth exclude each other"},
		{seen["lux"] == "" && seen["ppfd"] == "", "a column lux or ppfd_umol_m2_s is needed"},
	} {
		if missing.is {
			r.Faultf(at, "%s; a header is such as x_mm,y_mm,plane,lux or x_in,y_in,depth_in,fc", missing.what)
		}
	}
	return len(r.Faults) == 0
}

func (r *reader) row(cells []cell) {
	one := Reading{Line: cells[0].at.Line}
	var values []Reading
	before, unfilled := len(r.Faults), true
	for i, c := range r.columns {
		text := cells[i].text
		var err error
		switch c.base {
		case "x":
			one.XM, err = c.length(text, r.place.LengthM)
		case "y":
			one.YM, err = c.length(text, r.place.WidthM)
		case "depth":
			one.DepthM, err = c.length(text, r.place.DepthM)
		case "plane":
			one.DepthM, err = r.place.Plane(strings.ToLower(text))
		case "sensor":
			one.Sensor, err = word(text)
		case "note":
			one.Note, err = word(text)
		case "calibrated", "immersion", "face":
		default:
			if text == "" {
				continue
			}
			unfilled = false
			var v float64
			v, err = c.light(text)
			values = append(values, Reading{Value: v, Photons: c.base == "ppfd"})
		}
		if err != nil {
			r.Faultf(cells[i].at, "%s: %v", c.name, err)
		}
	}
	if unfilled {
		r.file.Unfilled++
	}
	if len(r.Faults) == before {
		r.settle(&one, cells)
	}
	if len(r.Faults) > before {
		return
	}
	for _, v := range values {
		one.Value, one.Photons = v.Value*one.Immersion, v.Photons
		r.file.Readings = append(r.file.Readings, one)
	}
}

// quantity reads a number with its own unit, or with the column's.
func (c column) quantity(text string) (float64, error) {
	_, rest, err := unit.Split(text)
	switch {
	case text == "":
		return 0, fmt.Errorf("the value is missing")
	case err != nil:
		return 0, err
	case rest == "" && c.unit != "":
		text += " " + c.unit
	}
	si, err := c.of.Parse(text)
	if err != nil && c.unit == "" && rest == "" {
		return 0, fmt.Errorf("%w, or name the column %s_%s", err, c.name, strings.ReplaceAll(c.of.Units()[0], "/", "_"))
	}
	return si, err
}

// edgeM is how far outside the tank a reading may be by rounding or by the size of a sensor.
const edgeM = 0.0005

// length reads a place between two walls that are most apart, or between surface and floor.
func (c column) length(text string, most float64) (float64, error) {
	m, err := c.quantity(text)
	say := unit.Length.Say
	switch {
	case err != nil:
		return 0, err
	case m >= -edgeM && m <= most+edgeM:
		return min(max(m, 0), most), nil
	case c.base != "depth":
		return 0, fmt.Errorf("%s is outside the tank, which reaches from 0 mm to %s", say(m), say(most))
	case m < 0:
		return 0, fmt.Errorf("%s is above the water; depths count from the surface down", say(m))
	}
	return 0, fmt.Errorf("%s is below the floor, which is %s deep", say(m), say(most))
}

// light reads what a meter showed.
func (c column) light(text string) (float64, error) {
	v, err := c.quantity(text)
	switch {
	case err != nil:
		return 0, err
	case v < 0:
		return 0, fmt.Errorf("%s is negative; light is 0 or more", text)
	case v > c.most:
		return 0, fmt.Errorf("%s is brighter than any tank can be; at most %s is allowed", text, c.of.Say(c.most))
	}
	return v, nil
}

// longestWord is how many characters a sensor's name or a note may have.
const longestWord = 200

func word(text string) (string, error) {
	if utf8.RuneCountInString(text) > longestWord {
		return "", fmt.Errorf("more than %d characters", longestWord)
	}
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return ' '
		}
		return c
	}, text), nil
}
