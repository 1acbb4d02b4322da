package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Figure writes a value for people with a number of decimals, and with more where fewer than two digits that count
// would be left: what is not 0 never reads like 0. What is 0 is "0".
func Figure(v float64, decimals int) string {
	const most = 6 // decimals
	size := math.Abs(v)
	if size == 0 {
		return "0"
	}
	if need := 1 - int(math.Floor(math.Log10(size)+0.0044)); need > decimals { // 0.0995 rounds to 0.10
		decimals = need
	}
	if decimals > most && size < 1 {
		return strconv.FormatFloat(v, 'g', 2, 64)
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// Short writes a value with at most a number of decimals, without trailing zeros.
func Short(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// Ratio writes a min/mean, min/max or the like.
func Ratio(v float64) string { return Figure(v, 2) }

// Count writes a whole number from 0 on with all its digits in groups of three, "10 000", and one of too many to be
// counted as a power of ten.
func Count(v float64) string {
	const countable = 1e12
	if v >= countable {
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
	text := strconv.FormatFloat(v, 'f', 0, 64)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + " " + text[i:]
	}
	return text
}

// Several writes a count with its noun: "1 string", "2 strings".
func Several(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return strconv.Itoa(n) + " " + noun
}

// Capital makes the first letter of a text, of whatever script, a capital one.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 || first == utf8.RuneError {
		return text
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// List joins words with commas: all of them, or the first few where that leaves out more than one.
func List(words []string, most int) string {
	if n := len(words) - most; n > 1 {
		return fmt.Sprintf("%s and %d more", strings.Join(words[:most], ", "), n)
	}
	return strings.Join(words, ", ")
}

// Runs writes rising numbers, of those that follow each other the ends: "1 to 4, 7" with " to " and ", ".
func Runs(numbers []int, to, comma string) string {
	var runs []string
	for from, i := 0, 0; i < len(numbers); i++ {
		if i+1 < len(numbers) && numbers[i+1] == numbers[i]+1 {
			continue
		}
		run := strconv.Itoa(numbers[from])
		if i > from {
			run += to + strconv.Itoa(numbers[i])
		}
		runs, from = append(runs, run), i+1
	}
	return strings.Join(runs, comma)
}

// System is the system that lengths are shown in. What a program reads, CSV and JSON, stays in millimetres.
type System int

// The systems of length: millimetres, or inches of exactly 25.4 mm.
const (
	Metric System = iota
	US
)

// Name returns the unit's sign, "mm" or "in".
func (u System) Name() string { return [...]string{"mm", "in"}[u] }

// Metres returns the length of one unit; that of an inch is exact (international yard and pound agreement, 1959).
func (u System) Metres() float64 { return [...]float64{0.001, 0.0254}[u] }

// Figure returns a length in the unit without its sign: whole or tenths of millimetres, hundredths of inches.
func (u System) Figure(lengthM float64) string {
	size := lengthM / u.Metres()
	if math.Abs(size) >= 1e7 {
		return strconv.FormatFloat(size, 'g', 4, 64)
	}
	return Short(size, 1+int(u))
}

// Length returns a length with its unit, such as "420 mm".
func (u System) Length(lengthM float64) string { return u.Figure(lengthM) + " " + u.Name() }

// Span returns two lengths as "560 to 620 mm".
func (u System) Span(fromM, toM float64) string {
	return fmt.Sprintf("%s to %s %s", u.Figure(fromM), u.Figure(toM), u.Name())
}
