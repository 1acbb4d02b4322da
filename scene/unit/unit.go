// Package unit turns text such as "350 mA" or "46.5 in" into a number in SI units and back.
// It is the only package that knows a unit's name; its factors are exact. Two dimensions keep the unit that everybody
// uses instead of the SI one: Temperature is in degrees Celsius and Wavelength in nanometres.
// It knows no ranges: what a sensible length is, the caller says.
// Next: package document for the file in which quantities stand.
package unit

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Dimension is a kind of quantity with the units that may be written for it.
type Dimension struct {
	Name  string // in the singular, such as "length"
	units []scale
	small string // unit that an example is written in
	large string // second unit for an example, empty where there is none
	least float64
}

// scale is one unit, by its spellings: a value v in it is (v + shift) * num / den in the dimension's own unit.
type scale struct {
	names           []string
	shift, num, den float64
}

// Units returns the unit names that serve, the commonest first and without other spellings.
func (d *Dimension) Units() []string {
	names := make([]string, len(d.units))
	for i, u := range d.units {
		names[i] = u.names[0]
	}
	return names
}

// Least returns the least amount of the dimension that anybody can make or measure, far below what a scene is about; 0
// where the zero of the scale means nothing. It keeps what is divided by it finite.
func (d *Dimension) Least() float64 { return d.least }

// A returns the dimension's name with its article, such as "a length" or "an illuminance".
func (d *Dimension) A() string {
	if strings.ContainsRune("aeiou", rune(d.Name[0])) {
		return "an " + d.Name
	}
	return "a " + d.Name
}

// Parse reads a number and its unit, with or without a space between, and returns the value in SI units (degrees
// Celsius for Temperature, nanometres for Wavelength). The error says what is wrong and which units serve.
func (d *Dimension) Parse(text string) (float64, error) {
	text = strings.TrimSpace(text)
	value, rest, err := Split(text)
	if err != nil {
		return 0, fmt.Errorf("%w; write %s as a number and one of %s", err, d.A(), d.list())
	}
	if rest == "" {
		return 0, fmt.Errorf("%s has no unit; write %s", text, d.example(value))
	}
	u, ok := d.find(rest)
	if !ok {
		return 0, fmt.Errorf("%q is not a unit of %s; use %s", shorten(rest), d.Name, d.list())
	}
	si := u.toSI(value)
	if math.IsInf(si, 0) {
		return 0, fmt.Errorf("%q is too large a number", shorten(text))
	}
	return si, nil
}

// In returns an SI value in the named unit, or in the dimension's first one where it has none of that name.
func (d *Dimension) In(si float64, unitName string) float64 {
	u, ok := d.find(unitName)
	if !ok {
		u = d.units[0]
	}
	return u.fromSI(si)
}

// Say writes an SI value for messages: in the dimension's example unit, or from 10 of the larger one on in that.
func (d *Dimension) Say(si float64) string {
	name := d.small
	if d.large != "" && !d.shifted() && math.Abs(d.In(si, d.large)) >= 10 {
		name = d.large
	}
	figure := strconv.FormatFloat(d.In(si, name), 'g', 6, 64)
	if d == Angle {
		return figure + "°"
	}
	return figure + " " + name
}

func (d *Dimension) find(name string) (scale, bool) {
	name = plainUnit(name)
	for _, u := range d.units {
		if slices.Contains(u.names, name) {
			return u, true
		}
	}
	return scale{}, false
}

// shifted tells whether a unit of the dimension has its zero elsewhere, as temperatures have.
func (d *Dimension) shifted() bool { return d.least == 0 }

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
	other := strconv.FormatFloat(d.In(from.toSI(value), second), 'g', 6, 64)
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

// ParseNumber reads a plain decimal number such as "0.25" or "-1.5e3". It refuses NaN, infinities, hexadecimal
// numbers, underscores, decimal commas and anything after the number.
func ParseNumber(text string) (float64, error) {
	value, rest, err := Split(text)
	if err == nil && rest != "" {
		return 0, fmt.Errorf("%q is not a number", shorten(strings.TrimSpace(text)))
	}
	return value, err
}

// leading matches the number at the start of a text.
var leading = regexp.MustCompile("^" + NumberPattern)

// Split reads the number at the start of text and returns what follows it, without spaces around.
func Split(text string) (value float64, rest string, err error) {
	text = strings.TrimSpace(text)
	digits := leading.FindString(text)
	rest = strings.TrimSpace(text[len(digits):])
	value, err = strconv.ParseFloat(digits, 64)
	switch next := text[len(digits):]; {
	case digits == "":
		err = fmt.Errorf("%q does not begin with a number", shorten(text))
	case strings.HasPrefix(next, ","):
		err = fmt.Errorf("%q has a comma; decimals take a point, and thousands take nothing", shorten(text))
	case next != "" && strings.Contains("_.xX", next[:1]):
		err = fmt.Errorf("%q is not a number written in plain decimals", shorten(text))
	case rest != "" && rest[0] >= '0' && rest[0] <= '9' && !strings.HasPrefix(rest, "1/"):
		err = fmt.Errorf("%q holds two numbers", shorten(text))
	case err != nil:
		err = fmt.Errorf("%q is too large a number", shorten(text))
	default:
		return value, rest, nil
	}
	return 0, "", err
}

// shorten cuts text for a message.
func shorten(text string) string {
	if short := fmt.Sprintf("%.40s", text); short != text {
		return short + "..."
	}
	return text
}

// NumberPattern is a regular expression for the numbers that Parse and ParseNumber read.
const NumberPattern = `[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?`

// Pattern returns a regular expression for what Parse reads, in the syntax that ECMA-262 and Go share, for schemas that
// editors check while somebody types. It knows spaces beside the slash of a unit, not inside its letters, where Parse
// is more patient.
func (d *Dimension) Pattern() string {
	var spellings []string
	for _, u := range d.units {
		for _, name := range u.names {
			spellings = append(spellings, spelling(name))
		}
	}
	return `^\s*` + NumberPattern + `\s*(` + strings.Join(spellings, "|") + `)\s*$`
}

// spelling returns a pattern for a unit with the letters that plainUnit takes for plain ones.
func spelling(name string) string {
	name = regexp.QuoteMeta(name)
	if strings.HasPrefix(name, "um") {
		name = "[u\u00b5\u03bc]" + name[1:]
	}
	return strings.NewReplacer("1/", "1/ *", "m2", `m(2|\^2|`+"\u00b2)", "in2", `in(2|\^2|`+"\u00b2)", "mK", "m *K",
		"/", " */ *").Replace(name)
}
