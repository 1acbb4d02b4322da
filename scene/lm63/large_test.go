package lm63_test

import (
	"strings"
	"testing"
	"time"

	"fathomlux/scene/lm63"
)

// TestLargeFilesTakeNoTime: the largest files, in the forms that a careless reader takes minutes for, are read or refused in
// far less than the seconds given here.
func TestLargeFilesTakeNoTime(t *testing.T) {
	for name, text := range map[string]string{
		"one line":      "TILT=NONE\n" + strings.Repeat("1,2 ", 250_000),
		"short lines":   "TILT=NONE\n" + strings.Repeat("1\n", 500_000),
		"carried on":    "[A] x\n" + strings.Repeat("[MORE] x\n", 110_000) + "TILT=NONE\n1 -1",
		"keywords":      strings.Repeat("[A] x\n", 170_000) + "TILT=NONE\n1 -1",
		"no tilt":       strings.Repeat("tilt\n", 200_000),
		"words":         "TILT=NONE\n" + strings.Repeat("x ", 500_000),
		"Latin-1":       strings.Repeat("\xe4", 1_000_000),
		"commas":        "TILT=NONE\n" + strings.Repeat(",", 1_000_000),
		"long exponent": "TILT=NONE\n1e" + strings.Repeat("0", 1_000_000),
	} {
		start := time.Now()
		if _, err := lm63.Read("x.ies", []byte(text)); err == nil {
			t.Errorf("%s: taken", name)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s: %v", name, took)
		}
	}
}
