package lm63_test

import (
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/lm63"
	"fathomlux/scene/longtest"
	"fathomlux/scene/readertest"
)

// largeFiles are the largest files, in the forms that a careless reader takes hours or all memory for: keywords, numbers and
// what is neither. Each is a head, and a unit as often as it fits.
var largeFiles = map[string][2]string{
	"numbers":       {"IESNA:LM-63-2002\nTILT=NONE\n1 1000 1 400000 2 1 1 0 0 0\n1 1 10\n", "1 "},
	"carried on":    {"[A] x\n", "[MORE] x\n"},
	"commas":        {"TILT=NONE\n", ","},
	"words":         {"TILT=NONE\n1 1 1 ", "x "},
	"short lines":   {"IESNA91\nTILT=NONE\n1 1000 1 300 300 1 1 0 0 0\n1 1 10\n", "1\n"},
	"one line":      {"TILT=NONE\n", "1,2 "},
	"keywords":      {"IESNA91\n", "[A] x\n"},
	"no tilt":       {"", "tilt\n"},
	"lines":         {"", "\n"},
	"Latin-1":       {"IESNA91\n", "\xff"},
	"Latin-1 lines": {"", "\xff\n"},
	"long exponent": {"TILT=NONE\n1e", "0"},
}

// TestLargeFilesAreRefused: soon, as BenchmarkLarge tells, and with memory in proportion.
func TestLargeFilesAreRefused(t *testing.T) {
	sample := map[string][2]string{"numbers": largeFiles["numbers"], "carried on": largeFiles["carried on"], "commas": largeFiles["commas"]}
	for name, c := range longtest.Pick(sample, largeFiles) {
		data := readertest.Filled(c[0], c[1], document.MaxBytes)
		readertest.Frugal(t, len(data), func() {
			if _, err := lm63.Read("x.ies", data); err == nil || err.Error() == "" {
				t.Errorf("%s: taken", name)
			}
		})
	}
}

func BenchmarkLarge(b *testing.B) {
	for name, c := range largeFiles {
		data := readertest.Filled(c[0], c[1], document.MaxBytes)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := lm63.Read("x.ies", data); err == nil {
					b.Fatal("taken")
				}
			}
		})
	}
}
