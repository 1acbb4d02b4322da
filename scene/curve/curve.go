// Package curve holds a tabulated quantity over one axis: it interpolates inside the table and refuses outside it.
// The unit of either axis is the caller's and stands in the caller's names. It extrapolates nothing.
// Next: package parts for the tables of modules, package photometry for spectra.
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

	"gonum.org/v1/gonum/interp"
)

// Curve is a table of y over rising x. The zero Curve is empty and refuses every x.
type Curve struct {
	x, y []float64
	fit  interp.Predictor // nil where there is one row
}

// Linear returns the piecewise linear curve through the points (x[i], y[i]). x must rise strictly, all values
// must be finite, and there must be at least one point.
func Linear(x, y []float64) (Curve, error) { return through(x, y, new(interp.PiecewiseLinear)) }

// Monotone returns a smooth curve through the points that rises where they rise and falls where they fall, without
// overshoot; through two it is straight. Source: F. N. Fritsch, J. Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300-304,
// as gonum's interp has it.
func Monotone(x, y []float64) (Curve, error) {
	if len(x) < 3 {
		return Linear(x, y)
	}
	return through(x, y, new(interp.FritschButland))
}

func through(x, y []float64, fit interp.FittablePredictor) (c Curve, err error) {
	switch {
	case len(x) == 0:
		return c, errors.New("a table needs at least one row")
	case len(x) != len(y):
		return c, fmt.Errorf("a table needs as many values as places, not %d and %d", len(y), len(x))
	}
	for i := range x {
		switch {
		case math.IsNaN(x[i]+y[i]) || math.IsInf(x[i], 0) || math.IsInf(y[i], 0):
			return c, fmt.Errorf("row %d is not finite", i+1)
		case i > 0 && x[i] <= x[i-1]:
			return c, fmt.Errorf("row %d does not rise: %g after %g", i+1, x[i], x[i-1])
		}
	}
	c = Curve{x: slices.Clone(x), y: slices.Clone(y)}
	if len(x) > 1 {
		c.fit, err = fit, fit.Fit(c.x, c.y)
	}
	return c, err
}

// Empty tells whether the curve has no points.
func (c Curve) Empty() bool { return len(c.x) == 0 }

// Domain returns the first and the last x of the table; both are 0 for an empty curve.
func (c Curve) Domain() (first, last float64) {
	if c.Empty() {
		return 0, 0
	}
	return c.x[0], c.x[len(c.x)-1]
}

// Points returns copies of the table's columns.
func (c Curve) Points() (x, y []float64) { return slices.Clone(c.x), slices.Clone(c.y) }

// At returns y at x; ok is false beyond the table's ends. A table of one row holds at its own x alone.
func (c Curve) At(x float64) (y float64, ok bool) {
	switch first, last := c.Domain(); {
	case c.Empty() || !(x >= first && x <= last):
		return 0, false
	case c.fit == nil:
		return c.y[0], true
	}
	return c.fit.Predict(x), true
}

// EndSlope returns the slope between the last two rows of the table, or the first two; of one row it is 0.
func (c Curve) EndSlope(last bool) float64 {
	i := 1
	if last {
		i = len(c.x) - 1
	}
	if len(c.x) < 2 {
		return 0
	}
	return (c.y[i] - c.y[i-1]) / (c.x[i] - c.x[i-1])
}

// AtOrZero returns y at x, and 0 beyond the table's ends, as a spectrum that ends does.
func (c Curve) AtOrZero(x float64) float64 {
	y, _ := c.At(x)
	return y
}

// SineMoment returns the integral of y sin(x) dx from the first x up to limit, where y runs straight between the points
// (x[i], y[i]). x is in radians and rises; what lies beyond the last x counts as 0. With an intensity over the angle
// to an axis, 2 pi times the moment is the flux. Each cell is integrated exactly: with h its width,
// int u sin(a+u) du = sin(a) (h sin h + cos h - 1) + cos(a) (sin h - h cos h).
func SineMoment(x, y []float64, limit float64) float64 {
	sum := 0.0
	for i := 1; i < len(x) && x[i-1] < limit; i++ {
		a, end := x[i-1], math.Min(x[i], limit)
		h := end - a
		slope := (y[i] - y[i-1]) / (x[i] - a)
		sinA, cosA := math.Sincos(a)
		sinH, cosH := math.Sincos(h)
		even := 2 * math.Sin((a+end)/2) * math.Sin(h/2) // cos(a) - cos(end)
		rising := sinA*(h*sinH-2*math.Pow(math.Sin(h/2), 2)) + cosA*(sinH-h*cosH)
		sum += y[i-1]*even + slope*rising
	}
	return sum
}

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
