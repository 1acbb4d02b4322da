package lm63_test

import (
	"strings"
	"testing"

	"fathomlux/scene/lm63"
)

// TestLargeFilesAreRefused: the largest files, in the forms that a careless reader takes hours for, are refused; BenchmarkLarge
// tells how soon.
func TestLargeFilesAreRefused(t *testing.T) {
	for name, text := range largeFiles() {
		if _, err := lm63.Read("x.ies", []byte(text)); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

func BenchmarkLarge(b *testing.B) {
	for name, text := range largeFiles() {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := lm63.Read("x.ies", []byte(text)); err == nil {
					b.Fatal("taken")
				}
			}
		})
	}
}

func largeFiles() map[string]string {
	return map[string]string{
		"one line":      "TILT=NONE\n" + strings.Repeat("1,2 ", 250_000),
		"short lines":   "TILT=NONE\n" + strings.Repeat("1\n", 500_000),
		"carried on":    "[A] x\n" + strings.Repeat("[MORE] x\n", 110_000) + "TILT=NONE\n1 -1",
		"keywords":      strings.Repeat("[A] x\n", 170_000) + "TILT=NONE\n1 -1",
		"no tilt":       strings.Repeat("tilt\n", 200_000),
		"words":         "TILT=NONE\n" + strings.Repeat("x ", 500_000),
		"Latin-1":       strings.Repeat("\xe4", 1_000_000),
		"commas":        "TILT=NONE\n" + strings.Repeat(",", 1_000_000),
		"long exponent": "TILT=NONE\n1e" + strings.Repeat("0", 1_000_000),
	}
}
