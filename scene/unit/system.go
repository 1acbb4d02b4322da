package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is the system that lengths are shown in. What a program reads, CSV and JSON, stays in millimetres.
type System int

// The systems of length: millimetres, or inches of exactly 25.4 mm.
const (
	Metric System = iota
	US
)

// metresPerInch is exact by definition (international yard and pound agreement, 1959).
const metresPerInch = 0.0254

// Name returns the unit's sign, "mm" or "in".
func (u System) Name() string {
	if u == US {
		return "in"
	}
	return "mm"
}

// Metres returns the length of one unit.
func (u System) Metres() float64 {
	if u == US {
		return metresPerInch
	}
	return 0.001
}

// Figure returns a length in the unit without its sign: whole or tenths of millimetres, hundredths of inches.
func (u System) Figure(lengthM float64) string {
	decimals := 1
	if u == US {
		decimals = 2
	}
	text := strconv.FormatFloat(lengthM/u.Metres(), 'f', decimals, 64)
	text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	if size := math.Abs(lengthM / u.Metres()); size >= 1e7 || text == "-0" {
		return strconv.FormatFloat(lengthM/u.Metres()+0, 'g', 4, 64)
	}
	return text
}

// Length returns a length with its unit, such as "420 mm".
func (u System) Length(lengthM float64) string {
	return u.Figure(lengthM) + " " + u.Name()
}

// Span returns two lengths as "560 to 620 mm".
func (u System) Span(fromM, toM float64) string {
	return fmt.Sprintf("%s to %s %s", u.Figure(fromM), u.Figure(toM), u.Name())
}
