package unit

import (
	"fmt"
	"math"
	"strings"
)

// Grouped puts a space between the thousands of a number's digits, which may have decimals and words before them.
func Grouped(digits string) string {
	end := strings.IndexByte(digits, '.')
	if end < 0 {
		end = len(digits)
	}
	for i := end - 3; i > 0 && digits[i-1] >= '0' && digits[i-1] <= '9'; i -= 3 {
		digits = digits[:i] + " " + digits[i:]
	}
	return digits
}

// Count writes a whole number with all its digits, and one that is too large for people to count them as a power of ten.
func Count(v float64) string {
	const countable = 1e12
	if math.Abs(v) < countable {
		return Grouped(fmt.Sprintf("%.0f", v))
	}
	return fmt.Sprintf("%.3g", v)
}
