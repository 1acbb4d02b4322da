package document_test

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// turners are the characters of Unicode 15 with the property Bidi_Control.
var turners = []rune{0x061c, 0x200e, 0x200f, 0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069}

func TestVisible(t *testing.T) {
	for text, want := range map[string]string{
		"Foyer, caf\u00e9 \U0001f420": "Foyer, caf\u00e9 \U0001f420",
		"\x1b[31mred\x1b[0m":          `\u001b[31mred\u001b[0m`,
		"\x9b31m":                     `\x9b31m`, // a byte, not the character U+009B
		"\u009b31m":                   `\u009b31m`,
		"two\nlines\r\t":              `two\u000alines\u000d\u0009`,
		"abc\u202edef":                `abc\u202edef`,
		"\u05e9\u05dc\u05d5\u05dd":    "\u05e9\u05dc\u05d5\u05dd", // letters that run from right to left are no commands
		"line\u2028end\x7f":           `line\u2028end\u007f`,
	} {
		if got := document.Visible(text); got != want {
			t.Errorf("%q is shown as %q, want %q", text, got, want)
		}
	}
}

// TestVisibleIsObeyedByNoTerminal: nothing unsafe is left of any text, and a JSON text still says the same.
func TestVisibleIsObeyedByNoTerminal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom(turners), rapid.RuneFrom([]rune("\x00\x07\x1b\x7f\u0085\u009b\n")))).Draw(t, "text")
		if got := document.Visible(text); strings.IndexFunc(got, document.Unsafe) >= 0 {
			t.Errorf("%q is shown as %q", text, got)
		}
		encoded, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		var back string
		if err := json.Unmarshal([]byte(document.Visible(string(encoded))), &back); err != nil || back != text {
			t.Errorf("%q comes back as %q, %v", text, back, err)
		}
	})
}

// TestTextRefusesWhatTerminalsObey: titles, part names and the like.
func TestTextRefusesWhatTerminalsObey(t *testing.T) {
	for _, r := range turners {
		n, report := at("\"a" + string(r) + "b\"")
		if text := n.Text(); text != "" || report.Err() == nil || !strings.Contains(report.Err().Error(), "reverses the direction of writing") {
			t.Errorf("%U: %q, %v", r, text, report.Err())
		}
		root, report := read("\"a" + string(r) + "b\": 1\n")
		if entries := root.Entries(); len(entries) != 0 || report.Err() == nil {
			t.Errorf("%U is taken in a name: %v", r, entries)
		}
	}
	if n, report := at("\"\\e[31mred\""); n.Text() != "" || report.Err() == nil {
		t.Errorf("an escape sequence is taken: %v", report.Err())
	}
}

func TestFaultShowsItsFileAsText(t *testing.T) {
	f := document.Fault{Place: finding.Place{File: "a\x1b[2J\n.yaml", Line: 1, Column: 2, Path: "tank"}, Message: "odd \u202e"}
	if got, want := f.Error(), `a\u001b[2J\u000a.yaml:1:2: tank: odd \u202e`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestWanted(t *testing.T) {
	for want, got := range map[string]string{
		"a length from 10 mm to 20 m":       document.Range{Low: 0.01, High: 20}.Wanted(unit.Length),
		"a length from 0.001 mm to 1000 mm": document.Range{Low: unit.Length.Least(), High: 1}.Wanted(unit.Length),
		"a length of a size that can be":    document.Range{}.Wanted(unit.Length),
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
