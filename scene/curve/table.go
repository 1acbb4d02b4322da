package curve

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// The limits of a table that is read.
const (
	MaxRows    = 50000
	MaxColumns = 200
)

// Table is a CSV file of numbers with named columns. Lines that start with # are notes: source, edition and unit.
type Table struct {
	names []string
	rows  [][]string
	lines []int // of the rows in the text, from 1
}

// ParseTable reads CSV text whose first line that is no note is the header. Each column has a name of its own. A byte
// order mark in front and blanks around a cell are dropped. More than MaxRows rows or MaxColumns columns are refused.
func ParseTable(text string) (t Table, err error) {
	for line := range strings.SplitSeq(text, "\n") { // the CSV reader would hold all cells of a line
		if n := 1 + strings.Count(line, ","); n > MaxColumns && line[0] != '#' {
			return Table{}, fmt.Errorf("%d columns are too many; a table may have %d", n, MaxColumns)
		}
	}
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
	r.Comment = '#'
	for {
		row, err := r.Read()
		switch {
		case err == io.EOF && t.names == nil:
			return Table{}, errors.New("no header line")
		case err == io.EOF:
			return t, nil
		case err != nil:
			return Table{}, err
		}
		for i := range row {
			row[i] = strings.TrimSpace(row[i])
		}
		line, _ := r.FieldPos(0)
		switch {
		case t.names != nil && len(t.rows) == MaxRows:
			return Table{}, fmt.Errorf("line %d: more than %d rows are too many", line, MaxRows)
		case t.names != nil:
			t.rows, t.lines = append(t.rows, row), append(t.lines, line)
			continue
		}
		t.names = row
		for i, name := range row {
			if first := slices.Index(row, name); first < i {
				return Table{}, fmt.Errorf("columns %d and %d have one name", first+1, i+1)
			}
		}
	}
}

// MustParseTable is ParseTable for the project's own embedded tables; it panics where one is broken.
func MustParseTable(text string) Table { return orPanic(ParseTable(text)) }

func orPanic[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Names returns the names of the columns in the file's order.
func (t Table) Names() []string { return slices.Clone(t.names) }

// Column returns the numbers of one column; a cell without a finite number is an error, which names its line.
func (t Table) Column(name string) ([]float64, error) {
	at := slices.Index(t.names, name)
	if at < 0 {
		return nil, fmt.Errorf("there is no column %s", name)
	}
	values := make([]float64, len(t.rows))
	for i, row := range t.rows {
		v, err := strconv.ParseFloat(row[at], 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("line %d, column %s: %.40q is not a finite number", t.lines[i], name, row[at])
		}
		values[i] = v
	}
	return values, nil
}

// MustCurve returns the piecewise linear curve of column y over column x of one of the project's own embedded tables;
// it panics where one is broken.
func (t Table) MustCurve(x, y string) Curve {
	return orPanic(Linear(orPanic(t.Column(x)), orPanic(t.Column(y))))
}
