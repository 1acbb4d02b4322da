package unit

import (
	"fmt"
	"math"
	"strconv"
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
	size := lengthM / u.Metres()
	if math.Abs(size) >= 1e7 {
		return strconv.FormatFloat(size, 'g', 4, 64)
	}
	return Short(size, map[System]int{Metric: 1, US: 2}[u])
}

// Length returns a length with its unit, such as "420 mm".
func (u System) Length(lengthM float64) string {
	return u.Figure(lengthM) + " " + u.Name()
}

// Span returns two lengths as "560 to 620 mm".
func (u System) Span(fromM, toM float64) string {
	return fmt.Sprintf("%s to %s %s", u.Figure(fromM), u.Figure(toM), u.Name())
}
