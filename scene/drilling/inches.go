package drilling

import (
	"fmt"
	"math"
	"strings"
)

const (
	inchM = 0.0254 // exact: international yard and pound agreement of 1959
	ruled = 32     // parts of an inch on a common rule: 0.79375 mm each
)

// Inches writes a length in metres as a common inch rule reads it, to the nearest 1/32 in: "16 7/32", "7/32" or "16".
// errorM is the reading less the true length, at most 1/64 in either way.
func Inches(m float64) (text string, errorM float64) {
	n := int(math.Round(m / inchM * ruled))
	errorM = float64(n)*inchM/ruled - m
	if n < 0 {
		text, n = "-", -n
	}
	whole, over, of := n/ruled, n%ruled, ruled
	for ; over%2 == 0 && of > 1; of /= 2 {
		over /= 2
	}
	if whole > 0 || over == 0 {
		text += fmt.Sprintf("%d ", whole)
	}
	if over > 0 {
		text += fmt.Sprintf("%d/%d", over, of)
	}
	return strings.TrimSpace(text), errorM
}

// Millimetres returns a length in metres as mm to 0.1, rounded half away from zero after noise of binary fractions is
// off; it knows no minus zero.
func Millimetres(m float64) string {
	return fmt.Sprintf("%.1f", math.Round(math.Round(m*1e9)/1e5)/10+0)
}
