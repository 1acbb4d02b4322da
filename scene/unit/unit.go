// Package unit turns text such as "350 mA" or "46.5 in" into a number in SI units and back.
// It is the only package that knows a unit's name; its factors are exact. Two dimensions keep the unit that everybody
// uses instead of the SI one: Temperature is in degrees Celsius and Wavelength in nanometres.
// It knows no ranges: what a sensible length is, the caller says.
// Next: package document for the file in which quantities stand.
package unit

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Dimension is a kind of quantity with the units that may be written for it.
type Dimension struct {
	Name  string // in the singular, such as "length"
	units []scale
	small string // unit that an example is written in
	large string // second unit for an example, empty where there is none
	per   string // "a" or "an", to go before Name
	least float64
}

// scale is one unit. A written value v means (v + shift) * num / den in the dimension's own unit.
type scale struct {
	name            string
	shift, num, den float64
	also            []string
}

// Units returns the unit names that serve, the commonest first and without other spellings.
func (d *Dimension) Units() []string {
	names := make([]string, len(d.units))
	for i, u := range d.units {
		names[i] = u.name
	}
	return names
}

// Least returns the least amount of the dimension that anybody can make or measure, far below what a scene is about; 0
// where the zero of the scale means nothing. It keeps what is divided by it finite.
func (d *Dimension) Least() float64 { return d.least }

// A returns the dimension's name with its article, such as "a length" or "an illuminance".
func (d *Dimension) A() string { return d.per + " " + d.Name }

// Parse reads a number and its unit, with or without a space between, and returns the value in SI units (degrees
// Celsius for Temperature, nanometres for Wavelength). The error says what is wrong and which units serve.
func (d *Dimension) Parse(text string) (float64, error) {
	text = strings.TrimSpace(text)
	value, rest, err := splitNumber(text)
	if err != nil {
		return 0, fmt.Errorf("%w; write %s as a number and one of %s", err, d.A(), d.list())
	}
	if rest == "" {
		return 0, fmt.Errorf("%s has no unit; write %s", text, d.example(value))
	}
	u, ok := d.find(rest)
	if !ok {
		return 0, fmt.Errorf("%q is no unit of %s; use %s", shorten(rest), d.Name, d.list())
	}
	si := u.toSI(value)
	if math.IsInf(si, 0) {
		return 0, fmt.Errorf("%q is too large a number", shorten(text))
	}
	return si, nil
}

// Format writes an SI value in the named unit with a number of decimals, such as "46.5 in". An unknown unit name
// falls back to the dimension's first unit.
func (d *Dimension) Format(si float64, unitName string, digits int) string {
	u, ok := d.find(unitName)
	if !ok {
		u, unitName = d.units[0], d.units[0].name
	}
	return strconv.FormatFloat(u.fromSI(si), 'f', digits, 64) + " " + unitName
}

// Say writes an SI value shortly, for messages: in the dimension's example unit, or in the larger one from 10 of that
// on.
func (d *Dimension) Say(si float64) string {
	u, _ := d.find(d.small)
	if d.large != "" && !d.shifted() {
		if big, _ := d.find(d.large); math.Abs(big.fromSI(si)) >= 10 {
			u = big
		}
	}
	return strconv.FormatFloat(u.fromSI(si), 'g', 6, 64) + " " + u.name
}

func (d *Dimension) find(name string) (scale, bool) {
	name = plainUnit(name)
	for _, u := range d.units {
		if u.name == name {
			return u, true
		}
		for _, other := range u.also {
			if other == name {
				return u, true
			}
		}
	}
	return scale{}, false
}

// shifted tells whether a unit of the dimension has its zero elsewhere, as temperatures have.
func (d *Dimension) shifted() bool {
	for _, u := range d.units {
		if u.shift != 0 {
			return true
		}
	}
	return false
}

// example writes value as somebody may have meant it: 350 becomes "350 mA or 0.35 A", and 0.35 "0.35 A or 350 mA".
func (d *Dimension) example(value float64) string {
	bare := strconv.FormatFloat(value, 'g', -1, 64)
	if d.large == "" {
		return bare + " " + d.small
	}
	first, second := d.small, d.large
	if !d.shifted() && math.Abs(value) < 10 && value != math.Trunc(value) {
		first, second = second, first
	}
	from, _ := d.find(first)
	to, _ := d.find(second)
	other := strconv.FormatFloat(to.fromSI(from.toSI(value)), 'g', 6, 64)
	return fmt.Sprintf("%s %s or %s %s", bare, first, other, second)
}

func (d *Dimension) list() string {
	names := d.Units()
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

func (u scale) toSI(v float64) float64 { return (v + u.shift) * u.num / u.den }

func (u scale) fromSI(si float64) float64 { return si*u.den/u.num - u.shift }

// plainUnit spells a unit with the letters of a plain keyboard: the micro sign and the Greek mu become u, raised
// digits come down, and spaces inside go.
func plainUnit(name string) string {
	return strings.NewReplacer("\u00b5", "u", "\u03bc", "u", "\u00b2", "2", "^2", "2", " ", "").Replace(name)
}

var errNotNumber = errors.New("is not a number")

// ParseNumber reads a plain decimal number such as "0.25" or "-1.5e3". It refuses NaN, infinities, hexadecimal
// numbers, underscores, decimal commas and anything after the number.
func ParseNumber(text string) (float64, error) {
	text = strings.TrimSpace(text)
	value, rest, err := splitNumber(text)
	if err == nil && rest != "" {
		return 0, fmt.Errorf("%q %w", shorten(text), errNotNumber)
	}
	return value, err
}

// Split reads the number at the start of text and returns what follows it, without spaces around.
func Split(text string) (value float64, rest string, err error) {
	return splitNumber(strings.TrimSpace(text))
}

func splitNumber(text string) (value float64, rest string, err error) {
	end := numberEnd(text)
	if end == 0 {
		return 0, "", fmt.Errorf("%q does not begin with a number", shorten(text))
	}
	rest = text[end:]
	if strings.HasPrefix(rest, ",") {
		return 0, "", fmt.Errorf("%q has a comma; decimals take a point, and thousands take nothing", shorten(text))
	}
	if strings.HasPrefix(rest, "_") || strings.HasPrefix(rest, ".") || hexadecimal(text[:end], rest) {
		return 0, "", fmt.Errorf("%q %w written in plain decimals", shorten(text), errNotNumber)
	}
	rest = strings.TrimSpace(rest)
	if rest != "" && isDigit(rest[0]) && !strings.HasPrefix(rest, "1/") {
		return 0, "", fmt.Errorf("%q holds two numbers", shorten(text))
	}
	value, err = strconv.ParseFloat(text[:end], 64)
	if err != nil || math.IsInf(value, 0) {
		return 0, "", fmt.Errorf("%q is too large a number", shorten(text))
	}
	return value, rest, nil
}

func hexadecimal(number, rest string) bool {
	return strings.TrimLeft(number, "+-0") == "" && len(rest) > 1 && (rest[0] == 'x' || rest[0] == 'X')
}

// numberEnd returns how many bytes of text are a decimal number: sign, digits with one point, exponent. 0 where none.
func numberEnd(text string) int {
	i, digits := 0, 0
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		i++
	}
	for point := false; i < len(text) && (isDigit(text[i]) || text[i] == '.' && !point); i++ {
		if text[i] == '.' {
			point = true
		} else {
			digits++
		}
	}
	if digits == 0 {
		return 0
	}
	return i + exponentEnd(text[i:])
}

func exponentEnd(text string) int {
	if len(text) < 2 || (text[0] != 'e' && text[0] != 'E') {
		return 0
	}
	i := 1
	if text[i] == '+' || text[i] == '-' {
		i++
	}
	start := i
	for i < len(text) && isDigit(text[i]) {
		i++
	}
	if i == start {
		return 0
	}
	return i
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// shorten cuts text for a message.
func shorten(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "..."
}
