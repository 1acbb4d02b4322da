package finding

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fathomlux/scene/unit"
)

// Arg is an argument of a finding. It writes itself in the units of the reader.
type Arg interface{ Say(u unit.System) string }

// Length is a length in metres, written in millimetres or inches.
type Length float64

// Say writes the length with its unit.
func (l Length) Say(u unit.System) string { return u.Length(float64(l)) }

// Span is two lengths in metres, from and to: "560 to 620 mm".
type Span struct{ FromM, ToM float64 }

// Say writes both lengths with one unit.
func (s Span) Say(u unit.System) string { return u.Span(s.FromM, s.ToM) }

// Amount is a value of a dimension in SI units, written as in a scene file: "350 mA".
type Amount struct {
	Of    *unit.Dimension
	Value float64
}

// Say writes the value in the unit that suits its size.
func (a Amount) Say(unit.System) string { return a.Of.Say(a.Value) }

// Value is a number with its unit, written with so many decimals, and below one with two significant digits at least.
type Value struct {
	V        float64
	Decimals int
	Unit     string // empty for a plain number
}

// Say writes the number and its unit.
func (v Value) Say(unit.System) string {
	text := unit.Figure(v.V, v.Decimals)
	if math.Abs(v.V) >= 1 {
		text = strconv.FormatFloat(v.V, 'f', v.Decimals, 64)
	}
	return strings.TrimSuffix(text+" "+v.Unit, " ")
}

// Volts is a voltage with one decimal.
func Volts(v float64) Value { return Value{v, 1, "V"} }

// Watts is a power with one decimal.
func Watts(v float64) Value { return Value{v, 1, "W"} }

// Celsius is a temperature without decimals.
func Celsius(v float64) Value { return Value{v, 0, "°C"} }

// Percent is a share, 1 for all, in percent without decimals.
func Percent(share float64) Value { return Value{100 * share, 0, "%"} }

// Count is how many there are of something: "1 module", "3 modules".
type Count struct {
	N    int
	Noun string // in the singular; empty for the number alone
}

// Say writes the number and its noun.
func (c Count) Say(unit.System) string {
	if c.Noun == "" {
		return strconv.Itoa(c.N)
	}
	return unit.Several(c.N, c.Noun)
}

// Change is a relative change, 0.05 for 5 % more, in percent with its sign.
func Change(share float64) Text { return Text(fmt.Sprintf("%+.0f %%", 100*share)) }

// Plane is the name of a plane, as words that follow "the": "mid-water plane" for mid, and "plane at" a depth.
func Plane(name string) Text {
	switch name {
	case "surface", "floor":
		return Text(name)
	case "mid":
		return "mid-water plane"
	}
	return Text("plane at " + name)
}

// Held is a figure that is held against what is asked for, 0 for nothing, and the decimals by which both are told.
type Held struct {
	Found, Asked float64
	Decimals     int
	Unit         string // empty for a plain number
	Most         bool   // whether Asked is the most that it may be, not the least
}

// Missed tells whether something is asked for and not found.
func (h Held) Missed() bool {
	if h.Most {
		return h.Asked > 0 && !(h.Found <= h.Asked)
	}
	return h.Asked > 0 && !(h.Found >= h.Asked)
}

// MissedBy is how far the figure misses what is asked for, as a share of that; 0 where it does not.
func (h Held) MissedBy() float64 {
	if !h.Missed() {
		return 0
	}
	return math.Abs(h.Found/h.Asked - 1)
}

// Figures writes both numbers, with more decimals where a figure that misses would else read like what is asked for.
// What is asked for has none of them where it is a whole number and the other needs none by itself.
func (h Held) Figures() (is, limit string) {
	const more = 3 // decimals at most
	for d := h.Decimals; d <= h.Decimals+more; d++ {
		is, limit = unit.Figure(h.Found, d), unit.Figure(h.Asked, d)
		if is != limit || !h.Missed() {
			return is, h.asked(d)
		}
	}
	limit = h.asked(h.Decimals)
	if h.Most {
		return "just over " + limit, limit
	}
	return "just under " + limit, limit
}

// asked writes what is asked for.
func (h Held) asked(decimals int) string {
	if decimals == 0 && h.Asked == math.Trunc(h.Asked) {
		return unit.Short(h.Asked, 0)
	}
	return unit.Figure(h.Asked, decimals)
}

// Say writes the figure with its unit.
func (h Held) Say(unit.System) string {
	is, _ := h.Figures()
	return strings.TrimSuffix(is+" "+h.Unit, " ")
}

// Limit is what is asked for.
func (h Held) Limit() Text {
	_, limit := h.Figures()
	return Text(strings.TrimSuffix(limit+" "+h.Unit, " "))
}

// Beside is a figure with others that say the same otherwise, in brackets.
type Beside []Arg

// Say writes "2500 lx (40.0 µmol/m²/s)".
func (b Beside) Say(u unit.System) string { return b[0].Say(u) + string(Aside(List(b[1:]).Say(u))) }

// All is findings that are told together.
type All []Finding

// Say writes the findings with semicolons.
func (a All) Say(u unit.System) string { return strings.Join(Lines(a, Note, u), "; ") }

// Each is arguments that are all told, however many.
type Each []Arg

// Say writes the arguments with semicolons.
func (e Each) Say(u unit.System) string { return strings.Join(said(e, u), "; ") }

// Then is findings that are told behind another one, each after a semicolon.
type Then []Finding

// Say writes the findings; nothing where there are none.
func (t Then) Say(u unit.System) string {
	if len(t) == 0 {
		return ""
	}
	return "; " + All(t).Say(u)
}

// FromTo is a figure before and after, written with enough decimals to differ where they do.
type FromTo struct {
	From, To float64
	Decimals int
	Unit     string // empty for a plain number
}

// Say writes "from 0.194 to 0.534".
func (f FromTo) Say(u unit.System) string {
	low := Held{Found: min(f.From, f.To), Asked: max(f.From, f.To), Decimals: f.Decimals, Unit: f.Unit}
	from, to := low.Say(u), low.Limit().Say(u)
	if f.From > f.To {
		from, to = to, from
	}
	return "from " + from + " to " + to
}

// Number is a plain number with up to six significant digits.
func Number[T int | float64](n T) Text { return Text(strconv.FormatFloat(float64(n), 'g', 6, 64)) }

// Modules is the places of modules along the tank, x in metres, as the beginning of a sentence.
type Modules []float64

// Say writes "the module at x = 40 mm is", or "2 modules (x = 40 mm, 90 mm) are".
func (m Modules) Say(u unit.System) string {
	if len(m) == 1 {
		return "the module at x = " + u.Length(m[0]) + " is"
	}
	var l List
	for _, xM := range m {
		l = append(l, Length(xM))
	}
	return unit.Several(len(m), "module") + " (x = " + l.Say(u) + ") are"
}

// Quote is a text of a file, in quotes and cut short.
func Quote(text string) Text { return Text(fmt.Sprintf("%.60q", text)) }

// Aside is a text in brackets behind a word, with a blank before; empty where there is none.
func Aside(text string) Text {
	if text == "" {
		return ""
	}
	return Text(" (" + text + ")")
}

// Text is a name, or words of somebody else's such as those of an error.
type Text string

// Say returns the text.
func (t Text) Say(unit.System) string { return string(t) }

// List is arguments that are written one behind the other: the first eight, where there are more than nine of them.
type List []Arg

// Say writes the list with commas.
func (l List) Say(u unit.System) string { return unit.List(said(l, u), 8) }

func said(args []Arg, u unit.System) (words []string) {
	for _, a := range args {
		words = append(words, a.Say(u))
	}
	return words
}

// Say writes a finding that is an argument of another: its cause.
func (f Finding) Say(u unit.System) string { return f.Words(u) }

// Cause is why there is no answer: the finding that an error is, or the words of the error.
func Cause(err error) Arg {
	if f, is := errors.AsType[Finding](err); is {
		return f
	}
	return Text(err.Error())
}
