package document

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// Node is a place in a document: a value, or the hole where one could be. The readers of a hole, and of a value that
// was complained about already, return the zero value and are silent.
type Node struct {
	value *yaml.Node    // nil for a hole
	doc   *doc          // nil for the zero Node
	place finding.Place // for a hole the line of the mapping around it
}

// node returns the place of a value. One that an alias stands for is where the alias is.
func (d *doc) node(n *yaml.Node, path string) Node {
	return Node{resolved(n), d, finding.Place{File: d.Name, Line: n.Line, Column: n.Column, Path: path}}
}

// Exists tells whether something stands at this place.
func (n Node) Exists() bool { return n.value != nil }

// IsMapping tells whether keys with values stand here.
func (n Node) IsMapping() bool { return n.is(yaml.MappingNode) }

// IsSequence tells whether a list stands here.
func (n Node) IsSequence() bool { return n.is(yaml.SequenceNode) }

// IsScalar tells whether a text, a number or a flag stands here.
func (n Node) IsScalar() bool { return n.is(yaml.ScalarNode) }

// Spoilt tells whether this value, or one below it, was complained about when the file was read.
func (n Node) Spoilt() bool {
	return n.value != nil && (n.doc.spoilt[n.value] || n.value.Kind == broken)
}

func (n Node) is(k yaml.Kind) bool { return n.value != nil && n.value.Kind == k }

// Faultf adds a fault at this place.
func (n Node) Faultf(format string, args ...any) {
	if n.doc != nil {
		n.doc.AddFault(Fault{n.Place(), fmt.Sprintf(format, args...)})
	}
}

// Warn adds a warning at this place.
func (n Node) Warn(f finding.Finding) {
	if n.doc != nil {
		n.doc.AddWarning(f.At(n.Place()))
	}
}

// Place returns the place of the node.
func (n Node) Place() finding.Place { return n.place }

// kinds are what may stand at a place.
var kinds = map[yaml.Kind]string{
	yaml.ScalarNode: "a single value", yaml.MappingNode: "a mapping", yaml.SequenceNode: "a list",
}

// expect tells whether a value of kind k stands here, and complains where another does.
func (n Node) expect(k yaml.Kind, want string) bool {
	if n.value == nil || n.value.Kind == broken {
		return false
	}
	if n.value.Kind != k {
		n.Faultf("%s is given here; write %s", kinds[n.value.Kind], want)
	}
	return n.value.Kind == k
}

// Items returns the values of a list; a fault is added when something else stands here.
func (n Node) Items() []Node {
	if !n.expect(yaml.SequenceNode, "a list") {
		return nil
	}
	items := make([]Node, len(n.value.Content))
	for i, item := range n.value.Content {
		items[i] = n.doc.node(item, fmt.Sprintf("%s[%d]", n.place.Path, i))
	}
	return items
}

// Entry is one key with its value; Key is the place of the key itself.
type Entry struct {
	Name       string
	Key, Value Node
}

// MaxEntries is how many names a mapping with free names may have.
const MaxEntries = 2000

// Entries returns the keys and values of a mapping with free names, in the order of the file; a fault is added when
// something else stands here, or more than MaxEntries names. A name is checked like a text.
func (n Node) Entries() []Entry {
	if !n.expect(yaml.MappingNode, "names with their values") {
		return nil
	}
	all := n.pairs()
	if len(all) > MaxEntries {
		n.Faultf("%d names are too many; at most %d are allowed", len(all), MaxEntries)
		return nil
	}
	return slices.DeleteFunc(all, func(e Entry) bool {
		problem := textProblem(e.Name)
		if problem != "" {
			e.Key.Faultf("%s", problem)
		}
		return problem != ""
	})
}

// pairs returns the keys and values of a mapping.
func (n Node) pairs() []Entry {
	var all []Entry
	for i := 0; i < len(n.value.Content); i += 2 {
		key, value := n.value.Content[i], n.value.Content[i+1]
		path := join(n.place.Path, key.Value)
		all = append(all, Entry{Name: key.Value, Key: n.doc.node(key, path), Value: n.doc.node(value, path)})
	}
	return all
}

// Fields are the values of a mapping by key.
type Fields struct {
	at     Node
	byName map[string]Node
}

// Fields returns the values of a mapping whose keys are all known; now gives the new name of each that had another one
// before. It adds a fault when something else stands here, one for each unknown key, with the known key that is
// nearest, and one where a key is given under both names; it warns of an old name.
func (n Node) Fields(known []string, now map[string]string) Fields {
	f := Fields{at: n, byName: map[string]Node{}}
	if !n.expect(yaml.MappingNode, "keys with their values: "+strings.Join(known, ", ")) {
		return f
	}
	for _, e := range n.pairs() {
		name := cmp.Or(now[e.Name], e.Name)
		_, twice := f.byName[name]
		switch {
		case !slices.Contains(known, name):
			e.Key.Faultf("unknown key; %s", suggestion(name, known))
			continue
		case twice:
			e.Key.Faultf("%s is given under its old and its new name; give %s alone", name, name)
		case name != e.Name:
			e.Key.Warn(finding.KeyRenamed.Of(finding.Text(e.Name), finding.Text(name)))
		}
		f.byName[name] = e.Value
	}
	return f
}

// At returns the place of the mapping itself.
func (f Fields) At() Node { return f.at }

// Get returns the value of a key, or the hole where it could be.
func (f Fields) Get(key string) Node {
	if n, ok := f.byName[key]; ok {
		return n
	}
	hole := Node{doc: f.at.doc, place: f.at.place}
	hole.place.Path = join(hole.place.Path, key)
	return hole
}

const maxText = 200 // characters

// largest is the largest magnitude of any number in SI units: nothing in a tank comes near it.
const largest = 1e12

// Range is an inclusive range in SI units. The zero Range holds every number. High may be infinite.
type Range struct {
	Low, High float64
	Percent   bool // a Number may be written in percent
}

// LeastShare is the least of a share of which there must be some: 0.01 %.
const LeastShare = 0.0001

// nothing is what a plain number that is nearer to 0 is taken for.
const nothing = 1e-12

// Wanted says what the range holds, such as "a length from 10 mm to 20 m"; for a nil dimension, of a number.
func (r Range) Wanted(d *unit.Dimension) string {
	what, say := "a number", func(x float64) string { return fmt.Sprintf("%g", x) }
	if d != nil {
		what, say = d.A(), d.Say
	}
	switch {
	case r.Low == 0 && r.High == 0, math.Abs(r.High) > largest && math.Abs(r.Low) > largest:
		return what + " of a size that can be"
	case r.High > largest:
		return what + " " + say(r.Low) + " or above"
	case r.Low < -largest:
		return what + " " + say(r.High) + " or below"
	}
	return what + " from " + say(r.Low) + " to " + say(r.High)
}

// contains tells whether x lies inside and is finite and not huge.
func (r Range) contains(x float64) bool {
	if !(math.Abs(x) <= largest) {
		return false
	}
	return r.Low == 0 && r.High == 0 || x >= r.Low && x <= r.High
}

// scalarText returns the raw text of a single value.
func (n Node) scalarText(want string) (string, bool) {
	if !n.expect(yaml.ScalarNode, want) {
		return "", false
	}
	return n.value.Value, true
}

// Text returns a plain text: not empty, at most 200 characters, none of them Unsafe.
func (n Node) Text() string {
	text, ok := n.scalarText("a text")
	if !ok {
		return ""
	}
	if problem := textProblem(text); problem != "" {
		n.Faultf("%s", problem)
		return ""
	}
	return text
}

func textProblem(text string) string {
	switch {
	case strings.TrimSpace(text) == "":
		return "the text is empty"
	case strings.TrimFunc(text, unseen) == "":
		return "the text has no character that can be seen; write some"
	case utf8.RuneCountInString(text) > maxText:
		return fmt.Sprintf("the text has %d characters; at most %d are allowed", utf8.RuneCountInString(text), maxText)
	}
	for _, r := range text {
		switch {
		case unicode.Is(unicode.Bidi_Control, r):
			return fmt.Sprintf("the text holds %U, which reverses the direction of writing; remove it", r)
		case Unsafe(r) || r == utf8.RuneError:
			return fmt.Sprintf("the text holds the control character %U; write it in one line", r)
		}
	}
	return ""
}

// unseen tells whether r leaves the paper white: blanks, what fonts may ignore, and Braille without a dot (U+2800).
func unseen(r rune) bool {
	return unicode.IsSpace(r) || r == '\u2800' || unicode.In(r, unicode.Cf, unicode.Zs, unicode.Variation_Selector,
		unicode.Other_Default_Ignorable_Code_Point)
}

// Quantity returns a value with its unit in the units of package unit, 0 for less than makes sense where 0 serves.
func (n Node) Quantity(d *unit.Dimension, r Range) float64 {
	return n.inRange(wanted(d), d, r, d.Parse)
}

func wanted(d *unit.Dimension) string {
	return d.A() + " with its unit: " + strings.Join(d.Units(), ", ")
}

// Span returns what unit.ParseSpan reads, with both ends in the range; 0 stands for an end that is not given.
func (n Node) Span(d *unit.Dimension, r Range) (from, to float64) {
	text, ok := n.scalarText(wanted(d))
	if !ok {
		return 0, 0
	}
	from, to, err := d.ParseSpan(text)
	switch {
	case err != nil:
		n.Faultf("%v", err)
	case to != 0 && !r.contains(to), !r.contains(from) && !(from == 0 && to != 0):
		n.Faultf("%s is out of range; give %s", brief(text), r.Wanted(d))
	default:
		return from, to
	}
	return 0, 0
}

// Number returns a number without a unit. Where r.Percent is set, "25 %" is 0.25.
func (n Node) Number(r Range) float64 {
	return n.inRange("a number", nil, r, func(text string) (float64, error) {
		x, rest, err := unit.Split(text)
		switch {
		case err != nil || rest == "":
			return x, err
		case rest == "%" && r.Percent:
			return x / 100, nil
		case rest == "%":
			return 0, fmt.Errorf("%s is in percent; write a plain number", brief(text))
		}
		return 0, fmt.Errorf("%s has a unit, or is not a number; write a plain number", brief(text))
	})
}

// inRange returns what parse makes of the text, 0 where that or what lies outside the range is a fault.
func (n Node) inRange(want string, d *unit.Dimension, r Range, parse func(string) (float64, error)) float64 {
	text, ok := n.scalarText(want)
	if !ok {
		return 0
	}
	x, err := parse(text)
	least := nothing
	if d != nil {
		least = d.Least()
	}
	switch {
	case err != nil:
		n.Faultf("%v", err)
	case !r.contains(x):
		n.Faultf("%s is out of range; give %s", brief(text), r.Wanted(d))
	case math.Abs(x) >= least || !r.contains(0): // what nobody can measure must not be divided by
		return x
	}
	return 0
}

// Integer returns a whole number from low to high.
func (n Node) Integer(low, high int) int {
	whole := func(text string) (float64, error) {
		x, err := unit.ParseNumber(text)
		if err != nil || x != math.Trunc(x) {
			err = fmt.Errorf("%s is not a whole number; give one from %d to %d", brief(text), low, high)
		}
		return x, err
	}
	return int(n.inRange("a whole number", nil, Range{Low: float64(low), High: float64(high)}, whole))
}

// OneOf returns the text that stands here if it is one of choices; else it adds a fault with the nearest of them.
func (n Node) OneOf(choices ...string) string {
	text, ok := n.scalarText("one of " + strings.Join(choices, ", "))
	if !ok {
		return ""
	}
	if slices.Contains(choices, text) {
		return text
	}
	n.Faultf("%s is not known; %s", brief(text), suggestion(text, choices))
	return ""
}

// currency looks like a code of ISO 4217.
var currency = regexp.MustCompile(`^[A-Z]{3}$`)

// Money returns an amount of 0 or more and its three-letter currency code, as in "4.20 EUR", or where per is not empty
// an amount a unit, as in "0.28 EUR/kWh" for "kWh".
func (n Node) Money(per string) (amount float64, code string) {
	suffix, example := "", "4.20 EUR"
	if per != "" {
		suffix, example = "/"+per, "0.28 EUR/"+per
	}
	text, ok := n.scalarText("an amount such as " + example)
	if !ok {
		return 0, ""
	}
	x, rest, err := unit.Split(text)
	code, whole := strings.CutSuffix(strings.ReplaceAll(rest, " ", ""), suffix)
	switch {
	case err != nil:
		n.Faultf("%v", err)
	case !whole || !currency.MatchString(code):
		n.Faultf("%s is not an amount of money; write it as in %s", brief(text), example)
	case !(x >= 0 && x <= 1e9):
		n.Faultf("%s is out of range; give an amount from 0 to 1e9", brief(text))
	case x < 1e-6: // the millionth part of the smallest coin is no price
		return 0, code
	default:
		return x, code
	}
	return 0, ""
}
