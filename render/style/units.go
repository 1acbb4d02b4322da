package style

import (
	"fmt"
	"math"
)

// Units is the system that lengths are shown in.
type Units int

// The systems of length: millimetres, or inches of exactly 25.4 mm.
const (
	Metric Units = iota
	US
)

// metresPerInch is exact by definition (international yard and pound agreement, 1959).
const metresPerInch = 0.0254

// Name returns the unit's sign, "mm" or "in".
func (u Units) Name() string {
	if u == US {
		return "in"
	}
	return "mm"
}

// Metres returns the length of one unit.
func (u Units) Metres() float64 {
	if u == US {
		return metresPerInch
	}
	return 0.001
}

// Figure returns a length in the unit without its sign: whole or tenths of millimetres, hundredths of inches.
func (u Units) Figure(lengthM float64) string {
	places := 10.0
	if u == US {
		places = 100
	}
	return TickText(math.Round(lengthM/u.Metres()*places) / places)
}

// Length returns a length with its unit, such as "420 mm".
func (u Units) Length(lengthM float64) string {
	return u.Figure(lengthM) + " " + u.Name()
}

// Span returns two lengths as "560 to 620 mm".
func (u Units) Span(fromM, toM float64) string {
	return fmt.Sprintf("%s to %s %s", u.Figure(fromM), u.Figure(toM), u.Name())
}

// step returns the round distance between ruler ticks that is at least atLeastM, and how many parts small ticks
// cut it into. Inches go by what a rule shows: halves and quarters, then inches, feet and tens of feet.
func (u Units) step(atLeastM float64) (stepM float64, parts int) {
	if u == Metric {
		step := math.Max(1, RoundStep(atLeastM/0.001))
		if leading := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9)); math.Round(leading) == 2 {
			return step * 0.001, 4
		}
		return step * 0.001, 5
	}
	for _, s := range [][2]float64{{0.25, 2}, {0.5, 2}, {1, 4}, {2, 4}, {4, 4}, {6, 6}, {12, 6}, {24, 4}, {48, 4}, {60, 5}, {120, 5}} {
		if s[0]*metresPerInch >= 0.9*atLeastM {
			return s[0] * metresPerInch, int(s[1])
		}
	}
	return 120 * metresPerInch * math.Ceil(atLeastM/(120*metresPerInch)), 5
}
