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

// ParseSpan reads "40..80 lx", "40 lx..80 lx" or "..80 lx", which is any value up to that, as from and to, and a value
// alone as from, in SI units; 0 stands for an end that is not given.
func (d *Dimension) ParseSpan(text string) (from, to float64, err error) {
	first, second, two := strings.Cut(text, "..")
	if !two {
		from, err = d.Parse(text)
		return from, 0, err
	}
	if to, err = d.Parse(second); err != nil {
		return 0, 0, fmt.Errorf("%w, as in %s", err, d.spanExample())
	}
	switch value, rest, wrong := Split(first); {
	case strings.TrimSpace(first) == "":
	case wrong == nil && rest == "": // the unit behind the second one serves both
		_, name, _ := Split(second)
		u, _ := d.find(name)
		from = u.toSI(value)
	default:
		from, err = d.Parse(first)
	}
	if err == nil && from >= to {
		err = fmt.Errorf("%s: the first of both must be the lower one, as in %s", shorten(text), d.spanExample())
	}
	return from, to, err
}

// spanExample is an example of what ParseSpan reads.
func (d *Dimension) spanExample() string { return "40..80 " + d.small }

// In returns an SI value in the named unit, or in the dimension's first one where it has none of that name.
func (d *Dimension) In(si float64, unitName string) float64 {
	u, ok := d.find(unitName)
	if !ok {
		u = d.units[0]
	}
	return si*u.den/u.num - u.shift
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
	name = plainUnit.Replace(name)
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

// plainUnit spells a unit with the letters of a plain keyboard: the micro sign and the Greek mu become u, raised
// digits come down, and spaces inside go.
var plainUnit = strings.NewReplacer("\u00b5", "u", "\u03bc", "u", "\u00b2", "2", "^2", "2", " ", "")

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
		err = fmt.Errorf("%q has a comma; write decimals with a point and thousands without a separator", shorten(text))
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
func (d *Dimension) Pattern() string { return `^` + d.amount("") + `$` }

// SpanPattern is Pattern for what ParseSpan reads.
func (d *Dimension) SpanPattern() string {
	return `^((` + d.amount("?") + `|\s*)\.\.)?` + d.amount("") + `$`
}

// amount matches a number with its unit; times is how often that stands, such as "?".
func (d *Dimension) amount(times string) string {
	var spellings []string
	for _, u := range d.units {
		for _, name := range u.names {
			spellings = append(spellings, spelling(name))
		}
	}
	return `\s*` + NumberPattern + `\s*(` + strings.Join(spellings, "|") + `)` + times + `\s*`
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

// The dimensions of a scene and of its parts, each by its name, the least amount that anybody can make or measure, the
// units of an example, and all units with what they are in the one of 1, in which Parse returns its values.
var (
	// An inch is 25.4 mm exactly, by definition of 1959.
	Length = define("length", 1e-6, "mm|m", "mm 1/1000, cm 1/100, m 1, in|inch|inches 254/10000, ft 3048/10000")
	// Cable is a length that people think of in metres.
	Cable = &Dimension{Name: Length.Name, least: 1e-3, small: "m", units: Length.units}
	Area  = define("area", 1e-8, "mm2|cm2", "mm2 1/1e6, cm2 1/1e4, m2 1, in2 64516/1e8")
	_     = define("second moment of area", 1e-14, "mm4|cm4", "mm4 1/1e12, cm4 1/1e8, m4 1, in4 4162314256/1e16")
	// A pound is 0.45359237 kg exactly, by agreement of 1959, and an ounce a sixteenth of it.
	_            = define("mass", 1e-6, "g|kg", "g 1/1000, kg 1, oz 45359237/16e8, lb 45359237/1e8")
	Current      = define("current", 1e-4, "mA|A", "mA 1/1000, A 1")
	Voltage      = define("voltage", 0.1, "V", "V 1, mV 1/1000")
	Power        = define("power", 0.01, "W", "W 1, mW 1/1000, kW 1000")
	LuminousFlux = define("luminous flux", 1e-4, "lm", "lm 1, klm 1000")
	// A foot-candle is one lumen a square foot, and a foot is 0.3048 m exactly.
	Illuminance       = define("illuminance", 1e-4, "lx|klx", "lx|lux 1, klx 1000, fc 1/0.09290304")
	LuminousIntensity = define("luminous intensity", 1e-6, "cd", "cd 1, kcd 1000")
	PhotonFluxDensity = define("photon flux density", 1e-6, "umol/m2/s", "umol/m2/s 1")
	DailyLight        = define("daily light integral", 1e-6, "mol/m2/day", "mol/m2/day|mol/m2/d 1")
	Angle             = define("angle", 1e-6, "deg", "deg|\u00b0 pi/180, rad 1")
	// Temperature is in degrees Celsius, not in kelvins: every formula that needs kelvins adds 273.15 itself.
	Temperature       = define("temperature", 0, "C|F", "C|\u00b0C|degC 1, F|\u00b0F|degF 5/9 -32, K 1 -273.15")
	_                 = define("colour temperature", 0.1, "K", "K 1") // in kelvins
	ThermalResistance = define("thermal resistance", 1e-3, "K/W", "K/W|C/W|\u00b0C/W 1")
	Duration          = define("duration", 1, "h", "h 3600, min 60, s 1")
	// Practical salinity units and parts a thousand are taken for grams a kilogram, which is right within 0.5 % for sea
	// water (reference-composition salinity 35.165 g/kg at 35 psu).
	Salinity = define("salinity", 1e-6, "g/kg", "g/kg 1, ppt 1, psu 1")
	// Wavelength is in nanometres, not in metres: every spectral table is written so.
	Wavelength    = define("wavelength", 1e-3, "nm", "nm 1, um 1000")
	SpectralSlope = define("spectral slope", 1e-9, "1/nm", "1/nm|/nm 1")
	// Attenuation is base e: absorption and scattering of water.
	Attenuation       = define("attenuation", 1e-9, "1/m", "1/m|/m 1, 1/cm|/cm 100, 1/ft|/ft 10000/3048")
	Conductivity      = define("conductivity", 0.01, "W/m/K", "W/m/K|W/(mK)|W/mK 1")
	RelativePerKelvin = define("relative change per kelvin", 1e-9, "%/K", "%/K|%/C 1/100, 1/K|/K 1")
	VoltagePerKelvin  = define("voltage per kelvin", 1e-9, "mV/K", "mV/K|mV/C 1/1000, V/K 1")
	// Level is how far a channel is dimmed, as a share of full.
	Level     = define("level", 1e-4, "%", "% 1/100")
	DecayRate = define("decay rate", 1e-10, "1/h", "1/h|/h 1, 1/kh|/kh 1/1000")
)

var named = map[string]*Dimension{}

// Named returns the dimension of a name, such as "luminous flux", and nil where there is none.
func Named(name string) *Dimension { return named[name] }

// define reads a row of the table above: each unit is its spellings, its factor, and what is added before.
func define(name string, least float64, examples, units string) *Dimension {
	d := &Dimension{Name: name, least: least}
	d.small, d.large, _ = strings.Cut(examples, "|")
	for unit := range strings.SplitSeq(units, ", ") {
		words := append(strings.Fields(unit), "0")
		num, den, _ := strings.Cut(words[1]+"/1", "/")
		den, _, _ = strings.Cut(den, "/")
		d.units = append(d.units, scale{names: strings.Split(words[0], "|"), shift: number(words[2]), num: number(num),
			den: number(den)})
	}
	named[name] = d
	return d
}

func number(text string) float64 {
	if text == "pi" {
		return math.Pi
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err) // a slip in the table
	}
	return v
}
