package drilling

import (
	"fmt"
	"math"
)

const (
	inchM = 0.0254 // exact: international yard and pound agreement of 1959
	ruled = 32     // parts of an inch on a common rule: 0.79375 mm each
)

// Inches is a length as a common inch rule reads it: Whole inches and Over/Of of one, in lowest terms.
type Inches struct {
	Whole, Over, Of int
	Negative        bool
	ErrorM          float64 // the reading less the true length, at most 1/64 in either way
}

// NearestInches returns the length in metres to the nearest 1/32 in.
func NearestInches(m float64) Inches {
	n := int(math.Round(math.Abs(m) / inchM * ruled))
	in := Inches{Whole: n / ruled, Over: n % ruled, Of: ruled, Negative: m < 0 && n > 0,
		ErrorM: float64(n)*inchM/ruled - math.Abs(m)}
	if m < 0 {
		in.ErrorM = -in.ErrorM
	}
	for in.Over%2 == 0 && in.Of > 1 {
		in.Over, in.Of = in.Over/2, in.Of/2
	}
	return in
}

// String returns "16 7/32", "7/32" or "16".
func (in Inches) String() string {
	sign := ""
	if in.Negative {
		sign = "-"
	}
	switch {
	case in.Over == 0:
		return fmt.Sprintf("%s%d", sign, in.Whole)
	case in.Whole == 0:
		return fmt.Sprintf("%s%d/%d", sign, in.Over, in.Of)
	}
	return fmt.Sprintf("%s%d %d/%d", sign, in.Whole, in.Over, in.Of)
}

// Millimetres returns a length in metres as mm to 0.1.
func Millimetres(m float64) string { return tenths(m, "%.1f") }

// tenths rounds half away from zero after noise of binary fractions is off, and knows no minus zero.
func tenths(m float64, format string) string {
	v := math.Round(math.Round(m*1e9)/1e5) / 10
	return fmt.Sprintf(format, v+0)
}
