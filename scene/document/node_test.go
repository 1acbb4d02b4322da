package document_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// walk goes through a tree with every reader.
func walk(n document.Node, depth int) {
	if n.IsMapping() {
		for _, e := range n.Entries() {
			walk(e.Value, depth+1)
		}
		n.Fields([]string{"a", "b"}, nil).Get("c")
	}
	if n.IsSequence() && depth < 50 {
		for _, item := range n.Items() {
			walk(item, depth+1)
		}
	}
	readAll(n)
}

func readAll(n document.Node) {
	n.Text()
	n.Number(document.Range{})
	n.Quantity(unit.Length, document.Range{})
	n.Integer(0, 5)
	n.OneOf("x", "y")
	n.Money("")
	n.Money("kWh")
	n.Items()
	n.Fields(nil, nil)
	n.Entries()
}

// manyKeys returns n keys for a mapping in braces.
func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "k%d: 1, ", i)
	}
	return b.String()
}

// at returns the value of key a in text.
func at(text string) (document.Node, *document.Report) {
	root, report := read("a: " + text + "\n")
	return root.Fields([]string{"a"}, nil).Get("a"), report
}

func TestValuesThatServe(t *testing.T) {
	n, report := at("{t: A tank, q: 46.5 in, n: 0.5, p: 25 %, i: 6, f: true, o: glass, m: 4.20 EUR, k: 0.28 EUR / kWh, w: 2e1}")
	f := n.Fields([]string{"t", "q", "n", "p", "i", "f", "o", "m", "k", "w"}, nil)
	if got := f.Get("t").Text(); got != "A tank" {
		t.Errorf("text %q", got)
	}
	if got := f.Get("q").Quantity(unit.Length, document.Range{Low: unit.Length.Least(), High: 2}); math.Abs(got-1.1811) > 1e-15 {
		t.Errorf("46.5 in is %g m", got)
	}
	share := document.Range{Low: 0, High: 1, Percent: true}
	if half, quarter := f.Get("n").Number(share), f.Get("p").Number(share); half != 0.5 || quarter != 0.25 {
		t.Errorf("numbers %g and %g", half, quarter)
	}
	if six, twenty := f.Get("i").Integer(1, 6), f.Get("w").Integer(1, 20); six != 6 || twenty != 20 {
		t.Errorf("integers %d and %d", six, twenty)
	}
	if f.Get("f").OneOf("true", "false") != "true" || f.Get("o").OneOf("acrylic", "glass") != "glass" {
		t.Error("flag or choice is wrong")
	}
	if x, c := f.Get("m").Money(""); x != 4.2 || c != "EUR" {
		t.Errorf("money %g %s", x, c)
	}
	if x, c := f.Get("k").Money("kWh"); x != 0.28 || c != "EUR" {
		t.Errorf("tariff %g %s", x, c)
	}
	if report.Err() != nil {
		t.Error(report.Err())
	}
}

func TestValuesThatDoNotServe(t *testing.T) {
	length := func(n document.Node) { n.Quantity(unit.Length, document.Range{Low: 0.01, High: 20}) }
	number := func(n document.Node) { n.Number(document.Range{Low: 0, High: 1}) }
	text := func(n document.Node) { n.Text() }
	whole := func(n document.Node) { n.Integer(1, 400) }
	money := func(n document.Node) { n.Money("") }
	choice := func(n document.Node) { n.OneOf("glass", "acrylic", "low-iron glass") }
	tests := []struct {
		text string
		read func(document.Node)
		want string
	}{
		{"1180", length, "a: 1180 has no unit; write 1180 mm or 1.18 m"},
		{"-5 mm", length, "-5 mm is out of range; give a length from 10 mm to 20 m"},
		{"1e30 m", length, "1e30 m is out of range"},
		{"[1 mm]", length, "a list is given here; write a length with its unit: mm, cm, m, in, ft"},
		{"{b: 1}", length, "a mapping is given here"},
		{"true", length, "does not begin with a number"},
		{"nan mm", length, "does not begin with a number"},
		{"\"1\\n2 mm\"", length, "two numbers"},
		{"1.5", number, "1.5 is out of range; give a number from 0 to 1"},
		{"25 %", number, "25 % is in percent; write a plain number"},
		{"5 mm", number, "5 mm has a unit, or is not a number"},
		{"1_000", number, "plain decimals"},
		{"0x10", number, "plain decimals"},
		{"1.5e999", number, "too large a number"},
		{"half", number, "does not begin with a number"},
		{"\"\"", text, "the text is empty"},
		{"\"  \"", text, "the text is empty"},
		{"\"a\\u0007b\"", text, "the control character U+0007"},
		{"\"a\\nb\"", text, "the control character U+000A"},
		{strings.Repeat("x", 201), text, "the text has 201 characters; at most 200 are allowed"},
		{"[a]", text, "a list is given here; write a text"},
		{"2.5", whole, "2.5 is not a whole number; give one from 1 to 400"},
		{"six", whole, "six is not a whole number"},
		{"0", whole, "0 is out of range; give a number from 1 to 400"},
		{"1e300", whole, "out of range"},
		{"4.20", money, "4.20 is not an amount of money; write it as in 4.20 EUR"},
		{"4.20 euro", money, "not an amount of money"},
		{"-1 EUR", money, "out of range"},
		{"EUR 4", money, "does not begin with a number"},
		{"4,20 EUR", money, "has a comma"},
		{"glas", choice, `glas is not known; did you mean "glass"?`},
		{"wood", choice, "wood is not known; known: glass, acrylic, low-iron glass"},
		{"0.28 EUR", func(n document.Node) { n.Money("kWh") }, "write it as in 0.28 EUR/kWh"},
		{"0.28 EUR/m", func(n document.Node) { n.Money("kWh") }, "write it as in 0.28 EUR/kWh"},
		{"3", func(n document.Node) { n.Items() }, "a single value is given here; write a list"},
		{"3", func(n document.Node) { n.Fields([]string{"x", "y"}, nil) }, "write keys with their values: x, y"},
		{"3", func(n document.Node) { n.Entries() }, "write names with their values"},
		{"{" + manyKeys(2001) + "}", func(n document.Node) { n.Entries() }, "2001 names are too many; at most 2000 are allowed"},
		{"{\"b\\nc\": 1}", func(n document.Node) { n.Entries() }, "the control character U+000A"},
	}
	for _, test := range tests {
		n, report := at(test.text)
		test.read(n)
		err := report.Err()
		if err == nil || !strings.HasPrefix(err.Error(), "a.yaml:1:") || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %v does not say %q", test.text, err, test.want)
		}
	}
}

func TestRangeInWords(t *testing.T) {
	tests := []struct {
		r    document.Range
		text string
		want string
	}{
		{document.Range{}, "1e13", "give a number of a size that can be"},
		{document.Range{Low: math.Inf(-1), High: math.Inf(1)}, "1e13", "give a number of a size that can be"},
		{document.Range{Low: 0.5, High: 5}, "0", "give a number from 0.5 to 5"},
		{document.Range{Low: 2, High: math.Inf(1)}, "1", "give a number 2 or above"},
		{document.Range{Low: math.Inf(-1), High: 3}, "4", "give a number 3 or below"},
	}
	for _, test := range tests {
		n, report := at(test.text)
		n.Number(test.r)
		if err := report.Err(); err == nil || !strings.HasSuffix(err.Error(), test.want) {
			t.Errorf("%+v: %v does not end in %q", test.r, err, test.want)
		}
	}
}

func TestFields(t *testing.T) {
	root, report := read("tank:\n  lenght: 1 m\n  colour: red\nwirring: {}\n")
	f := root.Fields([]string{"tank", "wiring"}, nil)
	tank := f.Get("tank").Fields([]string{"length", "width"}, nil)
	if tank.Get("length").Exists() || f.Get("wiring").Exists() || !tank.At().IsMapping() {
		t.Error("an unknown key was taken for a known one")
	}
	tank.Get("width").Fields([]string{"x"}, nil).Get("x").Text() // nothing to say about what is below a hole
	want := `a.yaml:2:3: tank.lenght: unknown key; did you mean "length"?
a.yaml:3:3: tank.colour: unknown key; known: length, width
a.yaml:4:1: wirring: unknown key; did you mean "wiring"?`
	if got := report.Err().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestRenamedKeys: a key is read under the name that it had before, with a note; under both names it is a fault.
func TestRenamedKeys(t *testing.T) {
	now := map[string]string{"holds": "test"}
	root, report := read("holds: 25 C\n")
	f := root.Fields([]string{"test", "other"}, now)
	if got := f.Get("test"); got.Text() != "25 C" || got.Place().Path != "holds" {
		t.Errorf("%q at %q", got.Text(), got.Place().Path)
	}
	if len(report.Warnings) != 1 || !strings.Contains(report.Warnings[0].String(), "a.yaml:1:1: holds: holds is called test now") {
		t.Error(report.Warnings)
	}
	for _, text := range []string{"holds: 1\ntest: 2\n", "test: 2\nholds: 1\n"} {
		root, report := read(text)
		root.Fields([]string{"test", "other"}, now)
		if err := report.Err(); err == nil || !strings.Contains(err.Error(), "given under its old and its new name") {
			t.Error(err)
		}
	}
	if root, report := read("hold: 1\n"); !root.Fields([]string{"test"}, now).Get("test").Exists() {
		if err := report.Err(); err == nil || strings.Contains(err.Error(), "holds") {
			t.Errorf("the old name is suggested: %v", err)
		}
	}
}

func TestEntriesKeepTheOrderOfTheFile(t *testing.T) {
	n, report := at("{z: 1, b: 2, m: 3}")
	var names []string
	for _, e := range n.Entries() {
		names = append(names, e.Name+"="+e.Value.Text()+"@"+e.Key.Place().Path)
	}
	if got := strings.Join(names, " "); got != "z=1@a.z b=2@a.b m=3@a.m" || report.Err() != nil {
		t.Errorf("got %s, %v", got, report.Err())
	}
}

func TestItemsKnowTheirPaths(t *testing.T) {
	n, report := at("[{b: [x, y]}]")
	item := n.Items()[0].Fields([]string{"b"}, nil).Get("b").Items()[1]
	if item.Place().Path != "a[0].b[1]" || item.Text() != "y" || report.Err() != nil {
		t.Errorf("got %s %q, %v", item.Place().Path, item.Text(), report.Err())
	}
}

// Holes, and values that were complained about when the file was read, are silent.
func TestReadersAreSilentWhereNothingCanBeSaid(t *testing.T) {
	root, report := read("a: 1\nb:\n")
	f := root.Fields([]string{"a", "b", "c"}, nil)
	before := len(report.Faults)
	readAll(f.Get("b"))
	readAll(f.Get("c"))
	readAll(document.Node{})
	document.Node{}.Faultf("no report, no fault")
	document.Node{}.Warn(finding.EmptyGoal.Of())
	if before != 1 || len(report.Faults) != before {
		t.Errorf("%d faults became %d: %v", before, len(report.Faults), report.Err())
	}
	if !f.Get("b").Exists() || f.Get("b").IsScalar() || f.Get("c").Exists() {
		t.Error("an empty value is there but is no scalar; a missing one is not there")
	}
}

func TestWarningsAreNoFaults(t *testing.T) {
	n, report := at("1")
	n.Warn(finding.CoverTouchesWater.Of())
	n.Warn(finding.CoverTouchesWater.Of())
	if report.Err() != nil || len(report.Warnings) != 1 || report.Warnings[0].String() != "a.yaml:1:4: a: the cover touches the water" {
		t.Errorf("got %v and %v", report.Err(), report.Warnings)
	}
}

func TestSuggest(t *testing.T) {
	names := []string{"single-neutral", "quad-neutral", "quad-blue", "strip-neutral"}
	for word, want := range map[string]string{
		"quad-netural":  "quad-neutral",
		"QUAD-BLUE":     "quad-blue",
		"quadblue":      "quad-blue",
		"quad-bleu":     "quad-blue",
		"strip-neutrl":  "strip-neutral",
		"octo-infrared": "",
		"":              "",
		"x":             "",
		"qad-neutrall":  "quad-neutral",

		strings.Repeat("quad", 100): "",
	} {
		if got := document.Suggest(word, names); got != want {
			t.Errorf("%q: suggested %q, not %q", word, got, want)
		}
	}
}

// A name with one letter changed, lost or doubled is always found again.
func TestSuggestFindsOneTypingError(t *testing.T) {
	names := []string{"length", "width", "height", "water", "walls", "floor", "cover", "obstacles"}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "name")
		i := rapid.IntRange(0, len(name)-1).Draw(t, "place")
		word := rapid.SampledFrom([]string{
			name[:i] + "q" + name[i+1:], name[:i] + name[i+1:], name[:i] + name[i:i+1] + name[i:],
		}).Draw(t, "word")
		if got := document.Suggest(word, names); got != name {
			t.Errorf("%q for %q: suggested %q", word, name, got)
		}
	})
}
