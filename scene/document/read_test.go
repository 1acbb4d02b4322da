package document_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// read returns the root of text and the report that it went through.
func read(text string) (document.Node, *document.Report) {
	report := &document.Report{}
	root, _ := document.Read("a.yaml", []byte(text), report)
	return root, report
}

// bomb is 9 levels of ten aliases each: 10^9 values from 400 bytes.
func bomb() string {
	var b strings.Builder
	b.WriteString("a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i <= 9; i++ {
		item := fmt.Sprintf("*a%d, ", i-1)
		fmt.Fprintf(&b, "a%d: &a%d [%s]\n", i, i, strings.TrimSuffix(strings.Repeat(item, 10), ", "))
	}
	return b.String()
}

var refused = []struct{ name, text, want string }{
	{"empty", "", "a.yaml: the file is empty"},
	{"comments alone", "# nothing\n", "a.yaml: the file is empty"},
	{"null root", "~\n", "a.yaml: the file is empty"},
	{"too large", strings.Repeat("# a comment\n", 100000), "a.yaml: the file has 1200000 bytes; at most 1048576 (1 MiB) are allowed"},
	{"binary", "a: \x00\x01", "a.yaml:1:4: control character 0x00 is not text"},
	{"bell on line 2", "a: 1\n\u00e9: \x07", "a.yaml:2:4: control character 0x07 is not text"},
	{"not UTF-8", "a: b\nb: \xff\xfe", "a.yaml:2:4: byte 0xff is not UTF-8"},
	{"UTF-16", "\xff\xfea\x00:\x00", "a.yaml:1:1: byte 0xff is not UTF-8"},
	{"tab", "a:\n\tb: 1\n", "a.yaml:2:1: a tab indents this line; indent with spaces"},
	{"open list", "a: [1\n", "a.yaml:2:1: not readable as YAML: did not find expected ',' or ']' (while parsing a flow sequence that begins at 1:4)"},
	{"colon", "a: b: c\n", "a.yaml:1:5: not readable as YAML: mapping values are not allowed in this context"},
	{"open quote", "a: 'x\n", "that begins at 1:4"},
	{"second document", "a: 1\n---\nb: 2\n", "a second document begins here; a file may hold only one"},
	{"unknown alias", "a: *b\n", "a.yaml:1:4: an alias (*name) is used here without its anchor (&name) before it"},
	{"brackets", strings.Repeat("[", 11000), "not readable as YAML: exceeded max depth"},
	{"deep", strings.Repeat("[", 60) + strings.Repeat("]", 60), "a.yaml:1:41: nested deeper than 40 levels"},
	{"alias bomb", bomb(), "more than 20000 values, counting each use of an alias"},
	{"many marks", "[" + strings.Repeat("1,", 12001) + "]", "12002 line ends, commas, colons and brackets are too many; a file may hold 12000"},
	{"many values", "a: &a [" + strings.Repeat("1,", 1100) + "]\nb: [" + strings.Repeat("*a,", 100) + "]", "more than 20000 values"},
	{"repeated key", "a: 1\nb: 2\na: 3\n", "a.yaml:3:1: a: repeated key; it was given on line 1 already"},
	{"repeated key below", "t: {a: 1, a: 2}\n", "a.yaml:1:11: t.a: repeated key"},
	{"null value", "a:\nb: 1\n", "a.yaml:1:3: a: the value is missing; write one or remove the line"},
	{"null in a list", "a:\n  -\n  - x\n", "a[0]: the value is missing"},
	{"tilde in a list", "a: [x, ~]\n", "a.yaml:1:8: a[1]: the value is missing"},
	{"nan", "a: .nan\n", "a.yaml:1:4: a: .nan is not a finite number"},
	{"infinite", "a: [1, -.Inf]\n", "a.yaml:1:8: a[1]: -.Inf is not a finite number"},
	{"a tag", "a: !foo 600 mm\n", "a.yaml:1:4: a: the tag !foo is not supported; remove it and write the value alone"},
	{"a tag of YAML's", "a: !!binary aGk=\n", "a.yaml:1:4: a: the tag !!binary is not supported"},
	{"a tag in a list", "a: [1, !!str 2]\n", "a.yaml:1:8: a[1]: the tag !!str is not supported"},
	{"a tag on a mapping", "a: !!map {b: 1}\n", "a: the tag !!map is not supported"},
	{"a tag on a key", "!foo a: 1\n", "a.yaml:1:1: the tag !foo is not supported"},
	{"two byte-order marks", "\ufeff\ufefftank: 1\n", "a.yaml:1:2: an invisible second byte-order mark (U+FEFF) is not text; remove it; write plain text in UTF-8"},
	{"another YAML", "%YAML 1.2\n---\na: 1\n", "a.yaml:1:1: this line asks for a version of YAML that is not supported; remove it"},
	{"alias in itself", "a: &x [1, *x]\n", "a.yaml:1:11: a[1]: the alias *x contains itself"},
	{"merge key", "a: &x {b: 1}\nc: {<<: *x}\n", "a.yaml:2:5: c: merge keys (<<) are not supported"},
	{"mapping as key", "? {a: 1}\n: 2\n", "a key must be a plain word"},
	{"null as key", "~: 2\n", "a key must be a plain word"},
}

func TestReadRefuses(t *testing.T) {
	for _, test := range refused {
		_, report := read(test.text)
		err := report.Err()
		if err == nil {
			t.Errorf("%s: taken", test.name)
		} else if !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %.300q does not say %q", test.name, err, test.want)
		}
	}
}

// A limit or a syntax error is the one fault of its file: what follows from it is not told.
func TestReadStopsAtALimit(t *testing.T) {
	for _, text := range []string{bomb(), "a: [1\n", strings.Repeat("[", 60) + strings.Repeat("]", 60)} {
		report := &document.Report{}
		if _, ok := document.Read("a.yaml", []byte(text), report); ok || len(report.Faults) != 1 {
			t.Errorf("%.30q: ok %v, %d faults", text, ok, len(report.Faults))
		}
	}
}

func TestReadTellsAllFaultsAtOnce(t *testing.T) {
	_, report := read("a: 1\na: 2\nb:\nc: .nan\nd: [~]\n")
	var e *document.Error
	if !errors.As(report.Err(), &e) || len(e.Faults) != 4 {
		t.Fatalf("want 4 faults, got %v", report.Err())
	}
	for i, line := range []int{2, 3, 4, 5} {
		if e.Faults[i].Line != line {
			t.Errorf("fault %d is on line %d, not %d", i, e.Faults[i].Line, line)
		}
	}
	if lines := strings.Count(e.Error(), "\n"); lines != 3 {
		t.Errorf("four faults take %d lines", lines+1)
	}
}

func TestReadTakesWhatIsSound(t *testing.T) {
	for _, text := range []string{"a: 1\n", "\ufeffa: 1\n", "---\na: 1\n...\n", "a: &x 1\nb: [*x, *x]\n", "- 1\n", "a: \"\u00e9 \u03bc\"\r\n", "a: 1_000.5\n"} {
		if root, report := read(text); report.Err() != nil || !root.Exists() {
			t.Errorf("%q: %v", text, report.Err())
		}
	}
}

func TestAliasComplainsWhereItIsUsed(t *testing.T) {
	root, report := read("a: &x [1]\nb: *x\n")
	root.Fields([]string{"a", "b"}, nil).Get("b").Text()
	if err := report.Err(); err == nil || !strings.HasPrefix(err.Error(), "a.yaml:2:4: b: a list is given here") {
		t.Errorf("got %v", err)
	}
}

func TestErrOrdersFilesAsTheyWereRead(t *testing.T) {
	report := &document.Report{}
	first, _ := document.Read("z.yaml", []byte("a: 1\nb: 2\n"), report)
	second, _ := document.Read("a.yaml", []byte("c: 3\n"), report)
	second.Fields([]string{"c"}, nil).Get("c").Faultf("third")
	f := first.Fields([]string{"a", "b"}, nil)
	f.Get("b").Faultf("second")
	f.Get("a").Faultf("first")
	f.Get("a").Faultf("first") // the same again is dropped
	report.AddFault(document.Fault{Place: finding.Place{File: "curve.csv", Line: 1, Column: 1}, Message: "fourth"})
	want := "z.yaml:1:4: a: first\nz.yaml:2:4: b: second\na.yaml:1:4: c: third\ncurve.csv:1:1: fourth"
	if got := report.Err().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if f.Get("b").Place().Line != 2 || f.Get("b").Place().Column != 4 || f.Get("b").Place().File != "z.yaml" {
		t.Error("a node does not know its place")
	}
}

func TestErrorIsNotEndless(t *testing.T) {
	_, report := read("[" + strings.Repeat("~,", 300) + "]")
	if text := report.Err().Error(); strings.Count(text, "\n") != 50 || !strings.HasSuffix(text, "and 250 more faults") {
		t.Errorf("%d lines, ending %q", strings.Count(text, "\n")+1, text[len(text)-40:])
	}
}

// FuzzRead walks whatever can be read with every reader: no panic, and each fault has a message and a path that fits
// one line.
func FuzzRead(f *testing.F) {
	for _, test := range refused {
		if len(test.text) < 4096 {
			f.Add([]byte(test.text))
		}
	}
	f.Add([]byte("a: {b: [1 mm, 2.5, true, 4.20 EUR]}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		report := &document.Report{}
		root, ok := document.Read("a.yaml", data, report)
		if ok {
			walk(root, 0)
		} else if report.Err() == nil {
			t.Error("refused without a fault")
		}
		for _, w := range report.Warnings {
			report.AddFault(document.Fault{Place: w.Place, Message: w.Words(unit.Metric)})
		}
		for _, fault := range report.Faults {
			if fault.Message == "" || strings.ContainsAny(fault.Error(), "\n\r\x00") {
				t.Errorf("a fault reads %q", fault.Error())
			}
		}
	})
}
